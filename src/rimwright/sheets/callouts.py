"""Names set at their marks, in stairs so that no word crosses a line or another word."""

from __future__ import annotations

from dataclasses import dataclass

from rimwright.sheets.dimension import BODY
from rimwright.sheets.drawing import DIMENSION, Pen, Shape, Text, line
from rimwright.sheets.fonts import width

_LEAD = 1.5


@dataclass(frozen=True, slots=True)
class Callout:
    """A place along the sheet and the lines of words that belong to it."""

    x: float
    #: Where the line to the words begins. [mm]
    y: float
    #: First line bold.
    lines: tuple[str, ...]


def rows_for(callouts: list[Callout], size: float = BODY) -> list[int]:
    """The row of each callout, in the order given; row 0 is nearest to the drawing.

    Words stand to the right of their line. From the right end of the sheet each takes the
    lowest row in which it ends before every line that rises through that row.

    Examples
    --------
    >>> rows_for([Callout(0, 0, ("horn",)), Callout(3, 0, ("scoop",)), Callout(90, 0, ("neck",))])
    [1, 0, 0]
    """
    order = sorted(range(len(callouts)), key=lambda i: -callouts[i].x)
    rows = [0] * len(callouts)
    placed: list[tuple[float, int]] = []
    for i in order:
        end = callouts[i].x + 3.0 + _width(callouts[i], size)
        row = 0
        while any(x < end and r >= row for x, r in placed):
            row += 1
        rows[i] = row
        placed.append((callouts[i].x, row))
    return rows


def _width(callout: Callout, size: float) -> float:
    return max(width(w, size, bold=i == 0) for i, w in enumerate(callout.lines))


def stairs(
    callouts: list[Callout], base: float, *, up: bool, size: float = BODY, pen: Pen = DIMENSION
) -> list[Shape]:
    """Lines from the marks to rows of words above `base`, or below it."""
    if not callouts:
        return []
    rows = rows_for(callouts, size)
    lines = max(len(c.lines) for c in callouts)
    pitch = (lines * _LEAD + 0.6) * size
    shapes: list[Shape] = []
    for callout, row in zip(callouts, rows, strict=True):
        # Top of the block of words.
        head = base + (row + 1) * pitch if up else base - row * pitch
        foot = head - (len(callout.lines) - 1) * _LEAD * size - size
        shapes.append(line((callout.x, callout.y), (callout.x, head if up else foot), pen))
        for i, words in enumerate(callout.lines):
            at = (callout.x + 1.2, head - size - i * _LEAD * size)
            shapes.append(Text(at, words, size, bold=i == 0))
    return shapes
