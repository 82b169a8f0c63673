"""Options that the commands of the live bend and the journal take, each worded once."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

JournalPlace = Annotated[
    str | None,
    typer.Option(
        "--journal",
        "--database",
        metavar="<file or postgresql://…>",
        help="Where records are kept; else what RIMWRIGHT_JOURNAL names, else the usual place.",
    ),
]
RunNumber = Annotated[int, typer.Argument(min=1, max=2**31 - 1, help="Number of the run.")]
PlanFile = Annotated[
    Path, typer.Argument(help="plan.json, the folder it lies in, or a design (*.rim.toml).")
]
Hand = Annotated[str, typer.Option("--side", help="Which side is bent: bass or treble.")]
Piece = Annotated[
    str, typer.Option(help="main, or return: the piece from horn tip to neck of a pointed cutaway.")
]
ShopFile = Annotated[
    Path | None, typer.Option("--shop", help="Shop file whose probes may be named.")
]
Port = Annotated[int, typer.Option(help="Port of the pages; 0 for any that is free.")]


def hand_and_piece(hand: str, piece: str) -> tuple[str, str]:
    """Both, if they can be.

    Raises
    ------
    RunError
        If one cannot.
    """
    from rimwright.errors import RunError

    for text, choices, where in ((hand, ("bass", "treble"), "--side"),
                                 (piece, ("main", "return"), "--piece")):  # fmt: skip
        if text not in choices:
            raise RunError(f"'{text:.40}'", " or ".join(choices), "choose one", where=where)
    return hand, piece
