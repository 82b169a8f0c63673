"""The line a side is bent to, read at stations: curvature, thickness, places."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from rimwright.bending.section import Section, middle_curvature
from rimwright.curves.piece import FloatArray
from rimwright.instrument.design import ThinnedZone
from rimwright.instrument.outline import Half, Outline, RimPiece
from rimwright.sides.pattern import SidePattern

#: Greatest distance of two stations. [m]
STEP = 0.002
#: A traced line's curvature is read as the mean over this stretch: a wobble shorter than
#: that is the trace's, not the side's. [m]
WINDOW = 0.020
#: A thinned zone runs out over this length at each end, as makers scrape it; ours. [m]
RUN_OUT = 0.020
#: A bend is a place of its own if nothing bends tighter within this distance; ours. [m]
_APART = 0.025
#: A bend's place is the middle of the stretch within this share of its greatest strain, so
#: that a wobble along a drawn arc does not move it; ours.
_PLATEAU = 0.02
#: Flatter than this no bend is named. [1/m]
_FLAT = 3.0


@dataclass(frozen=True, kw_only=True)
class BentPiece:
    """One piece of side at its stations, bent to its line; arrays of shape (n,)."""

    outline: Outline
    half: Half
    pattern: SidePattern
    #: On the outer line. [m]
    s: FloatArray
    #: Of the outer line, convex positive. [1/m]
    curvature: FloatArray
    #: At bending. [m]
    thickness: FloatArray
    #: Size of the middle plane's curvature. [1/m]
    middle: FloatArray
    #: Tensile strain of the face in tension.
    strain: FloatArray
    #: Strain over the capacity's middle; None without a wood.
    used: FloatArray | None

    @property
    def rim(self) -> RimPiece:
        """The piece of rim it is bent to."""
        return self.pattern.rim

    @classmethod
    def of(
        cls,
        outline: Outline,
        pattern: SidePattern,
        thinned: tuple[ThinnedZone, ...],
        section: Section,
        capacity: float | None,
    ) -> BentPiece:
        """Read a piece of side at its stations."""
        rim = pattern.rim
        half = outline.bass if rim.hand == "bass" else outline.treble
        s = stations(rim)
        curvature = curvature_at(outline, rim, s)
        thickness = thickness_at(half, rim, s, base_m=pattern.thickness_m, thinned=thinned)
        middle = middle_curvature(curvature, thickness)
        strain = section.tension_strain(thickness * middle)
        return cls(
            outline=outline,
            half=half,
            pattern=pattern,
            s=s,
            curvature=curvature,
            thickness=thickness,
            middle=middle,
            strain=strain,
            used=None if capacity is None else strain / capacity,
        )


def stations(rim: RimPiece) -> FloatArray:
    """Stations along the outer line, both sides of every joint among them. [m]"""
    even = np.linspace(0.0, rim.length, int(np.ceil(rim.length / STEP)) + 1)
    joints = rim.chain.stations[1:-1]
    return np.unique(np.concatenate([even, joints, joints - 1e-9 * rim.length]))


def curvature_at(outline: Outline, rim: RimPiece, s: FloatArray) -> FloatArray:
    """Curvature of the outer line, convex positive; of a trace the mean over 20 mm. [1/m]"""
    if outline.noise_m is None:
        return rim.at(s).curvature
    first = np.clip(s - 0.5 * WINDOW, 0.0, rim.length)
    last = np.clip(s + 0.5 * WINDOW, 0.0, rim.length)
    turn = rim.turn_to(np.concatenate([first, last]))
    return np.asarray((turn[s.size :] - turn[: s.size]) / (last - first))


def thickness_at(
    half: Half, rim: RimPiece, s: FloatArray, *, base_m: float, thinned: Iterable[ThinnedZone]
) -> FloatArray:
    """Thickness at bending along a piece, thinned zones run out gently at both ends. [m]"""
    from_tail = s if rim.name == "main" else s + half.main.length
    thickness = np.full_like(s, base_m)
    for zone in thinned:
        if zone.hand in (rim.hand, "both"):
            away = np.maximum(np.maximum(zone.from_m - from_tail, from_tail - zone.to_m), 0.0)
            share = np.minimum(away / RUN_OUT, 1.0)
            here = zone.thickness_m + share * (base_m - zone.thickness_m)
            thickness = np.minimum(thickness, here)
    return thickness


def tight_stations(s: FloatArray, curvature: FloatArray, strain: FloatArray) -> list[int]:
    """Indices of the bends: each the middle of its tightest stretch, worst strain first.

    Found by strain, so that a thinned bend gives way to a thicker one beside it.
    """
    left = np.searchsorted(s, s - _APART)
    right = np.searchsorted(s, s + _APART, side="right")
    # Greatest of each stretch [left, right): every other result of a pairwise reduction.
    windows = np.ravel(np.column_stack([left, right]))
    found: list[int] = []
    for sense in (1.0, -1.0):
        size = np.where(sense * curvature > _FLAT, strain, 0.0)
        highest = np.maximum.reduceat(np.append(size, 0.0), windows)[::2]
        peaks = np.flatnonzero((size > 0.0) & (size >= (1.0 - _PLATEAU) * highest))
        # The plateau of one bend is one run of neighbouring stations.
        for run in np.split(peaks, np.flatnonzero(np.diff(peaks) > 1) + 1):
            if run.size:
                middle = 0.5 * (s[run[0]] + s[run[-1]])
                found.append(int(run[np.argmin(np.abs(s[run] - middle))]))
    return sorted(found, key=lambda i: -float(strain[i]))


def worst_near(s: FloatArray, curvature: FloatArray, strain: FloatArray, i: int) -> int:
    """Index of the greatest strain of the bend whose place is station `i`."""
    same = (np.abs(s - s[i]) <= _APART) & (np.sign(curvature) == np.sign(curvature[i]))
    return int(np.argmax(np.where(same, strain, -1.0)))


def sign_run(curvature: FloatArray, i: int) -> tuple[int, int]:
    """First and last index of the stretch around `i` that bends the same way."""
    other = np.flatnonzero(np.sign(curvature) != np.sign(curvature[i]))
    before, after = other[other < i], other[other > i]
    first = int(before[-1]) + 1 if before.size else 0
    last = int(after[0]) - 1 if after.size else curvature.size - 1
    return first, last
