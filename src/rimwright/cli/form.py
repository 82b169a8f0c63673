"""`rimwright form`: a form bent past the outline, so that the side comes off on it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from rimwright.cli.options import (
    AsJson,
    BodyLength,
    DrawingUnits,
    FileToRead,
    Show,
    Thickness,
    Wood,
)


def form(
    file: FileToRead,
    output: Annotated[
        Path | None,
        typer.Option("-o", "--output", help="Folder for form.json, plots and parts to cut."),
    ] = None,
    as_json: AsJson = False,
    wood: Wood = None,
    thickness: Thickness = None,
    drawing_units: DrawingUnits = None,
    body_length: BodyLength = None,
    show: Show = None,
) -> None:
    """Shape FILE's forms so that the released side meets the mould: how far to overbend where."""
    from rimwright.bending.kernels import when_compiling
    from rimwright.desk.forming import form_design, form_document, form_text, write_form
    from rimwright.desk.opening import DrawingAnswers, open_design
    from rimwright.desk.placing import placed
    from rimwright.document import dump

    when_compiling(lambda words: typer.echo(words, err=True))
    answers = DrawingAnswers(
        wood=wood,
        thickness=thickness,
        drawing_units=drawing_units,
        body_length=body_length,
        show=show,
    )
    design = open_design(file, answers)
    with placed(file):
        formed = form_design(design)
    written = "" if output is None else write_form(formed, output)
    typer.echo(dump(form_document(formed)).rstrip() if as_json else form_text(formed))
    if written:
        typer.echo(written if as_json else f"\n{written}", err=as_json)
