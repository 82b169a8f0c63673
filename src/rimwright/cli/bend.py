"""`rimwright bend`: bend the sides in the computer before bending them at the bench."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from rimwright.cli.options import AsJson, BodyLength, DrawingUnits, FileToRead, Thickness, Wood


def bend(
    file: FileToRead,
    output: Annotated[
        Path | None,
        typer.Option("-o", "--output", help="Folder for bend.json and plots; made if missing."),
    ] = None,
    as_json: AsJson = False,
    wood: Wood = None,
    thickness: Thickness = None,
    drawing_units: DrawingUnits = None,
    body_length: BodyLength = None,
) -> None:
    """Bend FILE in the computer: what is nearest to breaking, and how far it springs open."""
    from rimwright.bending.kernels import when_compiling
    from rimwright.desk.bending import bend_design, write_bend
    from rimwright.desk.bending_data import bend_document
    from rimwright.desk.bending_words import bend_text
    from rimwright.desk.opening import DrawingAnswers, open_design
    from rimwright.desk.placing import placed
    from rimwright.document import dump

    when_compiling(lambda words: typer.echo(words, err=True))
    answers = DrawingAnswers(
        wood=wood, thickness=thickness, drawing_units=drawing_units, body_length=body_length
    )
    design = open_design(file, answers)
    with placed(file):
        bent = bend_design(design)
    typer.echo(dump(bend_document(bent)).rstrip() if as_json else bend_text(bent))
    if output is not None:
        typer.echo(write_bend(bent, output), err=as_json)
