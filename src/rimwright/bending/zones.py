"""Where tape and support go, and on which face.

The face in tension is the outside where the side is convex (bouts, horn) and the inside
where it is concave (waist, scoop); there tape, a strap or a slat pressed tight carries the
fibres over a weak place.
"""

from __future__ import annotations

import numpy as np

from rimwright.bending.check_line import BentPiece, sign_run
from rimwright.bending.results import TightPlace
from rimwright.sides.pattern import Zone

#: Shares of the capacity from which a bend is supported, and from which also taped; ours.
SUPPORT, TAPE = 0.50, 0.75
#: The same as strain where no wood is named: the ends of the published 1.5 to 2 % that
#: steamed wood is trusted with (Stevens & Turner 1970, from memory).
SUPPORT_STRAIN, TAPE_STRAIN = 0.015, 0.020
#: A zone reaches this far beyond where it is needed, never into the opposite bend. [m]
_BEYOND = 0.010


def care_zones(bent: BentPiece, places: tuple[TightPlace, ...]) -> tuple[Zone, ...]:
    """The stretches to tape or support, in order from the tail.

    Parameters
    ----------
    bent : BentPiece
    places : tuple of TightPlace
        Every tight bend of the piece; each zone takes the name of the one it holds.

    Returns
    -------
    tuple of Zone
        Of kind "tape" (taped and supported) or "support".
    """
    s, curvature = bent.s, bent.curvature
    if bent.used is None:
        need, support, tape = bent.strain, SUPPORT_STRAIN, TAPE_STRAIN
    else:
        need, support, tape = bent.used, SUPPORT, TAPE
    zones: list[Zone] = []
    for place in sorted(places, key=lambda place: place.s_outer_m):
        i = int(np.argmin(np.abs(s - place.s_outer_m)))
        if need[i] < support:
            continue
        first, last = sign_run(curvature, i)
        enough = np.flatnonzero(need[first : last + 1] >= support) + first
        # Only the stretch that holds the place: another bend of the same sense has its own.
        cuts = np.flatnonzero(np.diff(enough) > 1)
        run = next(part for part in np.split(enough, cuts + 1) if part[0] <= i <= part[-1])
        start = max(s[run[0]] - _BEYOND, s[first])
        end = min(s[run[-1]] + _BEYOND, s[last])
        if zones and start < zones[-1].to_outer_m:
            if i <= int(np.searchsorted(s, zones[-1].to_outer_m)):
                continue
            start = zones[-1].to_outer_m
        limits = np.array([start, end])
        # The pattern's middle line, thinned or not: what the marks and the paper strip show.
        middle = limits - 0.5 * bent.pattern.thickness_m * bent.rim.turn_to(limits)
        zones.append(
            Zone(
                name=place.name,
                kind="tape" if need[run].max() >= tape else "support",
                from_outer_m=float(start),
                to_outer_m=float(end),
                from_middle_m=float(middle[0]),
                to_middle_m=float(middle[1]),
                tension_face="outside" if place.convex else "inside",
            )
        )
    return tuple(zones)
