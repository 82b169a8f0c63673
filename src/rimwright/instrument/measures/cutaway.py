"""The cutaway half of a body given by its measures.

All here is drawn on the bass side, where convex turns left, and mirrored afterwards.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.curves.fair import FairCurve, Waypoint, Wish, fair_curve
from rimwright.errors import GeometryError
from rimwright.instrument.design import Cutaway, Landmarks
from rimwright.instrument.measures.limits import millimetres, refuse

#: Heading at which the scoop leaves the horn: a rounded horn hangs over a little, a
#: pointed tip more, so that its corner is near a right angle; and more, up to the greatest,
#: where a horn so low would leave the line before it no room. Our choice; drawings differ.
_LEAVING = {"rounded": np.radians(100.0), "pointed": np.radians(120.0)}
_GREATEST_LEAVING = np.radians(140.0)
#: Turn aimed at in the horn, or in the corner of a pointed tip.
_AIM = {"rounded": np.radians(50.0), "pointed": np.radians(60.0)}
#: The scoop meets the neck along the centreline, or in a shallow cutaway up to this angle.
_STEEPEST = np.radians(60.0)
#: Least turn kept in the horn, and least turn of the corner at a pointed tip.
_LEAST_HORN, _LEAST_CORNER = np.radians(22.0), np.radians(40.0)
#: Heading at which the horn may be met at the earliest, a little before the widest place.
_EARLIEST = np.radians(-12.0)
#: The line before the horn stays rounder than the horn by this factor.
_ROUNDER = 1.1


@dataclass(frozen=True, slots=True)
class _Scoop:
    """Horn and scoop as placed by depth and radii."""

    #: Centre of the horn's circle; of a pointed one the tip itself.
    horn: tuple[float, float]
    scoop: Arc
    leaving: float


def cutaway_half(landmarks: Landmarks, plain: FairCurve) -> tuple[Chain, Chain | None, bool]:
    """Main piece, return piece (pointed only), and whether the upper bout had to move.

    Raises
    ------
    GeometryError
        If horn or scoop do not fit; the line names the measure and what would work.
    """
    cutaway = landmarks.cutaway
    assert cutaway is not None
    _check(landmarks, cutaway)
    found = _try(landmarks, cutaway, plain)
    if found is None:
        raise _refuse_depth(landmarks, cutaway, plain)
    return found


def _check(m: Landmarks, cutaway: Cutaway) -> None:
    """Refuse measures of the cutaway that cannot be."""
    room = 0.5 * m.upper_width_m
    rounded = cutaway.kind == "rounded"
    if rounded and cutaway.horn_radius_m is None:
        raise refuse("a rounded cutaway", "without a horn radius", "one", "give the horn radius")
    neck = cutaway.neck_half_width_m
    measures = [("scoop radius", cutaway.scoop_radius_m), ("neck half width", neck)]
    if rounded:
        measures.append(("horn radius", cutaway.horn_radius_m or 0.0))
    for words, value in measures:
        if not 1e-3 < value < room:
            raise refuse(
                words,
                millimetres(value),
                f"more than 1.0 mm and less than half the upper bout, {millimetres(room)}",
                f"give another {words}",
            )
    reach = neck + cutaway.scoop_radius_m
    horn = (cutaway.horn_radius_m or 0.0) if rounded else 0.0
    if reach + horn >= room:
        least = max(room - neck - horn, 0.0)
        raise refuse(
            "scoop radius",
            millimetres(cutaway.scoop_radius_m),
            f"less than {millimetres(least)}, so that neck, scoop and horn fit side by side "
            f"into half the upper bout, {millimetres(room)}",
            "make scoop, horn or neck half width smaller",
        )


def _try(
    m: Landmarks, cutaway: Cutaway, plain: FairCurve
) -> tuple[Chain, Chain | None, bool] | None:
    """The half with this cutaway, from the upper bout or from the waist, or None."""
    rounded = cutaway.kind == "rounded"
    horn_radius = (cutaway.horn_radius_m or 0.0) if rounded else 0.0
    front = _front(plain, cutaway.neck_half_width_m)
    base = float(_LEAVING[cutaway.kind])
    keeping = _leaving(m, cutaway, front)
    attempts = [(2, base), (2, base + 0.25), (2, base + 0.5), (2, base + 0.7)]
    if keeping is not None:
        attempts.insert(0, (3, keeping))
    for first, leaving in attempts:
        placed = _place(m, cutaway, front, leaving)
        if placed is None:
            continue
        try:
            lead = _lead(m, placed, horn_radius, plain, first)
        except GeometryError:
            continue
        if lead is None:
            continue
        kept = plain.span(0, first)
        pieces = kept.pieces + lead.pieces
        if not rounded:
            return Chain(pieces), Chain((placed.scoop,)), first == 2
        end = lead.end()
        turn = placed.leaving - float(end.heading[0])
        point = (float(end.position[0, 0]), float(end.position[0, 1]))
        horn = Arc(point, float(end.heading[0]), 1.0 / horn_radius, turn * horn_radius)
        return Chain((*pieces, horn, placed.scoop)), None, first == 2
    return None


def _leaving(m: Landmarks, cutaway: Cutaway, front: float) -> float | None:
    """The least overhang with which a single arc from the upper bout would fit the horn.

    None where no overhang does. Solved rather than stepped through, so that the shape follows its
    measures evenly.
    """
    horn = (cutaway.horn_radius_m or 0.0) if cutaway.kind == "rounded" else 0.0

    def lacks(leaving: float) -> bool:
        placed = _place(m, cutaway, front, leaving)
        if placed is None:
            return True
        ahead = placed.horn[0] - m.upper_station_m
        height = placed.horn[1] + 0.5 * m.upper_width_m
        if ahead <= 0.0 or height <= horn:
            return True
        # Tangent to the bout, touching the horn's circle from without.
        radius = (ahead**2 + height**2 - horn**2) / (2.0 * (height - horn))
        arrival = np.arctan2(height - radius, ahead) + 0.5 * np.pi
        return bool(leaving - arrival < _AIM[cutaway.kind])

    tries = np.linspace(_LEAVING[cutaway.kind], _GREATEST_LEAVING, 15)
    first = next((i for i, leaving in enumerate(tries) if not lacks(float(leaving))), None)
    if first is None or first == 0:
        return None if first is None else float(tries[0])
    low, high = float(tries[first - 1]), float(tries[first])
    for _ in range(20):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if lacks(middle) else (low, middle)
    return high


def _place(m: Landmarks, cutaway: Cutaway, front: float, leaving: float) -> _Scoop | None:
    """Horn and scoop: the tip at its depth, the scoop's end on the neck's flank."""
    horn = (cutaway.horn_radius_m or 0.0) if cutaway.kind == "rounded" else 0.0
    scoop, neck = cutaway.scoop_radius_m, cutaway.neck_half_width_m
    both = horn + scoop
    centre_x = m.body_length_m - cutaway.depth_m - horn + both * np.sin(leaving)
    # The scoop ends where it lies along the flank, but not in front of the plain half.
    ahead = centre_x - front
    meeting = float(np.arcsin(min(max(ahead / scoop, 0.0), 1.0)))
    if meeting > _STEEPEST:
        return None
    centre_y = -neck - scoop * np.cos(meeting)
    start = (
        float(centre_x - scoop * np.sin(leaving)),
        float(centre_y + scoop * np.cos(leaving)),
    )
    arc = Arc(start, leaving, -1.0 / scoop, scoop * (leaving - meeting))
    middle = (float(centre_x - both * np.sin(leaving)), float(centre_y + both * np.cos(leaving)))
    return _Scoop(middle, arc, leaving)


def _front(plain: FairCurve, half_width: float) -> float:
    """Station at which the plain half passes the neck's flank."""
    shoulder = plain.span(3, 4)
    grid = np.linspace(0.0, shoulder.length, 33)
    s = np.array([np.interp(-half_width, shoulder.at(grid).position[:, 1], grid)])
    for _ in range(3):
        frame = shoulder.at(s)
        s = s - (frame.position[:, 1] + half_width) / np.sin(frame.heading)
    return float(shoulder.at(s).position[0, 0])


def _lead(
    m: Landmarks, placed: _Scoop, horn_radius: float, plain: FairCurve, first: int
) -> Chain | None:
    """The fair stretch from the upper bout (3) or the waist (2) to horn or tip."""
    stations = {2: (m.waist_station_m, m.waist_width_m), 3: (m.upper_station_m, m.upper_width_m)}
    station, width = stations[first]
    scoop_radius = -1.0 / placed.scoop.curvature
    bend = float(plain.span(first, first + 1).start().curvature[0])
    begin = Waypoint(position=(station, -0.5 * width), heading=0.0, curvature=bend)
    # The line before the horn is no tighter than what the cutaway itself asks of the wood.
    most = 1.0 / (_ROUNDER * horn_radius if horn_radius else scoop_radius)
    wish = Wish(least=0.0, most=most) if first == 3 else Wish(most=most, inflection=-1)
    goal = Waypoint(
        position=placed.horn,
        radius=horn_radius or None,
        heading_guess=0.5 if first == 3 else 0.3,
    )
    chain = fair_curve([begin, goal], [wish]).chain
    frame = chain.at(np.linspace(0.0, chain.length, 200))
    arrival = float(frame.heading[-1])
    spare = _LEAST_HORN if horn_radius else _LEAST_CORNER
    # A horn met before the widest place is itself the bout, and must not stand out.
    widest = min(frame.position[:, 1].min(), placed.horn[1] - horn_radius if arrival < 0 else 0.0)
    fits = (
        _EARLIEST < arrival < placed.leaving - spare
        and np.abs(frame.heading).max() < 0.5 * np.pi
        and widest >= -0.5 * m.upper_width_m - 1e-9
    )
    return chain if fits else None


def _refuse_depth(m: Landmarks, cutaway: Cutaway, plain: FairCurve) -> GeometryError:
    """Which depths would have worked, or that horn and scoop fit at none."""
    depths = np.linspace(0.02, 0.6, 59) * m.body_length_m
    works = np.array(
        [_try(m, replace(cutaway, depth_m=float(d)), plain) is not None for d in depths]
    )
    # The run of depths nearest to the one asked for.
    good = depths[works]
    if good.size:
        nearest = int(np.argmin(np.abs(good - cutaway.depth_m)))
        gaps = np.flatnonzero(np.diff(good) > 1.5 * (depths[1] - depths[0]))
        run = np.split(good, gaps + 1)[int(np.searchsorted(gaps, nearest))]
        return refuse(
            "cutaway depth",
            millimetres(cutaway.depth_m),
            f"about {millimetres(run[0])} to {millimetres(run[-1])} with these radii",
            "change the depth, or horn and scoop radius",
        )
    words = "horn radius" if cutaway.kind == "rounded" else "scoop radius"
    value = cutaway.horn_radius_m if cutaway.kind == "rounded" else cutaway.scoop_radius_m
    return refuse(
        words,
        millimetres(value or 0.0),
        "a smaller one: at no depth do horn and scoop fit beside this neck",
        f"make the {words} or the neck half width smaller",
    )
