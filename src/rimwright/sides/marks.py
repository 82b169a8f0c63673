"""The marks along a side: named places and the limits of zones, on all three lines."""

from __future__ import annotations

import numpy as np

from rimwright.instrument.outline import Half, RimPiece
from rimwright.instrument.plates import PlateSurfaces
from rimwright.instrument.stations import features
from rimwright.sides.pattern import Mark, Zone


def marks_of(
    rim: RimPiece,
    half: Half,
    surfaces: PlateSurfaces,
    thickness_m: float,
    zones: tuple[Zone, ...] = (),
) -> tuple[Mark, ...]:
    """Every mark to carry across wood, slats, blanket and mould, in order from the tail.

    Parameters
    ----------
    rim : RimPiece
        The piece; its marks are measured from its start, the tail seam or the horn's tip.
    half : Half
        The half it belongs to.
    surfaces : PlateSurfaces
        Both plates, for the height at each mark.
    thickness_m : float
        Of the side at bending. [m]
    zones : tuple of Zone, optional
        Stretches whose limits are marked too ("tape at the horn begins").

    Returns
    -------
    tuple of Mark
        The waist's mark is the one that also goes on slats and blanket; a piece without a
        waist has its scoop or its widest place carried over instead.
    """
    places = [(place.s_m, place.mark_name) for place in features(half) if place.piece == rim.name]
    names = [name for _, name in places]
    carried = next((name for name in ("waist", "scoop", "widest lower bout") if name in names), "")
    for zone in zones:
        places.append((zone.from_outer_m, f"{zone.name} begins"))
        places.append((zone.to_outer_m, f"{zone.name} ends"))
    places.sort(key=lambda place: place[0])
    s = np.array([place[0] for place in places])
    x, y = rim.at(s).position.T
    heights = surfaces.rim_height(x, y)
    turn = rim.turn_to(s)
    whole = rim.length - 0.5 * thickness_m * float(rim.turn_to(np.array([rim.length]))[0])
    return tuple(
        Mark(
            name=name,
            s_outer_m=float(at),
            s_middle_m=float(at - 0.5 * thickness_m * bend),
            s_inner_m=float(at - thickness_m * bend),
            from_far_end_m=float(whole - (at - 0.5 * thickness_m * bend)),
            height_m=float(height),
            on_slats=name == carried,
        )
        for (at, name), bend, height in zip(places, turn, heights, strict=True)
    )
