"""`rimwright outline`: what is taken from a drawing as the body, what is left, and why."""

from __future__ import annotations

import typer

from rimwright.cli.options import (
    BodyLength,
    CutawaySide,
    Dpi,
    DrawingUnits,
    FileToRead,
    Layer,
    Player,
    SeenFrom,
    Select,
    Tail,
)


def outline(
    file: FileToRead,
    drawing_units: DrawingUnits = None,
    dpi: Dpi = None,
    body_length: BodyLength = None,
    layer: Layer = None,
    select: Select = None,
    tail: Tail = None,
    cutaway_side: CutawaySide = None,
    seen_from: SeenFrom = None,
    player: Player = None,
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
