"""A piece of rim read once, finely, so that every check works on the same table."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimwright.curves.arc import Arc
from rimwright.curves.piece import FloatArray
from rimwright.instrument.outline import RimPiece

#: Farthest apart, and farthest a chord may stray from the line. [m]
_STEP_M, _STRAY_M = 0.003, 2e-5


@dataclass(frozen=True, slots=True)
class Samples:
    """Exact frames along the outer line, as on the bass side, both sides of every joint.

    Parallels need no more: the line `d` inside is at ``position + d normal``, has the same
    heading, and the curvature ``k / (1 - d k)``.
    """

    #: On the outer line, shape (n,); a joint stands twice. [m]
    s: FloatArray
    #: Shape (n, 2). [m]
    position: FloatArray
    #: Of the travel, without jumps of whole turns. [rad]
    heading: FloatArray
    #: Convex positive. [1/m]
    curvature: FloatArray
    #: Simpson's weights, so that ``weight @ f`` integrates along the outer line. [m]
    weight: FloatArray

    @classmethod
    def of(cls, rim: RimPiece) -> Samples:
        """Read a piece of rim; a treble one is mirrored."""
        stations, rows, weights = [], [], []
        for start, piece in zip(rim.chain.stations, rim.chain.pieces, strict=False):
            step = _STEP_M
            if isinstance(piece, Arc) and piece.curvature:
                step = min(step, float(np.sqrt(8.0 * _STRAY_M / abs(piece.curvature))))
            half = max(int(np.ceil(0.5 * piece.length / step)), 1)
            s = np.linspace(0.0, piece.length, 2 * half + 1)
            rows.append(piece.at(s))
            stations.append(start + s)
            simpson = np.where(np.arange(s.size) % 2, 4.0, 2.0)
            simpson[[0, -1]] = 1.0
            weights.append(simpson * piece.length / (6.0 * half))
        heading = np.concatenate([row.heading for row in rows])
        jump = np.round(np.diff(heading, prepend=heading[0]) / (2.0 * np.pi))
        heading = heading - 2.0 * np.pi * np.cumsum(jump)
        sign = 1.0 if rim.hand == "bass" else -1.0
        return cls(
            s=np.concatenate(stations),
            position=np.vstack([row.position for row in rows]) * [1.0, sign],
            heading=sign * heading,
            curvature=sign * np.concatenate([row.curvature for row in rows]),
            weight=np.concatenate(weights),
        )

    @property
    def tangent(self) -> FloatArray:
        """Along the travel, shape (n, 2)."""
        return np.column_stack([np.cos(self.heading), np.sin(self.heading)])

    @property
    def normal(self) -> FloatArray:
        """Towards the inside of the body, shape (n, 2)."""
        return np.column_stack([-np.sin(self.heading), np.cos(self.heading)])

    def index(self, s: float) -> int:
        """The sample nearest to a place. [m]"""
        return int(np.argmin(np.abs(self.s - s)))

    def span(self, start: float, end: float) -> tuple[int, int]:
        """First and last sample of a stretch, its own side of the joints at its ends."""
        i, j = self.index(start), self.index(end)
        twice = 1e-9
        return (
            int(np.flatnonzero(self.s <= self.s[i] + twice)[-1]),
            int(np.flatnonzero(self.s >= self.s[j] - twice)[0]),
        )

    def parallel(self, distance: float) -> FloatArray:
        """Points `distance` inside the outer line (outside if negative), shape (n, 2). [m]"""
        return self.position + distance * self.normal

    def least_radius(self, distance: float, first: int = 0, last: int | None = None) -> float:
        """Smallest radius of the parallel line between two samples; infinite if straight. [m]"""
        k = self.curvature[first : None if last is None else last + 1]
        tightest = float(np.abs(k / (1.0 - distance * k)).max())
        return 1.0 / tightest if tightest > 1e-3 else np.inf
