"""Clothoids: curvature in proportion to length, the bricks of a fair curve."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimwright.curves.arc import Arc
from rimwright.curves.offset import Offset
from rimwright.curves.piece import FloatArray, Frame, Piece, Similarity

#: Points and weights on [0, 1]. The heading of a short brick is nearly a parabola: six Gauss
#: points hold 1e-15 of its length while it turns less than the first limit, sixteen up to
#: the second, and beyond that it is integrated in panels.
_FEW, _MANY = (
    (0.5 * (nodes + 1.0), 0.5 * weights)
    for nodes, weights in map(np.polynomial.legendre.leggauss, (6, 16))
)
_SMALL_TURN, _LARGEST_TURN = 0.3, 1.5


@dataclass(frozen=True, slots=True)
class Clothoid(Piece):
    """A stretch whose curvature runs evenly from `curvature` to `end_curvature`.

    Examples
    --------
    >>> import numpy as np
    >>> spiral = Clothoid((0.0, 0.0), 0.0, 0.0, np.pi, 1.0)
    >>> np.round(spiral.at(np.array([1.0])).position[0], 6).tolist()  # the Fresnel integrals at 1
    [0.779893, 0.438259]
    """

    start: tuple[float, float]
    #: Heading at the start. [rad]
    heading: float
    #: At the start, left positive. [1/m]
    curvature: float
    #: At the end. [1/m]
    end_curvature: float
    #: [m]
    arc_length: float

    @property
    def length(self) -> float:
        return self.arc_length

    @property
    def turn(self) -> float:
        return 0.5 * (self.curvature + self.end_curvature) * self.arc_length

    @property
    def _rate(self) -> float:
        change = self.end_curvature - self.curvature
        return change / self.arc_length if self.arc_length > 0.0 else 0.0

    def at(self, s: FloatArray) -> Frame:
        s = np.asarray(s, dtype=np.float64)
        rate = self._rate
        turn = max(abs(self.curvature), abs(self.end_curvature)) * self.arc_length
        fractions, weights = _FEW if turn < _SMALL_TURN else _MANY
        if turn > _LARGEST_TURN:
            panels = int(np.ceil(turn / _LARGEST_TURN))
            fractions = (np.arange(panels)[:, None] + fractions).ravel() / panels
            weights = np.tile(weights / panels, panels)
        u = s[:, None] * fractions[None, :]
        theta = self.heading + u * (self.curvature + 0.5 * rate * u)
        x = self.start[0] + s * (np.cos(theta) @ weights)
        y = self.start[1] + s * (np.sin(theta) @ weights)
        heading = self.heading + s * (self.curvature + 0.5 * rate * s)
        return Frame(np.column_stack([x, y]), heading, self.curvature + rate * s)

    def turned(self, s: FloatArray) -> tuple[FloatArray, FloatArray]:
        rate = self._rate
        return s * (self.curvature + 0.5 * rate * s), self.curvature + rate * s

    def reversed(self) -> Clothoid:
        end = self.at(np.array([self.arc_length]))
        start = (float(end.position[0, 0]), float(end.position[0, 1]))
        heading = float(end.heading[0]) + np.pi
        return Clothoid(start, heading, -self.end_curvature, -self.curvature, self.arc_length)

    def transformed(self, transform: Similarity) -> Clothoid:
        start = transform.points(np.array([self.start]))[0]
        return Clothoid(
            (float(start[0]), float(start[1])),
            transform.heading(self.heading),
            transform.curvature(self.curvature),
            transform.curvature(self.end_curvature),
            self.arc_length * transform.scale,
        )

    def offset(self, distance: float) -> Piece:
        if self.curvature == self.end_curvature:
            return Arc(self.start, self.heading, self.curvature, self.arc_length).offset(distance)
        return Offset(self, distance)

    def between(self, start: float, end: float) -> Clothoid:
        ends = self.at(np.array([start, end]))
        point = (float(ends.position[0, 0]), float(ends.position[0, 1]))
        k = ends.curvature
        return Clothoid(point, float(ends.heading[0]), float(k[0]), float(k[1]), end - start)

    def curvature_range(self) -> tuple[float, float]:
        low, high = sorted((self.curvature, self.end_curvature))
        return low, high
