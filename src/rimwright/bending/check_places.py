"""The tight bends of a piece, named in words, with what a trace leaves open."""

from __future__ import annotations

import numpy as np

from rimwright.bending.check_line import BentPiece, sign_run, tight_stations, worst_near
from rimwright.bending.results import TightPlace
from rimwright.instrument.design import Design
from rimwright.instrument.outline import RadiusRange
from rimwright.instrument.stations import place_in_words
from rimwright.units import length_text

#: A trace's range is of the tightest bend: of this share of the greatest curvature at least.
_TIGHTEST = 0.95


def tight_places(bent: BentPiece, design: Design) -> tuple[TightPlace, ...]:
    """The bends of a piece, the most strained first; of each name only the worst."""
    found: dict[str, TightPlace] = {}
    for i in tight_stations(bent.s, bent.curvature, bent.strain):
        s = float(bent.s[i])
        words = place_in_words(bent.half, bent.rim, s, design.show)
        name, radius, distance = words.split(", ", 2)
        if name in found:
            continue
        if bent.outline.noise_m is not None:
            radius = _traced(bent, i, design)
            words = ", ".join((name, radius, distance))
        worst = worst_near(bent.s, bent.curvature, bent.strain, i)
        found[name] = TightPlace(
            name=name,
            words=words,
            s_outer_m=s,
            radius_m=float(1.0 / abs(bent.curvature[worst])),
            convex=bool(bent.curvature[i] > 0.0),
            utilisation=None if bent.used is None else float(bent.used[worst]),
        )
    return tuple(found.values())


def name_at(places: tuple[TightPlace, ...], s: float, *, convex: bool) -> str:
    """What the bend at `s` is called: as the nearest place that bends the same way."""
    same = [place for place in places if place.convex == convex] or list(places)
    if not same:
        return "the flattest of sides"
    return min(same, key=lambda place: abs(place.s_outer_m - s)).name


def radius_range(bent: BentPiece, i: int) -> RadiusRange | None:
    """What a trace leaves open of the bend at station `i`; None if it says nothing of it."""
    sense = "convex" if bent.curvature[i] > 0.0 else "concave"
    span = bent.outline.radius_ranges.get((bent.rim.hand, bent.rim.name, sense))
    if span is None:
        return None
    first, last = sign_run(bent.curvature, i)
    size = np.abs(bent.curvature)
    here = bent.s[first] <= span.s_m <= bent.s[last]
    return span if here and size[i] >= _TIGHTEST * size[first : last + 1].max() else None


def _traced(bent: BentPiece, i: int, design: Design) -> str:
    """A radius read from a trace: with its range where the trace gives one, else "about"."""
    span = radius_range(bent, i)
    if span is None:
        return f"about {_whole(float(1.0 / abs(bent.curvature[i])), design)} radius"
    low, high = _whole(span.low_m, design), _whole(span.high_m, design)
    return f"about {_whole(span.middle_m, design)} radius ({low} to {high} by the trace)"


def _whole(length_m: float, design: Design) -> str:
    if design.show == "metric":
        return f"{length_m * 1e3:.0f} mm"
    return length_text(length_m, "inch")
