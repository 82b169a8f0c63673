"""The parallel of a piece that has no simpler parallel."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from rimwright.curves.piece import FloatArray, Frame, Piece, Similarity


@dataclass(frozen=True)
class Offset(Piece):
    """The curve `distance` to the left of `base`, exact at every point.

    Along it ``d s = (1 - distance * curvature) d s_base``, so that its length is the
    base's less `distance` times the turn, whatever the base.
    """

    base: Piece
    #: To the left of the travel. [m]
    distance: float

    @cached_property
    def length(self) -> float:
        return self.base.length - self.distance * self.base.turn

    @property
    def turn(self) -> float:
        return self.base.turn

    @cached_property
    def _table(self) -> tuple[FloatArray, FloatArray]:
        """Arc lengths along the base, and here, from which to guess."""
        u = np.linspace(0.0, self.base.length, 17)
        return u, u - self.distance * self.base.turned(u)[0]

    def base_s(self, s: FloatArray) -> FloatArray:
        """Arc length on the base at arc length `s` here, by Newton's method. [m]"""
        s = np.asarray(s, dtype=np.float64)
        u_table, s_table = self._table
        u = np.interp(s, s_table, u_table)
        for _ in range(30):
            turned, curvature = self.base.turned(u)
            step = (u - self.distance * turned - s) / (1.0 - self.distance * curvature)
            u = np.clip(u - step, 0.0, self.base.length)
            # Quadratic: after a step this small the next would be below rounding.
            if np.abs(step).max(initial=0.0) < 1e-9:
                break
        return u

    def at(self, s: FloatArray) -> Frame:
        frame = self.base.at(self.base_s(s))
        position = frame.position + self.distance * frame.normal
        curvature = frame.curvature / (1.0 - self.distance * frame.curvature)
        return Frame(position, frame.heading, curvature)

    def reversed(self) -> Offset:
        return Offset(self.base.reversed(), -self.distance)

    def transformed(self, transform: Similarity) -> Offset:
        sign = -1.0 if transform.mirror else 1.0
        return Offset(self.base.transformed(transform), sign * transform.scale * self.distance)

    def offset(self, distance: float) -> Piece:
        total = self.distance + distance
        return self.base if total == 0.0 else Offset(self.base, total)

    def between(self, start: float, end: float) -> Piece:
        first, last = self.base_s(np.array([start, end]))
        return self.base.between(float(first), float(last)).offset(self.distance)

    def curvature_range(self) -> tuple[float, float]:
        low, high = self.base.curvature_range()
        return low / (1.0 - self.distance * low), high / (1.0 - self.distance * high)
