"""A compensated form place by place: how far it is overbent, and where a bound acts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rimwright.bending.check_line import BentPiece, sign_run
from rimwright.bending.compensation_limits import Limit
from rimwright.bending.release import released_outline
from rimwright.bending.virtual_many import IntArray
from rimwright.curves.piece import FloatArray
from rimwright.instrument.stations import features, region
from rimwright.sources import Provenance, Sourced

#: The depth of a bend is measured over at most this much of the side. [m]; ours
_OVER_M = 0.100
#: Shorter stretches in which a bound acts are not told apart. [m]
_APART_M = 0.004


@dataclass(frozen=True, slots=True, kw_only=True)
class Overbend:
    """How much further than the outline the form is bent at a named place."""

    name: str
    s_outer_m: float
    convex: bool
    #: Of the outer line as drawn, and as it lies on the form. [m]
    drawn_radius_m: float
    radius_m: Sourced
    #: The same of the form's own working line. [m]
    form_drawn_radius_m: float
    form_radius_m: Sourced
    #: Stretch of the side about the place over which the depth is measured. [m]
    over_m: float
    #: How much deeper the bend is over that stretch: the shim under its middle. [m]
    overbend_m: Sourced


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounded:
    """A stretch in which something stops the form."""

    limit: Limit
    #: Bend it lies in: "horn".
    place: str
    #: On the outer line. [m]
    from_m: float
    to_m: float


def overbends(
    piece: BentPiece,
    drawn: FloatArray,
    form: FloatArray,
    low: FloatArray,
    high: FloatArray,
    *,
    form_distance_m: float,
) -> tuple[Overbend, ...]:
    """Radius and depth at each bout, waist, horn and scoop.

    Parameters
    ----------
    piece : BentPiece
    drawn, form, low, high : ndarray, shape (stations,)
        Inside curvature as drawn, of the form, and what other wood would ask for. [1/m]
    form_distance_m : float
        From the outer line in to the form. [m]
    """
    inside = np.array([drawn, form, low, high])
    middle = inside / (1.0 + 0.5 * piece.thickness * inside)
    lines = released_outline(
        piece.rim, piece.s, thickness_m=piece.thickness, middle_curvature=middle
    )
    found = []
    for place in features(piece.half):
        if place.piece != piece.rim.name or place.kind == "end":
            continue
        i = int(np.argmin(np.abs(piece.s - place.s_m)))
        first, last = sign_run(drawn, i)
        half = 0.5 * _OVER_M + 1e-9
        first = max(first, int(np.searchsorted(piece.s, piece.s[i] - half)))
        last = min(last, int(np.searchsorted(piece.s, piece.s[i] + half)) - 1)
        depths = np.array([_depth(line[first : last + 1]) for line in lines])
        outer = inside[:, i] / (1.0 + piece.thickness[i] * inside[:, i])
        radii = 1.0 / np.maximum(np.abs(outer), 1e-6)
        own = radii - np.copysign(form_distance_m, outer[0])
        found.append(
            Overbend(
                name=place.name,
                s_outer_m=place.s_m,
                convex=bool(outer[0] > 0.0),
                drawn_radius_m=float(radii[0]),
                radius_m=_sourced(radii[1:]),
                form_drawn_radius_m=float(own[0]),
                form_radius_m=_sourced(own[1:]),
                over_m=float(piece.s[last] - piece.s[first]),
                overbend_m=_sourced(depths[1:] - depths[0]),
            )
        )
    return tuple(found)


def bounded(piece: BentPiece, limit: IntArray, told: Sequence[Limit]) -> tuple[Bounded, ...]:
    """Stretches of the side in which the same limit acts, tail to neck.

    Parameters
    ----------
    piece : BentPiece
    limit : ndarray, shape (stations,)
        Index in `told` of what acts; -1 where nothing does.
    told : sequence of Limit
    """
    found: list[Bounded] = []
    convex = piece.curvature > 0.0
    edges = np.flatnonzero(np.diff(limit) | np.diff(convex)) + 1
    for run in np.split(np.arange(limit.size), edges):
        index = int(limit[run[0]])
        start, end = float(piece.s[run[0]]), float(piece.s[run[-1]])
        if index < 0:
            continue
        last = found[-1] if found else None
        name = region(piece.half, piece.rim, 0.5 * (start + end))
        same = last is not None and last.limit == told[index] and last.place == name
        if last is not None and same and start - last.to_m < _APART_M:
            start = last.from_m
            found.pop()
        found.append(Bounded(limit=told[index], place=name, from_m=start, to_m=end))
    return tuple(found)


def _depth(line: FloatArray) -> float:
    """Greatest distance of a line from its chord. [m]"""
    chord = line[-1] - line[0]
    length = float(np.hypot(*chord))
    arm = line - line[0]
    return float(np.abs(chord[0] * arm[:, 1] - chord[1] * arm[:, 0]).max() / max(length, 1e-9))


def _sourced(values: FloatArray) -> Sourced:
    middle = float(values[0])
    return Sourced(
        middle=middle,
        low=min(middle, float(values[1:].min())),
        high=max(middle, float(values[1:].max())),
        provenance=Provenance.DERIVED,
        note="virtual bend, range from the law's",
    )
