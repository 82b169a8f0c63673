"""The paper strip: every mark at full size, one edge for the wood, one for the mould."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rimwright.sheets.callouts import Callout, rows_for, stairs
from rimwright.sheets.dimension import BODY, PITCH, text_width
from rimwright.sheets.drawing import HIDDEN, MARK, OUTLINE, Drawing, Shape, Text, line, rectangle
from rimwright.sheets.flat import piece_words
from rimwright.sheets.fonts import fitting
from rimwright.sheets.lay import Lay
from rimwright.sides.paper_strip import paper_strip

if TYPE_CHECKING:
    from rimwright.plan import Plan
    from rimwright.sides.pattern import SidePattern

_TICK = 3.0
_PITCH = 2.1


def strip_drawing(plan: Plan, pattern: SidePattern) -> Drawing:
    """The strip of one piece, tail left.

    The upper edge carries the marks on the middle line and lies on the flat wood; the
    lower edge carries them on the outer line and lies in the mould.
    """
    strip = paper_strip(pattern)
    wood = [Callout(1e3 * t.wood_m, 0.0, (t.name,)) for t in strip.ticks]
    mould = [Callout(1e3 * t.mould_m, 0.0, (t.name,)) for t in strip.ticks]
    deep = (max((*rows_for(wood), *rows_for(mould)), default=0) + 1) * _PITCH * BODY + 1.0
    height = 2.0 * (deep + _TICK) + 3.0 * BODY + 2.5
    names = max(text_width(t.name, bold=True) for t in strip.ticks)
    start = -1e3 * strip.trim_start_m
    end = 1e3 * max(strip.wood_end_m, strip.mould_end_m)
    furthest = max(c.x for c in (*wood, *mould))
    right = max(end + 1e3 * strip.trim_end_m, furthest + names + 4.0)
    shapes: list[Shape] = [rectangle(start, 0.0, right - start, height, OUTLINE)]
    shapes += [
        line((1e3 * strip.wood_end_m, height), (1e3 * strip.wood_end_m, height - _TICK), HIDDEN),
        line((1e3 * strip.mould_end_m, 0.0), (1e3 * strip.mould_end_m, _TICK), HIDDEN),
    ]
    for callouts, edge, way in ((wood, height, -1.0), (mould, 0.0, 1.0)):
        foot = edge + way * _TICK
        moved = [Callout(c.x, foot, c.lines) for c in callouts]
        shapes += [line((c.x, edge), (c.x, foot), MARK) for c in callouts]
        shapes += stairs(moved, foot - 2.2 if way > 0 else foot + 1.2, up=way > 0)
    middle = 0.5 * height
    step = PITCH[plan.design.show]
    name = f"{plan.design.name} {piece_words(pattern, plan)} · {plan.code}"
    first, last = Lay(pattern, plan).end_words
    rows = (
        (f"WOOD edge ↑ middle line · {name}", 0.8),
        (f"MOULD edge ↓ outer line · {first} left, {last} right", -3.7),
    )
    for i in range(max(1, round((right - 60.0) / step))):
        x = 2.0 + step * i
        for words, shift in rows:
            size = fitting(words, BODY, right - x - 2.0)
            shapes.append(Text((x, middle + shift), words, size))
    return Drawing(f"{plan.design.name}, paper strip, {piece_words(pattern, plan)}", tuple(shapes))
