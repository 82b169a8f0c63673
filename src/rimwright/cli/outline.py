"""`rimwright outline`: what is taken from a drawing as the body, what is left, and why."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def outline(
    file: Annotated[Path, typer.Argument(help="A design or a drawing.")],
    drawing_units: Annotated[str | None, typer.Option(help="The drawing's unit.")] = None,
    dpi: Annotated[float | None, typer.Option(help="Dots per inch of the scan.")] = None,
    body_length: Annotated[str | None, typer.Option(help="Known length of the body.")] = None,
    layer: Annotated[str | None, typer.Option(help="Take the outline from this layer.")] = None,
    select: Annotated[
        list[str] | None, typer.Option(help="Name or handle of an entity of the outline; repeat.")
    ] = None,
    tail: Annotated[
        str | None, typer.Option(help="Where the tail is: left, right, top, bottom.")
    ] = None,
    cutaway_side: Annotated[
        str | None, typer.Option(help="The cutaway's side, bass or treble.")
    ] = None,
    seen_from: Annotated[
        str | None, typer.Option(help="Drawn as seen from the face or the back.")
    ] = None,
    player: Annotated[str | None, typer.Option(help="The player's hand, right or left.")] = None,
) -> None:
    """Show what of FILE is taken as the body's outline, what is left, and why."""
    from rimwright.desk.opening import DrawingAnswers, open_design
    from rimwright.desk.outlining import outline_text

    answers = DrawingAnswers(
        drawing_units=drawing_units,
        dpi=dpi,
        body_length=body_length,
        layer=layer,
        select=tuple(select or ()),
        tail=tail,
        cutaway_side=cutaway_side,
        seen_from=seen_from,
        player=player,
    )
    typer.echo(outline_text(open_design(file, answers)))
