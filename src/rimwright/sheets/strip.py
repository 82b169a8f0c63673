"""The paper strip: every mark at full size, one edge for the wood, one for the mould."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rimwright.sheets.callouts import Callout, rows_for, stairs
from rimwright.sheets.dimension import BODY, SMALL
from rimwright.sheets.drawing import MARK, OUTLINE, Drawing, Shape, Text, line, rectangle
from rimwright.sheets.flat import piece_words

if TYPE_CHECKING:
    from rimwright.plan import Plan
    from rimwright.sides.pattern import SidePattern

_TICK = 4.0
_PITCH = 2.2


def strip_drawing(plan: Plan, pattern: SidePattern) -> Drawing:
    """The strip of one piece, tail left.

    The upper edge carries the marks on the middle line and lies on the flat wood; the
    lower edge carries them on the outer line and lies in the mould.
    """
    wood = [Callout(1e3 * m.s_middle_m, 0.0, (m.name,)) for m in pattern.marks]
    mould = [Callout(1e3 * m.s_outer_m, 0.0, (m.name,)) for m in pattern.marks]
    deep = (max(rows_for(wood, SMALL), default=0) + 1) * _PITCH * SMALL + 2.0
    height = 2.0 * (deep + _TICK) + 3.0 * BODY + 4.0
    ends = (1e3 * (pattern.length_middle_m + pattern.neck_end_m), 1e3 * pattern.length_outer_m)
    length = max(ends) + 15.0
    shapes: list[Shape] = [rectangle(-12.0, 0.0, length + 12.0, height, OUTLINE)]
    for callouts, edge, way in ((wood, height, -1.0), (mould, 0.0, 1.0)):
        foot = edge + way * _TICK
        moved = [Callout(c.x, foot, c.lines) for c in callouts]
        shapes += [line((c.x, edge), (c.x, foot), MARK) for c in callouts]
        shapes += stairs(moved, foot - 2.0 if way > 0 else foot + 1.0, up=way > 0, size=SMALL)
    middle = 0.5 * height
    shapes += _repeated(f"WOOD edge ↑ middle line · {_name(plan, pattern)}", length, middle + 1.0)
    shapes += _repeated("MOULD edge ↓ outer line · TAIL left, NECK right", length, middle - 4.5)
    title = f"{plan.design.name}, paper strip, {piece_words(pattern, plan)}"
    return Drawing(title, tuple(shapes))


def _name(plan: Plan, pattern: SidePattern) -> str:
    return f"{plan.design.name} {piece_words(pattern, plan)} · {plan.code}"


def _repeated(words: str, length: float, y: float) -> list[Shape]:
    """The words again and again along the strip, so that every page of it says them."""
    step = 160.0
    return [
        Text((2.0 + step * i, y), words, BODY)
        for i in range(max(1, int((length - 20.0) // step) + (length % step > 100.0)))
    ]
