"""`rimwright odds`: how likely the sides are to crack, where, and what to change."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Annotated

import typer

from rimwright.cli.options import AsJson, BodyLength, DrawingUnits, Thickness


def odds(
    files: Annotated[
        list[Path],
        typer.Argument(help="Designs (*.rim.toml) or drawings (DXF, SVG, PNG, JPEG)."),
    ],
    output: Annotated[
        Path | None,
        typer.Option("-o", "--output", help="Folder for odds.json and plots; made if missing."),
    ] = None,
    as_json: AsJson = False,
    samples: Annotated[int, typer.Option(help="Sides bent in the computer.")] = 1024,
    seed: Annotated[int, typer.Option(help="The same seed gives the same answer.")] = 1,
    cluster: Annotated[
        str | None,
        typer.Option(help="Address of a Dask scheduler, tcp://…; else this machine's cores."),
    ] = None,
    wood: Annotated[
        list[str] | None, typer.Option(help="Another wood for the sides; repeat to compare.")
    ] = None,
    school: Annotated[
        list[str] | None,
        typer.Option(help="Another school of heat: misted, nearly dry, hot; repeat to compare."),
    ] = None,
    thickness: Thickness = None,
    drawing_units: DrawingUnits = None,
    body_length: BodyLength = None,
) -> None:
    """Bend many sides of FILES in the computer: the chance of a crack and what to change."""
    from rimwright.bending.kernels import when_compiling
    from rimwright.bending.odds_case import Sweep
    from rimwright.desk.odds import odds_document, sweep_odds, varied, write_odds
    from rimwright.desk.odds_words import odds_text
    from rimwright.desk.opening import DrawingAnswers, open_design
    from rimwright.desk.spreading import on_cluster, on_threads
    from rimwright.document import dump

    when_compiling(lambda words: typer.echo(words, err=True))
    answers = DrawingAnswers(
        thickness=thickness, drawing_units=drawing_units, body_length=body_length
    )
    designs = varied([open_design(file, answers) for file in files], wood or (), school or ())
    with _progress() as progress:
        mapper = on_threads(progress=progress) if cluster is None else on_cluster(cluster, progress)
        found = sweep_odds(designs, Sweep(samples=samples, seed=seed), mapper=mapper)
    show = designs[0].show
    if as_json:
        typer.echo(dump(odds_document(found)).rstrip())
    else:
        typer.echo("\n\n".join(odds_text(one, show) for one in found))
    if output is not None:
        typer.echo(write_odds(found, output, show), err=as_json)


@contextlib.contextmanager
def _progress() -> Iterator[Callable[[int, int], None]]:
    """A bar on the terminal, if there is one; it goes when the work is done."""
    from rich.console import Console
    from rich.progress import Progress

    console = Console(stderr=True)
    with Progress(console=console, transient=True, disable=not sys.stderr.isatty()) as bar:
        work = bar.add_task("bending", total=None)
        yield lambda done, of: bar.update(work, completed=done, total=of)
