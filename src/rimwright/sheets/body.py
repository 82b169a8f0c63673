"""The body's plan: outline, centreline, block, tight zones and the widths a maker checks."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

import numpy as np

from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.instrument.outline import Hand, RimPiece
from rimwright.instrument.stations import Feature, features
from rimwright.sheets.dimension import BODY, SMALL, leader, scale_bar
from rimwright.sheets.drawing import (
    CENTRE,
    DIMENSION,
    FINE,
    HIDDEN,
    OUTLINE,
    VISIBLE,
    Drawing,
    Shape,
    Text,
    line,
)
from rimwright.sheets.views import BodyView, body_view
from rimwright.units import length_text

if TYPE_CHECKING:
    from rimwright.bending.results import PieceCheck
    from rimwright.plan import Plan

#: How many tight places of a side are named, and up to how many times the tightest radius.
_TOLD, _NEAR = 2, 2.2


def body_drawing(plan: Plan, scale: float) -> Drawing:
    """The whole body with its tight zones, for the head of the run sheet.

    Parameters
    ----------
    plan : Plan
        What to draw.
    scale : float
        Drawn size over true size; words keep their size.

    Returns
    -------
    Drawing
        Tail left, neck right.
    """
    view = body_view(plan.design, scale)
    shapes: list[Shape] = [view.path(piece.chain, OUTLINE) for piece in plan.outline.pieces]
    _, low, _, high = Drawing("", tuple(shapes)).bounds
    length = 1e3 * scale * plan.outline.length_m
    shapes.append(line((-6.0, 0.0), (length + 6.0, 0.0), CENTRE))
    shapes += _block(plan, view)
    for check in plan.check.pieces:
        shapes += _zones(plan, view, check)
    shapes += _sides(plan, view, length)
    shapes += _stations(plan, view, low, high)
    hands: tuple[Hand, Hand] = ("bass", "treble")
    for hand in hands:
        shapes += _tight(plan, view, hand, length)
    _, low, _, _ = Drawing("", tuple(shapes)).bounds
    shapes += scale_bar(0.0, low - 7.0, plan.design.show, scale)
    words = Text((0.0, low - 12.5), view.words, BODY, bold=True)
    shapes.append(words)
    shapes.append(Text((words.width + 4.0, low - 12.5), "combs: tape or support", SMALL))
    return Drawing(f"{plan.design.name}, {view.words}", tuple(shapes), scale)


def _block(plan: Plan, view: BodyView) -> list[Shape]:
    """The neck block, hidden under the plate."""
    ends, x1 = plan.design.ends, plan.outline.length_m
    x0, half = x1 - ends.neck_block_length_m, 0.5 * ends.neck_block_width_m
    corners = [(x1, -half), (x0, -half), (x0, half), (x1, half)]
    chain = Chain(tuple(Arc.line(a, b) for a, b in itertools.pairwise(corners)))
    return [view.path(chain, HIDDEN)]


def _sides(plan: Plan, view: BodyView, length: float) -> list[Shape]:
    """Names of the sides and ends, inside the body between the lines of the stations."""
    up, down = ("treble", "bass") if view.treble_up else ("bass", "treble")
    stations = [1e3 * view.scale * place.x_m for place, _ in _widest(plan)][:2]
    x = 0.5 * sum(stations) if len(stations) == 2 else 0.65 * length
    return [
        Text((x, 6.0), f"{up} side", BODY, "middle", bold=True),
        Text((x, -6.0 - BODY), f"{down} side", BODY, "middle", bold=True),
        Text((-8.0, -0.5 * BODY), "tail", BODY, "end", bold=True),
        Text((length + 8.0, -0.5 * BODY), "neck", BODY, "start", bold=True),
    ]


def _widest(plan: Plan) -> list[tuple[Feature, float]]:
    """Bouts and waist with their widths: of the plain half twice where the other is cut."""
    plain = [half for half in plan.outline.halves if half.cutaway == "none"]
    first, second = (plain * 2)[:2] if plain else plan.outline.halves
    other = {one.name: abs(one.y_m) for one in features(second)}
    return [
        (one, abs(one.y_m) + other.get(one.name, abs(one.y_m)))
        for one in features(first)
        if one.kind in ("widest", "narrowest")
    ]


def _stations(plan: Plan, view: BodyView, low: float, high: float) -> list[Shape]:
    """Widths over the body and distances from the tail under it."""
    show, factor = plan.design.show, 1e3 * view.scale
    above, below = high + 6.0, low - 8.0
    shapes: list[Shape] = []
    taken = -1e9
    for place, width in _widest(plan):
        x, reach = factor * place.x_m, factor * abs(place.y_m)
        shapes.append(line((x, -reach), (x, reach), FINE))
        name = Text((x, above + 5.6), place.name, BODY, "middle", bold=True)
        figure = Text((x, above + 2.0), length_text(width, show), BODY, "middle")
        # Names that would touch stand in a second row.
        raised = 8.5 if min(name.bounds[0], figure.bounds[0]) < taken + 1.5 else 0.0
        taken = -1e9 if raised else max(name.bounds[2], figure.bounds[2])
        shapes += [name.moved(0.0, raised), figure.moved(0.0, raised)]
        shapes.append(line((x, reach + 1.0), (x, above + 1.0 + raised), DIMENSION))
        shapes.append(line((x, -reach - 1.0), (x, below), DIMENSION))
    stations = [0.0, *(p.x_m for p, _ in _widest(plan)), plan.outline.length_m]
    length = factor * plan.outline.length_m
    shapes.append(line((0.0, below), (length, below), DIMENSION))
    for x in (0.0, length):
        shapes.append(line((x, -2.0), (x, below), DIMENSION))
    taken = -1e9
    for x_m in stations:
        x = factor * x_m
        shapes.append(line((x - 1.2, below - 1.2), (x + 1.2, below + 1.2), VISIBLE))
        words = length_text(x_m, show) if x_m else "0"
        text = Text((x, below - 5.0), words, BODY, "middle")
        lowered = 4.0 if text.bounds[0] < taken + 1.5 else 0.0
        taken = -1e9 if lowered else text.bounds[2]
        shapes.append(text.moved(0.0, -lowered))
    shapes.append(Text((-8.0, below - 1.0), "from tail", SMALL, "end"))
    return shapes


def _rim(plan: Plan, check: PieceCheck) -> RimPiece:
    wanted = (check.hand, check.piece)
    return next(p for p in plan.outline.pieces if (p.hand, p.name) == wanted)


def _zones(plan: Plan, view: BodyView, check: PieceCheck) -> list[Shape]:
    """A comb of short strokes on the face in tension along every zone."""
    rim = _rim(plan, check)
    shapes: list[Shape] = []
    for zone in check.zones:
        count = max(3, round(1e3 * view.scale * (zone.to_outer_m - zone.from_outer_m) / 1.6))
        s = np.linspace(zone.from_outer_m, zone.to_outer_m, count + 1)
        frame = rim.at(s)
        inward = 1.0 if rim.hand == "bass" else -1.0
        normal = inward * np.column_stack([-np.sin(frame.heading), np.cos(frame.heading)])
        way = -1.0 if zone.tension_face == "outside" else 1.0
        far = frame.position + way * normal * (3.0e-3 / view.scale)
        pairs = zip(view.points(frame.position), view.points(far), strict=True)
        shapes += [line(near, away, VISIBLE) for near, away in pairs]
    return shapes


def _tight(plan: Plan, view: BodyView, hand: Hand, length: float) -> list[Shape]:
    """Names of a side's tightest places, beyond the neck end where the sheet is free."""
    places = [
        (check, place)
        for check in plan.check.pieces
        if check.hand == hand
        for place in check.tight_places
    ]
    tightest = sorted(places, key=lambda item: item[1].radius_m)[:_TOLD]
    tightest = [p for p in tightest if p[1].radius_m <= _NEAR * tightest[0][1].radius_m]
    tips = [
        (view.points(_rim(plan, check).at(np.array([place.s_outer_m])).position)[0], place)
        for check, place in tightest
    ]
    # Each name as level with its place as its neighbours allow, so that no leaders cross.
    tips.sort(key=lambda item: abs(item[0][1]))
    shapes: list[Shape] = []
    height = 1.0
    for tip, place in tips:
        height = max(height + 12.0, abs(tip[1]))
        foot = (length + 8.0, height if view.up(hand) else -height)
        words = [place.name, f"radius {length_text(place.radius_m, plan.design.show)}"]
        shapes += leader(tip, foot, words, bold_first=True)
    return shapes
