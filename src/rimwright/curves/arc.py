"""Circular arcs, and straight lines as arcs without curvature."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from rimwright.curves.piece import FloatArray, Frame, Piece, Similarity


@dataclass(frozen=True, slots=True)
class Arc(Piece):
    """A circular arc; with `curvature` zero a straight line.

    Examples
    --------
    A quarter circle of 50 mm, turning left from the x axis, ends at (50, 50) mm.

    >>> import numpy as np
    >>> quarter = Arc(start=(0.0, 0.0), heading=0.0, curvature=20.0, arc_length=0.025 * np.pi)
    >>> np.round(quarter.at(np.array([quarter.length])).position[0] * 1e3, 9).tolist()
    [50.0, 50.0]
    """

    start: tuple[float, float]
    #: Heading at the start. [rad]
    heading: float
    #: Signed, left positive. [1/m]
    curvature: float
    #: [m]
    arc_length: float

    @property
    def length(self) -> float:
        return self.arc_length

    @property
    def turn(self) -> float:
        return self.curvature * self.arc_length

    @classmethod
    def line(cls, start: tuple[float, float], end: tuple[float, float]) -> Arc:
        """The straight line between two points. [m]"""
        dx, dy = end[0] - start[0], end[1] - start[1]
        return cls(start, float(np.arctan2(dy, dx)), 0.0, float(np.hypot(dx, dy)))

    @classmethod
    def bulge(cls, start: tuple[float, float], end: tuple[float, float], bulge: float) -> Arc:
        """The arc between two points with DXF bulge, the tangent of a quarter of its turn."""
        chord = cls.line(start, end)
        turn = 4.0 * float(np.arctan(bulge))
        if abs(turn) < 1e-12:
            return chord
        radius = chord.arc_length / (2.0 * np.sin(turn / 2.0))
        return cls(start, chord.heading - turn / 2.0, float(1.0 / radius), float(radius * turn))

    def at(self, s: FloatArray) -> Frame:
        heading = self.heading + self.curvature * s
        # sin(x)/x form stays exact down to a straight line.
        half = 0.5 * self.curvature * s
        chord = s * np.sinc(half / np.pi)
        middle = self.heading + half
        position = np.column_stack(
            [self.start[0] + chord * np.cos(middle), self.start[1] + chord * np.sin(middle)]
        )
        return Frame(position, heading, np.full_like(heading, self.curvature))

    def reversed(self) -> Arc:
        end = self.at(np.array([self.arc_length]))
        start = (float(end.position[0, 0]), float(end.position[0, 1]))
        return Arc(start, float(end.heading[0]) + np.pi, -self.curvature, self.arc_length)

    def transformed(self, transform: Similarity) -> Arc:
        start = transform.points(np.array([self.start]))[0]
        return Arc(
            (float(start[0]), float(start[1])),
            transform.heading(self.heading),
            transform.curvature(self.curvature),
            self.arc_length * transform.scale,
        )

    def offset(self, distance: float) -> Arc:
        factor = 1.0 - distance * self.curvature
        normal = (-np.sin(self.heading), np.cos(self.heading))
        start = (self.start[0] + distance * normal[0], self.start[1] + distance * normal[1])
        return Arc(
            (float(start[0]), float(start[1])),
            self.heading,
            self.curvature / factor,
            self.arc_length * factor,
        )

    def between(self, start: float, end: float) -> Arc:
        frame = self.at(np.array([start]))
        point = (float(frame.position[0, 0]), float(frame.position[0, 1]))
        return replace(self, start=point, heading=float(frame.heading[0]), arc_length=end - start)

    def curvature_range(self) -> tuple[float, float]:
        return self.curvature, self.curvature
