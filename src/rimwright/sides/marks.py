"""The marks along a side: named places and the limits of zones, on all three lines."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from rimwright.curves.piece import FloatArray
from rimwright.instrument.outline import Half, RimPiece
from rimwright.instrument.stations import features
from rimwright.sides.pattern import Mark, Zone

#: A zone's limit this near to a mark shares it; ours, a pencil line and a bit. [m]
_SAME = 0.001


@dataclass(frozen=True, slots=True)
class Place:
    """A mark to be: its name and where it lies on the outer line. [m]"""

    s_m: float
    name: str
    #: Also to be put on slats and blanket.
    on_slats: bool = False


def places_to_mark(rim: RimPiece, half: Half, zones: tuple[Zone, ...] = ()) -> tuple[Place, ...]:
    """Every place to carry across wood, slats, blanket and mould, in order from the start.

    The waist is the one that also goes on slats and blanket; a piece without a waist has
    its scoop or its widest place carried over instead. Of a zone both limits are marked
    ("tape at the horn begins").
    """
    named = [place for place in features(half) if place.piece == rim.name]
    names = [place.mark_name for place in named]
    wanted = ("waist", "scoop", "widest lower bout")
    carried = next((name for name in wanted if name in names), "")
    places = [Place(place.s_m, place.mark_name, place.mark_name == carried) for place in named]
    limits = [(zone.from_outer_m, f"{zone.name} begins") for zone in zones]
    limits += [(zone.to_outer_m, f"{zone.name} ends") for zone in zones]
    for s, name in sorted(limits):
        beside = next((i for i, place in enumerate(places) if abs(place.s_m - s) < _SAME), None)
        if beside is None:
            places.append(Place(s, name))
        else:
            # Two pencil lines on top of each other are one line with two names.
            there = places[beside]
            places[beside] = replace(there, name=f"{there.name}, {name}")
    return tuple(sorted(places, key=lambda place: place.s_m))


def marks_at(
    places: tuple[Place, ...],
    s_outer: FloatArray,
    turn: FloatArray,
    rim_height: FloatArray,
    thickness_m: float,
) -> tuple[Mark, ...]:
    """The marks at those places, read off the stations of the edges.

    Parameters
    ----------
    places : tuple of Place
        Each at one of the stations.
    s_outer, turn, rim_height : array-like
        Stations on the outer line [m], the turn up to each [rad] and the height of the
        rim there [m], shape (n,).
    thickness_m : float
        Of the side at bending. [m]
    """
    middle = s_outer - 0.5 * thickness_m * turn
    inner = s_outer - thickness_m * turn
    rows = np.searchsorted(s_outer, [place.s_m for place in places])
    return tuple(
        Mark(
            name=place.name,
            s_outer_m=float(s_outer[row]),
            s_middle_m=float(middle[row]),
            s_inner_m=float(inner[row]),
            from_far_end_m=float(middle[-1] - middle[row]),
            height_m=float(rim_height[row]),
            on_slats=place.on_slats,
        )
        for place, row in zip(places, np.minimum(rows, len(s_outer) - 1), strict=True)
    )
