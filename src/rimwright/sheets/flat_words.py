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
from rimwright.sheets.fonts import width
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
    """The name, the height and both distances of every mark, above the pattern."""
    callouts = []
    for mark in lay.pattern.marks:
        slats = ", slats too" if mark.on_slats else ""
        lines = (
            f"{mark.name}{slats}",
            f"wood {length_text(mark.s_middle_m, show)}",
            f"mould {length_text(mark.s_outer_m, show)}",
            f"height {length_text(mark.height_m, show)}",
        )
        callouts.append(Callout(1e3 * mark.s_middle_m, lay.span(mark.s_middle_m)[1], lines))
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
        Callout(1e3 * zone.from_middle_m, y, (_zone_words(zone, plan.design.show),))
        for zone in (check.zones if check else ())
    ]
    return stairs(callouts, y - 1.5, up=False)


def _zone_words(zone: Zone, show: Show) -> str:
    first, last = length_text(zone.from_middle_m, show), length_text(zone.to_middle_m, show)
    return f"{zone.name}: {zone.kind} {zone.tension_face}, {first.removesuffix(' mm')} to {last}"


def ends(lay: Lay) -> list[Shape]:
    """What is trimmed after bending, dashed and named."""
    shapes: list[Shape] = []
    for s, words in zip((0.0, lay.end), lay.end_words, strict=True):
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


#: Room for TAIL or NECK at an end. [mm]
_END = 24.0


def on_the_wood(lay: Lay, left: float, pitch: float) -> list[Shape]:
    """TOP and BACK on every sheet of a tiled print, OUTSIDE and the grain where there is room.

    `left` is where the first sheet begins and `pitch` from one sheet to the next. [mm]
    """
    end = 1e3 * lay.end
    lines = sorted({0.0, end, *(1e3 * m.s_middle_m for m in lay.pattern.marks)})
    spans = list(itertools.pairwise(lines))
    shapes: list[Shape] = []
    centres = [left + pitch * (k + 0.5) for k in range(int((end - left) // pitch) + 1)]
    for centre in centres:
        x = _clear(spans, centre, 11.0)
        top, back = lay.height(1e-3 * x)
        for z, inward, words in ((top, 1.0, "TOP"), (back, -1.0, "BACK")):
            y = lay.at(0.0, z + 0.0065 * inward)[1] - 2.0
            shapes.append(Text((x, y), words, 4.0, "middle", bold=True))
    whole = spans
    # TAIL and NECK take the ends.
    lines = sorted({*lines, min(_END, 0.5 * end), max(end - _END, 0.5 * end)})
    spans = [span for span in itertools.pairwise(lines) if _END <= sum(span) / 2 <= end - _END]
    spans = spans or [(0.0, end)]
    side = f"{lay.pattern.rim.hand} side"
    wide = max(width("OUTSIDE", 7.0, bold=True), width(side, 5.0, bold=True))
    room, raised = 0.5 * wide + 3.0, 0.0
    if all(b - a < 2.0 * room for a, b in spans):
        # On a short piece the words stand above TAIL and NECK instead of between them.
        spans, raised = whole, 14.0
    places = sorted(centres, key=lambda c: abs(_clear(spans, c, room) - c))
    x = _clear(spans, places[0], room)
    y = sum(lay.span(1e-3 * x)) / 2 + raised
    share = min(1.0, (max(b - a for a, b in spans) - 4.0) / wide)
    if share > 0.3:
        shapes.append(Text((x, y + 2.0), "OUTSIDE", 7.0 * share, "middle", bold=True))
        shapes.append(Text((x, y - 6.0 * share), side, 5.0 * share, "middle", bold=True))
    if len(places) > 1:
        shapes += _grain(lay, 1e-3 * _clear(spans, places[1], 24.0), 40.0)
    return shapes


def _clear(spans: list[tuple[float, float]], x: float, half: float) -> float:
    """The place nearest to `x` where words `half` a width to either side cross no line."""
    fits = [(a + half, b - half) for a, b in spans if b - a >= 2.0 * half]
    if not fits:
        a, b = max(spans, key=lambda span: span[1] - span[0])
        return 0.5 * (a + b)
    return min((min(max(x, a), b) for a, b in fits), key=lambda place: abs(place - x))


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
