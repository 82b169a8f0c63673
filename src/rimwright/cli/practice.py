"""`rimwright practice`: a whole bend on a model, from mist to rest, in seconds."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, cast

import typer

from rimwright.cli.live_options import Hand, Piece, PlanFile, hand_and_piece


def practice(
    plan: PlanFile,
    side: Hand = "treble",
    piece: Piece = "main",
    keep: Annotated[
        Path | None,
        typer.Option(
            "-o", "--output", help="Folder for the journal it is kept in; else it is let go."
        ),
    ] = None,
) -> None:
    """Practise PLAN: steps, calls and temperatures of a whole bend, with a model for a probe."""
    import tempfile
    from contextlib import ExitStack
    from typing import Literal

    from rimwright.bending.kernels import when_compiling
    from rimwright.desk.plan_files import document_of
    from rimwright.desk.practice import practise
    from rimwright.files import make_folder

    hand, piece = hand_and_piece(side, piece)
    when_compiling(lambda words: typer.echo(words, err=True))
    document, _ = document_of(plan)
    with ExitStack() as stack:
        if keep is None:
            folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        else:
            folder = keep
            make_folder(folder)
        file = folder / "practice.sqlite"
        run = practise(
            document,
            file,
            typer.echo,
            hand=cast('Literal["bass", "treble"]', hand),
            piece=cast('Literal["main", "return"]', piece),
        )
    typer.echo("")
    typer.echo("That was a model: no wood, no heat. A real bender needs what docs/safety.md says.")
    if keep is not None:
        typer.echo(f"Kept as run {run} in {file}: `rimwright record {run} --journal {file}`")
