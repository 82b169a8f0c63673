"""The flat pattern of a side at full size: edges, blank, marks, zones and the words on it."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

import numpy as np

from rimwright.curves.piece import FloatArray
from rimwright.sheets.callouts import Callout, stairs
from rimwright.sheets.dimension import BODY, HEAD, SMALL, Show, across, arrow, scale_bar, upright
from rimwright.sheets.drawing import (
    DIMENSION,
    FINE,
    HIDDEN,
    MARK,
    OUTLINE,
    PROUD,
    VISIBLE,
    Drawing,
    Path,
    Pen,
    Point,
    Shape,
    Text,
    line,
    polygon,
    rectangle,
)
from rimwright.sheets.views import top_edge_down
from rimwright.units import length_text

if TYPE_CHECKING:
    from rimwright.bending.results import PieceCheck
    from rimwright.plan import Plan
    from rimwright.sides.pattern import SidePattern, Zone


def piece_words(pattern: SidePattern, plan: Plan) -> str:
    """Such as "treble side, return piece"; "bass side" alone where that says it all."""
    hand = pattern.rim.hand
    pieces = sum(1 for other in plan.sides if other.rim.hand == hand)
    return f"{hand} side" + (f", {pattern.rim.name} piece" if pieces > 1 else "")


def check_of(plan: Plan, pattern: SidePattern) -> PieceCheck | None:
    """The bend check of a pattern's piece."""
    wanted = (pattern.rim.hand, pattern.rim.name)
    return next((c for c in plan.check.pieces if (c.hand, c.piece) == wanted), None)


class _Lay:
    """How one pattern lies on the sheet."""

    def __init__(self, pattern: SidePattern, plan: Plan, scale: float) -> None:
        self.pattern, self.scale = pattern, scale
        self.top_down = top_edge_down(plan.design, pattern.rim.hand)
        #: Ends of the piece, and with what is trimmed later, on the middle line. [m]
        self.end = pattern.length_middle_m + pattern.neck_end_m
        self.first = -pattern.blank.trim_tail_m
        self.last = self.end + pattern.blank.trim_neck_m

    def at(self, s: float, z: float) -> Point:
        return 1e3 * self.scale * s, 1e3 * self.scale * (z if self.top_down else -z)

    def edge(self, edge: FloatArray, first: float, last: float) -> list[Point]:
        """An edge between two stations of the middle line.

        Past the drawn half the rim goes on over the block as it came, mirrored; before the
        tail seam it is drawn on level.
        """
        end, last_s = float(edge[-1, 1]), max(last, float(edge[-1, 1]))
        beyond = edge[(edge[:, 1] < end - 1e-9) & (edge[:, 1] > 2 * end - last_s)][::-1, 1:]
        rows = np.vstack([edge[:, 1:], beyond * [-1.0, 1.0] + [2 * end, 0.0]])
        s, z = rows[:, 0], rows[:, 1]
        inner = (s > first + 1e-9) & (s < last - 1e-9)
        ends = np.interp([first, last], s, z).tolist()
        kept = [tuple(row) for row in rows[inner].tolist()]
        return [self.at(*row) for row in [(first, ends[0]), *kept, (last, ends[1])]]

    def loop(self, top: FloatArray, back: FloatArray, first: float, last: float, pen: Pen) -> Path:
        points = self.edge(top, first, last) + self.edge(back, first, last)[::-1]
        return polygon(points, pen)

    def height(self, s: float) -> tuple[float, float]:
        """z of both edges at a station. [m]"""
        top, back = self.pattern.edge_top, self.pattern.edge_back
        return (
            float(np.interp(s, top[:, 1], top[:, 2])),
            float(np.interp(s, back[:, 1], back[:, 2])),
        )


def profile(pattern: SidePattern, plan: Plan, scale: float = 1.0) -> list[Shape]:
    """The bare pattern: the board, the proud loop and the finished loop."""
    lay = _Lay(pattern, plan, scale)
    return [
        _blank(lay),
        lay.loop(pattern.edge_top_proud, pattern.edge_back_proud, lay.first, lay.last, PROUD),
        lay.loop(pattern.edge_top, pattern.edge_back, 0.0, lay.end, OUTLINE),
    ]


def _mark_lines(lay: _Lay) -> list[Shape]:
    """A line across the wood at each mark."""
    shapes: list[Shape] = []
    for mark in lay.pattern.marks:
        top, back = lay.height(mark.s_middle_m)
        ends = lay.at(mark.s_middle_m, top), lay.at(mark.s_middle_m, back)
        shapes.append(line(*ends, MARK))
    return shapes


def _blank(lay: _Lay) -> Path:
    """The board to saw, turned as the pattern lies on it, the proud pattern in its middle."""
    pattern = lay.pattern
    loop = lay.loop(pattern.edge_top_proud, pattern.edge_back_proud, lay.first, lay.last, FINE)
    angle = pattern.blank.angle_rad * (-1.0 if lay.top_down else 1.0)
    c, s = np.cos(angle), np.sin(angle)
    turn = np.array([[c, -s], [s, c]])
    rows = np.array(loop.points) @ turn.T
    middle = 0.5 * (rows.min(axis=0) + rows.max(axis=0))
    half = 500.0 * lay.scale * np.array([pattern.blank.stock_length_m, pattern.blank.stock_width_m])
    corners = (middle + half * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])) @ turn
    return polygon([(float(x), float(y)) for x, y in corners], FINE)


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
    lay = _Lay(pattern, plan, 1.0)
    shapes = profile(pattern, plan) + _mark_lines(lay)
    left, low, right, high = Drawing("", tuple(shapes)).bounds
    board = (left, right)
    shapes += _names(lay, high, show)
    shapes += _on_the_wood(lay, show)
    shapes += _ends(lay)
    shapes += _zone_bars(lay, plan, low - 5.0)
    shapes += stairs(_zones(lay, plan, low - 5.0), low - 8.0, up=False)
    low = min(low, Drawing("", tuple(shapes)).bounds[1])
    if titled:
        words = f"saw {length_text(pattern.blank.stock_length_m, show)}"
        shapes += across(*board, low - 8.0, low - 4.0, words)
    heights = [(left, lay.height(0.0), -1.0), (right, lay.height(lay.end), 1.0)]
    for x, (top, back), way in heights:
        ys = sorted((lay.at(0.0, top)[1], lay.at(0.0, back)[1]))
        shapes += upright(*ys, x + 7.0 * way, x + 1.0 * way, length_text(back - top, show))
    title = f"{plan.design.name}, {piece_words(pattern, plan)}"
    if titled:
        shapes += _title(lay, plan, title, low - 17.0)
    return Drawing(title, tuple(shapes))


def side_notes(plan: Plan, pattern: SidePattern) -> list[str]:
    """What the pattern's title says: face, edges, thickness, lines, ends."""
    show, blank = plan.design.show, pattern.blank
    thickness = length_text(pattern.thickness_m, show, fine=True)
    proud = length_text(pattern.proud_m, show)
    down = top_edge_down(plan.design, pattern.rim.hand)
    edges = "TOP edge down, BACK edge up" if down else "TOP edge up, BACK edge down"
    board = f"{length_text(blank.stock_length_m, show)} × {length_text(blank.stock_width_m, show)}"
    least = f"{length_text(blank.length_m, show)} × {length_text(blank.width_m, show)}"
    notes = [
        f"OUTSIDE face towards you. {edges}. TAIL left, NECK right.",
        f"Laid out on the middle line, {thickness} thick at bending.",
        f"Full line: finished edge. Dashed line: {proud} proud, cut here if you profile before "
        "bending.",
        f"Thin rectangle: the board to saw, {board}; least blank {least}.",
        _sentence(pattern.neck_end_words),
    ]
    if pattern.mitre_rad is not None:
        angle = np.degrees(pattern.mitre_rad)
        notes.append(f"Mitre at the tip of the horn: {angle:.1f}° between end face and length.")
    return notes


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}." if words else ""


def _title(lay: _Lay, plan: Plan, title: str, y: float) -> list[Shape]:
    rows = [*side_notes(plan, lay.pattern), f"Plan {plan.code}."]
    left = 1e3 * lay.first
    shapes: list[Shape] = [Text((left, y), title, HEAD, bold=True)]
    shapes += [Text((left, y - 6.0 - 4.2 * i), words, BODY) for i, words in enumerate(rows)]
    shapes += scale_bar(left, y - 6.0 - 4.2 * len(rows) - 3.0, plan.design.show)
    return shapes


def _names(lay: _Lay, high: float, show: Show) -> list[Shape]:
    """The name, both distances and the height of every mark, above the pattern."""
    callouts = []
    for mark in lay.pattern.marks:
        edge = max(lay.at(0.0, z)[1] for z in lay.height(mark.s_middle_m))
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


def _zone_bars(lay: _Lay, plan: Plan, y: float) -> list[Shape]:
    """A hatched bar under every stretch that wants tape or support."""
    check = check_of(plan, lay.pattern)
    shapes: list[Shape] = []
    for zone in check.zones if check else ():
        first, last = 1e3 * zone.from_middle_m, 1e3 * zone.to_middle_m
        shapes.append(rectangle(first, y, last - first, 3.0, VISIBLE))
        for x in np.arange(first, last - 3.0, 3.0).tolist():
            shapes.append(line((x, y), (x + 3.0, y + 3.0), FINE))
    return shapes


def _zones(lay: _Lay, plan: Plan, y: float) -> list[Callout]:
    """Zones that want tape or support, named below their bars."""
    check = check_of(plan, lay.pattern)
    return [
        Callout(1e3 * z.from_middle_m, y, (z.name, *_zone_words(z, plan.design.show)))
        for z in (check.zones if check else ())
    ]


def _zone_words(zone: Zone, show: Show) -> tuple[str, str]:
    first, last = length_text(zone.from_middle_m, show), length_text(zone.to_middle_m, show)
    return f"{zone.kind} on the {zone.tension_face}", f"{first} to {last}"


def _ends(lay: _Lay) -> list[Shape]:
    """What is trimmed after bending, dashed and named."""
    shapes: list[Shape] = []
    for s, words in ((0.0, "TAIL"), (lay.end, "NECK")):
        top, back = lay.height(s)
        x, middle = lay.at(s, 0.5 * (top + back))
        ends = lay.at(s, top - 0.004), lay.at(s, back + 0.004)
        shapes.append(line(*ends, HIDDEN))
        way = 1.0 if s == 0.0 else -1.0
        shapes.append(_end_word(lay, x, middle, words, way))
        trim = 1e3 * (lay.pattern.blank.trim_tail_m if s == 0.0 else lay.pattern.blank.trim_neck_m)
        if trim >= 8.0:
            at = (x - 0.5 * way * trim + 0.5 * SMALL, middle)
            shapes.append(Text(at, "trim after bending", SMALL, "middle", angle=90.0))
    return shapes


def _end_word(lay: _Lay, x: float, y: float, words: str, way: float) -> Text:
    """TAIL or NECK inside its end, past marks that stand too close to write between."""
    text = Text((x, y), words, 5.0, "start" if way > 0 else "end", bold=True)
    need = text.width + 5.0
    for mark in sorted((1e3 * m.s_middle_m for m in lay.pattern.marks), reverse=way < 0):
        if way * (mark - x) > 0.5:
            if way * (mark - x) >= need:
                break
            x = mark
    return text.moved(x + 2.5 * way - text.at[0], 0.0)


def _on_the_wood(lay: _Lay, show: Show) -> list[Shape]:
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


def _grain(lay: _Lay, s: float, length: float) -> list[Shape]:
    """A double arrow along the grain."""
    x, y = lay.at(s, sum(lay.height(s)) / 2)
    angle = lay.pattern.blank.angle_rad * (1.0 if lay.top_down else -1.0)
    dx, dy = 0.5 * length * float(np.cos(angle)), 0.5 * length * float(np.sin(angle))
    turned = f", turned {np.degrees(abs(angle)):.1f}°" if angle else ""
    return [
        line((x - dx, y - dy), (x + dx, y + dy), DIMENSION),
        arrow((x + dx, y + dy), float(angle)),
        arrow((x - dx, y - dy), float(angle + np.pi)),
        Text((x, y + abs(dy) + 2.0), f"grain{turned}", HEAD, "middle"),
    ]
