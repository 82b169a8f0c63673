"""`rimwright heat`: what probe and wood go through, from a cold stack to the rest."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from rimwright.cli.options import (
    AsJson,
    BodyLength,
    DepthTail,
    DrawingUnits,
    FileToRead,
    Show,
    Thickness,
    Wood,
)


def heat(
    file: FileToRead,
    output: Annotated[
        Path | None,
        typer.Option("-o", "--output", help="Folder for heat.json and the chart."),
    ] = None,
    as_json: AsJson = False,
    target: Annotated[
        str | None, typer.Option(help="Another target at the probe, such as '300 degF'.")
    ] = None,
    depth_tail: DepthTail = None,
    thickness: Thickness = None,
    wood: Wood = None,
    drawing_units: DrawingUnits = None,
    body_length: BodyLength = None,
    show: Show = None,
) -> None:
    """Heat FILE's sides: times, how hot and soft the wood itself gets, and what would change it."""
    from rimwright.bending.kernels import when_compiling
    from rimwright.desk.heating import dump, heat_document, heat_of, heat_text, write_heat
    from rimwright.desk.opening import DrawingAnswers, open_design
    from rimwright.desk.placing import placed
    from rimwright.plan import make_plan
    from rimwright.units import parse

    when_compiling(lambda words: typer.echo(words, err=True))
    answers = DrawingAnswers(
        depth_tail=depth_tail,
        thickness=thickness,
        wood=wood,
        drawing_units=drawing_units,
        body_length=body_length,
        show=show,
    )
    target_c = None if target is None else parse(target, "temperature", where="--target")
    design = open_design(file, answers)
    with placed(file):
        plan = make_plan(design)
    run, changes = heat_of(plan, target_c=target_c)
    written = "" if output is None else write_heat(plan, run, changes, output)
    if as_json:
        typer.echo(dump(heat_document(plan, run, changes)), nl=False)
        return
    typer.echo(heat_text(plan, run, changes))
    if written:
        typer.echo("")
        typer.echo(written)
