"""What stands on a flat pattern: marks, zones, ends, faces, edges and grain."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

import numpy as np

from rimwright.sheets.callouts import Callout, stairs
from rimwright.sheets.dimension import HEAD, SMALL, Show, arrow
from rimwright.sheets.drawing import (
    DIMENSION,
    FINE,
    HIDDEN,
    MARK,
    VISIBLE,
    Shape,
    Text,
    line,
    rectangle,
)
from rimwright.sheets.lay import Lay
from rimwright.units import length_text

if TYPE_CHECKING:
    from rimwright.bending.results import PieceCheck
    from rimwright.plan import Plan
    from rimwright.sides.pattern import SidePattern, Zone


def check_of(plan: Plan, pattern: SidePattern) -> PieceCheck | None:
    """The bend check of a pattern's piece."""
    wanted = (pattern.rim.hand, pattern.rim.name)
    return next((c for c in plan.check.pieces if (c.hand, c.piece) == wanted), None)


def mark_lines(lay: Lay) -> list[Shape]:
    """A line across the wood at each mark."""
    shapes: list[Shape] = []
    for mark in lay.pattern.marks:
        x, (low, high) = 1e3 * mark.s_middle_m, lay.span(mark.s_middle_m)
        shapes.append(line((x, low), (x, high), MARK))
    return shapes


def mark_names(lay: Lay, high: float, show: Show) -> list[Shape]:
    """The name, both distances and the height of every mark, above the pattern."""
    callouts = []
    for mark in lay.pattern.marks:
        edge = lay.span(mark.s_middle_m)[1]
        slats = ", slats too" if mark.on_slats else ""
        wood, mould = length_text(mark.s_middle_m, show), length_text(mark.s_outer_m, show)
        lines = (
            f"{mark.name}{slats}",
            f"wood {wood}",
            f"mould {mould}",
            f"high {length_text(mark.height_m, show)}",
        )
        callouts.append(Callout(1e3 * mark.s_middle_m, edge, lines))
    return stairs(callouts, high + 2.0, up=True)


def zone_bars(lay: Lay, plan: Plan, y: float) -> list[Shape]:
    """A hatched bar under every stretch that wants tape or support."""
    check = check_of(plan, lay.pattern)
    shapes: list[Shape] = []
    for zone in check.zones if check else ():
        first, last = 1e3 * zone.from_middle_m, 1e3 * zone.to_middle_m
        shapes.append(rectangle(first, y, last - first, 3.0, VISIBLE))
        for x in np.arange(first, last - 3.0, 3.0).tolist():
            shapes.append(line((x, y), (x + 3.0, y + 3.0), FINE))
    return shapes


def zone_names(lay: Lay, plan: Plan, y: float) -> list[Shape]:
    """Zones that want tape or support, named below their bars."""
    check = check_of(plan, lay.pattern)
    callouts = [
        Callout(1e3 * z.from_middle_m, y, (z.name, *_zone_words(z, plan.design.show)))
        for z in (check.zones if check else ())
    ]
    return stairs(callouts, y - 3.0, up=False)


def _zone_words(zone: Zone, show: Show) -> tuple[str, str]:
    first, last = length_text(zone.from_middle_m, show), length_text(zone.to_middle_m, show)
    return f"{zone.kind} on the {zone.tension_face}", f"{first} to {last}"


def ends(lay: Lay) -> list[Shape]:
    """What is trimmed after bending, dashed and named."""
    shapes: list[Shape] = []
    for s, words in ((0.0, "TAIL"), (lay.end, "NECK")):
        top, back = lay.height(s)
        x, middle = lay.at(s, 0.5 * (top + back))
        shapes.append(line(lay.at(s, top - 0.004), lay.at(s, back + 0.004), HIDDEN))
        way = 1.0 if s == 0.0 else -1.0
        shapes.append(_end_word(lay, x, middle, words, way))
        trim = 1e3 * (lay.pattern.blank.trim_tail_m if s == 0.0 else lay.pattern.blank.trim_neck_m)
        if trim >= 8.0:
            at = (x - 0.5 * way * trim + 0.5 * SMALL, middle)
            shapes.append(Text(at, "trim after bending", SMALL, "middle", angle=90.0))
    return shapes


def _end_word(lay: Lay, x: float, y: float, words: str, way: float) -> Text:
    """TAIL or NECK inside its end, past marks that stand too close to write between."""
    text = Text((x, y), words, 5.0, "start" if way > 0 else "end", bold=True)
    need = text.width + 5.0
    for mark in sorted((1e3 * m.s_middle_m for m in lay.pattern.marks), reverse=way < 0):
        if way * (mark - x) > 0.5:
            if way * (mark - x) >= need:
                break
            x = mark
    return text.moved(x + 2.5 * way - text.at[0], 0.0)


def on_the_wood(lay: Lay) -> list[Shape]:
    """TOP, BACK, OUTSIDE and the grain, set in the widest spans between marks."""
    stations = sorted({0.0, lay.end, *(m.s_middle_m for m in lay.pattern.marks)})
    spans = sorted(itertools.pairwise(stations), key=lambda p: p[0] - p[1])
    shapes: list[Shape] = []
    for first, last in spans[:3]:
        middle = 0.5 * (first + last)
        top, back = lay.height(middle)
        for z, inward, words in ((top, 1.0, "TOP"), (back, -1.0, "BACK")):
            x, y = lay.at(middle, z + 0.006 * inward)
            shapes.append(Text((x, y - 2.0), words, 4.0, "middle", bold=True))
    first, last = spans[0]
    x, y = lay.at(0.5 * (first + last), sum(lay.height(0.5 * (first + last))) / 2)
    room = 1e3 * (last - first) - 30.0
    size = min(7.0, 7.0 * room / Text((0, 0), "OUTSIDE", 7.0, bold=True).width)
    if size > 2.0:
        shapes.append(Text((x, y + 3.0), "OUTSIDE", size, "middle", bold=True))
        words = f"{lay.pattern.rim.hand} side"
        shapes.append(Text((x, y - 5.0), words, min(5.0, size), "middle", bold=True))
    first, last = spans[1] if len(spans) > 1 else spans[0]
    shapes += _grain(lay, 0.5 * (first + last), min(60.0, 1e3 * (last - first) - 20.0))
    return shapes


def _grain(lay: Lay, s: float, length: float) -> list[Shape]:
    """A double arrow along the grain."""
    x, y = lay.at(s, sum(lay.height(s)) / 2)
    angle = -lay.turn
    dx, dy = 0.5 * length * float(np.cos(angle)), 0.5 * length * float(np.sin(angle))
    turned = f", turned {np.degrees(abs(angle)):.1f}°" if angle else ""
    return [
        line((x - dx, y - dy), (x + dx, y + dy), DIMENSION),
        arrow((x + dx, y + dy), float(angle)),
        arrow((x - dx, y - dy), float(angle + np.pi)),
        Text((x, y + abs(dy) + 2.0), f"grain{turned}", HEAD, "middle"),
    ]
