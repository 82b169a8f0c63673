"""Sheets of paper and what stands on every one: title block, check square, code to scan."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from rimwright.sheets.dimension import BODY, HEAD, SMALL, TITLE
from rimwright.sheets.drawing import FINE, Shape, Text, polygon
from rimwright.sheets.fonts import fitting, wrapped

if TYPE_CHECKING:
    from rimwright.plan import Plan

#: Width and height, upright. [mm]
SIZES: dict[str, tuple[float, float]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
#: Left free at every edge, because few printers reach it. [mm]
MARGIN = 8.0


@dataclass(frozen=True, slots=True)
class Heading:
    """What the title block of a page says, top to bottom."""

    model: str
    what: str
    #: Stands in a heavy line of its own: "ASSUMED stack".
    warning: str
    #: Face, edges and ends, in words.
    lies: tuple[str, ...]
    foot: tuple[str, ...]


def heading(
    plan: Plan, what: str, lies: list[str], date_text: str, *, warning: str = ""
) -> Heading:
    """The heading every sheet of a plan shares."""
    maker = [plan.design.shop] if plan.design.shop else []
    hand = f"{plan.design.player}-handed player"
    foot = " · ".join([*maker, hand, *([date_text] if date_text else [])])
    return Heading(plan.design.name, what, warning, tuple(lies), (f"plan {plan.code}", foot))


def title_block(
    block: Heading, left: float, top: float, room: float, sheet: str = ""
) -> list[Shape]:
    """The heading in words below `top`. [mm]"""
    shapes: list[Shape] = []
    y = top
    rows = [(block.model, TITLE, True)]
    for words in (block.what, block.warning):
        rows += [(w, HEAD, True) for w in wrapped(words, HEAD, room, bold=True) if w]
    rows += [(w, BODY, False) for line in block.lies for w in wrapped(line, BODY, room)]
    rows += [
        (w, BODY, i == 0) for i, line in enumerate(block.foot) for w in wrapped(line, BODY, room)
    ]
    if sheet:
        rows.append((sheet, BODY, True))
    for words, size, bold in rows:
        y -= size
        shapes.append(Text((left, y), words, fitting(words, size, room, bold=bold), bold=bold))
        y -= 0.75 * size
    return shapes


def print_note(left: float, bottom: float) -> list[Shape]:
    """How to print so that the drawing comes out true."""
    return [
        Text((left, bottom + 3.8), "Print at 100 %, never fitted to the page.", SMALL, bold=True),
        Text((left, bottom), "Measure the check square before you cut.", SMALL),
    ]


@cache
def code_squares(words: str) -> tuple[int, tuple[tuple[int, int, int], ...]]:
    """A square code as runs of dark modules: modules a side, (column, row from top, length)."""
    import segno

    matrix = segno.make(words, error="m", micro=False).matrix
    runs = []
    for row, line in enumerate(matrix):
        column = 0
        while column < len(line):
            end = column
            while end < len(line) and line[end]:
                end += 1
            if end > column:
                runs.append((column, row, end - column))
            column = max(end, column + 1)
    return len(matrix), tuple(runs)


def code_to_scan(words: str, left: float, bottom: float, side: float) -> list[Shape]:
    """The code drawn as black squares, with four modules of quiet round it. [mm]"""
    count, runs = code_squares(words)
    module = side / (count + 8)
    shapes: list[Shape] = []
    for column, row, length in runs:
        x, y = left + module * (column + 4), bottom + side - module * (row + 5)
        corners = (
            (x, y),
            (x + module * length, y),
            (x + module * length, y + module),
            (x, y + module),
        )
        shapes.append(polygon(corners, FINE, fill="black"))
    return shapes
