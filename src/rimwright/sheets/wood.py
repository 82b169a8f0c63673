"""Book-match and cutting sketch: how the patterns lie on the mirrored boards."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rimwright.curves.piece import FloatArray
from rimwright.sheets.dimension import BODY, SMALL, across, scale_bar, upright
from rimwright.sheets.drawing import (
    CENTRE,
    FINE,
    OUTLINE,
    Drawing,
    Point,
    Shape,
    Text,
    line,
    polygon,
)
from rimwright.sides.bookmatch import BoardLay, book_match
from rimwright.units import length_text

if TYPE_CHECKING:
    from rimwright.plan import Plan

#: Half the gap drawn at the fold. [mm]
_GAP = 3.0


def bookmatch_drawing(plan: Plan, scale: float) -> Drawing:
    """Both boards opened like a book, outside faces up, tail seams in line.

    The top edges meet at the fold, so that the grain runs on from side to side.
    """
    show = plan.design.show
    match = book_match(plan.sides, plan.design.player, plan.design.show)
    shapes: list[Shape] = []
    pointed = {lay.hand for lay in match.lays if lay.piece == "return"}
    for lay in match.lays:
        shapes.append(polygon(_points(lay.board, lay, scale), FINE))
        shapes.append(polygon(_points(lay.pattern, lay, scale), OUTLINE))
        shapes += _words(lay, scale, "TIP" if lay.hand in pointed else "NECK")
    left, low, right, high = Drawing("", tuple(shapes)).bounds
    shapes.append(line((left - 4.0, 0.0), (right + 4.0, 0.0), CENTRE))
    shapes.append(Text((right + 6.0, -0.5 * BODY), "fold", BODY, bold=True))
    places = [("tail seam", 0.0)]
    waists = [lay.waist_m for lay in match.lays if lay.waist_m is not None]
    if waists:
        places.append((f"waist {length_text(waists[0], show)}", waists[0]))
    for name, place in places:
        x = 1e3 * scale * place
        shapes.append(line((x, low - 2.0), (x, high + 2.0), CENTRE))
        shapes.append(Text((x, high + 3.5), name, BODY, "middle", bold=True))
    length, width = length_text(match.board_length_m, show), length_text(match.board_width_m, show)
    shapes += across(left, right, low - 9.0, low - 3.0, f"both boards {length} × {width}")
    shapes += upright(_GAP, high, left - 7.0, left - 1.0, width)
    shapes += scale_bar(left, low - 19.0, show, scale)
    return Drawing(f"{plan.design.name}, book-match", tuple(shapes), scale)


def _points(points: FloatArray, lay: BoardLay, scale: float) -> list[Point]:
    gap = _GAP if lay.above else -_GAP
    return [(1e3 * scale * u, 1e3 * scale * v + gap) for u, v in points.tolist()]


def _words(lay: BoardLay, scale: float, end: str) -> list[Shape]:
    """Face, edges and ends on one board."""
    left, low, right, high = polygon(_points(lay.pattern, lay, scale), OUTLINE).bounds
    width, middle = right - left, 0.5 * (low + high)
    top, back = (low + 1.5, high - 6.0) if lay.above else (high - 4.0, low + 4.0)
    name = f"{lay.hand} side" if lay.piece == "main" else f"{lay.hand} return"
    if width < 60.0:
        return [Text((left + 0.5 * width, middle - 1.0), name, SMALL, "middle")]
    x = left + 0.3 * width
    return [
        Text((x, middle + 0.6), "OUTSIDE", BODY, "middle", bold=True),
        Text((x, middle - 3.6), name, BODY, "middle"),
        Text((left + 0.47 * width, top), "TOP", SMALL, "middle", bold=True),
        Text((left + 0.47 * width, back), "BACK", SMALL, "middle", bold=True),
        Text((left + 1.5, middle - 1.2), "TAIL", SMALL, bold=True),
        Text((right - 1.5, middle - 1.2), end, SMALL, "end", bold=True),
    ]
