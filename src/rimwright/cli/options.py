"""Arguments and options that several commands take, each worded once."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

FileToRead = Annotated[
    Path, typer.Argument(help="A design (*.rim.toml) or a drawing (DXF, SVG, PNG, JPEG).")
]
AsJson = Annotated[bool, typer.Option("--json", help="Answer as JSON, in SI units.")]
DepthTail = Annotated[
    str | None, typer.Option(help="Drawing only: rim height at the tail, such as 100mm.")
]
Thickness = Annotated[
    str | None, typer.Option(help="Drawing only: side thickness at bending, or advise.")
]
Wood = Annotated[
    str | None, typer.Option(help="Drawing only: wood of the sides (rimwright woods).")
]
DrawingUnits = Annotated[str | None, typer.Option(help="Drawing only: its unit, such as mm or in.")]
Dpi = Annotated[float | None, typer.Option(help="Drawing only: dots per inch of the scan.")]
BodyLength = Annotated[
    str | None, typer.Option(help="Drawing only: known length of the body, tail to neck.")
]
Layer = Annotated[str | None, typer.Option(help="Drawing only: take the outline from this layer.")]
Select = Annotated[
    list[str] | None,
    typer.Option(help="Drawing only: name or handle of an entity of the outline; repeat."),
]
Tail = Annotated[
    str | None, typer.Option(help="Drawing only: where the tail is: left, right, top, bottom.")
]
CutawaySide = Annotated[
    str | None, typer.Option(help="Drawing only: the cutaway's side, bass or treble.")
]
SeenFrom = Annotated[
    str | None, typer.Option(help="Drawing only: drawn as seen from the face or the back.")
]
Player = Annotated[str | None, typer.Option(help="Drawing only: the player's hand, right or left.")]
Show = Annotated[str | None, typer.Option(help="Drawing only: figures in metric or inch.")]
