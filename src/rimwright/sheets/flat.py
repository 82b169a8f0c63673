"""The flat pattern of a side at full size: edges, blank, marks, zones and the words on it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from rimwright.sheets.dimension import BODY, HEAD, PITCH, across, scale_bar, upright
from rimwright.sheets.drawing import Drawing, Shape, Text
from rimwright.sheets.flat_words import (
    ends,
    mark_lines,
    mark_names,
    on_the_wood,
    zone_bars,
    zone_names,
)
from rimwright.sheets.lay import Lay
from rimwright.units import length_text

if TYPE_CHECKING:
    from rimwright.plan import Plan
    from rimwright.sides.pattern import SidePattern


def piece_words(pattern: SidePattern, plan: Plan) -> str:
    """Such as "treble side, return piece"; "bass side" alone where that says it all."""
    hand = pattern.rim.hand
    pieces = sum(1 for other in plan.sides if other.rim.hand == hand)
    return f"{hand} side" + (f", {pattern.rim.name} piece" if pieces > 1 else "")


def side_drawing(plan: Plan, pattern: SidePattern, *, titled: bool = True) -> Drawing:
    """The whole pattern at full size with every name, height and word on it.

    Parameters
    ----------
    plan : Plan
        The plan it belongs to.
    pattern : SidePattern
        One piece of side.
    titled : bool, default True
        With title, notes and scale bar under it; a page has its own title block.

    Returns
    -------
    Drawing
        Tail left, neck right, the outside face towards you.
    """
    show = plan.design.show
    lay = Lay(pattern, plan)
    shapes = lay.shapes() + mark_lines(lay)
    left, low, right, high = Drawing("", tuple(shapes)).bounds
    board = (left, right)
    shapes += mark_names(lay, high, show) + ends(lay)
    shapes += zone_bars(lay, plan, low - 5.0) + zone_names(lay, plan, low - 5.0)
    low = min(low, Drawing("", tuple(shapes)).bounds[1])
    if titled:
        words = f"saw {length_text(pattern.blank.stock_length_m, show)}"
        shapes += across(*board, low - 8.0, low - 4.0, words)
        for s, x, way in ((0.0, left, -1.0), (lay.end, right, 1.0)):
            foot, head = lay.span(s)
            words = length_text((head - foot) / 1e3, show)
            shapes += upright(foot, head, x + 7.0 * way, x + 1.0 * way, words)
    start = Drawing("", tuple(shapes)).bounds[0]
    shapes += on_the_wood(lay, start, PITCH[show])
    title = f"{plan.design.name}, {piece_words(pattern, plan)}"
    if titled:
        shapes += _title(lay, plan, title, low - 17.0)
    return Drawing(title, tuple(shapes))


def side_notes(plan: Plan, pattern: SidePattern) -> list[str]:
    """What the pattern's title says: face, edges, thickness, lines, ends."""
    show, blank = plan.design.show, pattern.blank
    thickness = length_text(pattern.thickness_m, show, fine=True)
    proud = length_text(pattern.proud_m, show)
    lay = Lay(pattern, plan)
    edges = "TOP edge down, BACK edge up" if lay.top_down else "TOP edge up, BACK edge down"
    left, right = lay.end_words
    board = f"{length_text(blank.stock_length_m, show)} × {length_text(blank.stock_width_m, show)}"
    least = f"{length_text(blank.length_m, show)} × {length_text(blank.width_m, show)}"
    notes = [
        f"OUTSIDE face towards you. {edges}. {left} left, {right} right.",
        f"Laid out on the middle line, {thickness} thick at bending.",
        f"Full line: finished edge. Dashed: {proud} proud, to cut before bending.",
        f"Thin rectangle: board to saw, {board} (least blank {least}).",
        _sentence(pattern.neck_end_words),
    ]
    if pattern.mitre_rad is not None:
        angle = np.degrees(pattern.mitre_rad)
        notes.append(f"Mitre at the tip of the horn: {angle:.1f}° between end face and length.")
    return notes


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}." if words else ""


def _title(lay: Lay, plan: Plan, title: str, y: float) -> list[Shape]:
    rows = [*side_notes(plan, lay.pattern), f"Plan {plan.code}."]
    left = 1e3 * lay.first
    shapes: list[Shape] = [Text((left, y), title, HEAD, bold=True)]
    shapes += [Text((left, y - 6.0 - 4.2 * i), words, BODY) for i, words in enumerate(rows)]
    shapes += scale_bar(left, y - 6.0 - 4.2 * len(rows) - 3.0, plan.design.show)
    return shapes
