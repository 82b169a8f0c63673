"""What every piece of a curve can do, and the frame it is read in.

Conventions of this room, which knows nothing of instruments: lengths in metres, headings
in radians counter-clockwise from the x axis and continuous along a piece, curvature
``d heading / d s``, so positive where the curve turns left. The meaning of convex and
concave on an instrument is fixed once, in `rimwright.instrument.outline`.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Frame:
    """Position, heading and curvature at each asked `s`."""

    #: Points, shape (n, 2). [m]
    position: FloatArray
    #: Direction of travel, shape (n,), counter-clockwise from x. [rad]
    heading: FloatArray
    #: ``d heading / d s``, shape (n,). [1/m]
    curvature: FloatArray

    @property
    def tangent(self) -> FloatArray:
        """Unit vectors along the travel, shape (n, 2)."""
        return np.column_stack([np.cos(self.heading), np.sin(self.heading)])

    @property
    def normal(self) -> FloatArray:
        """Unit vectors to the left of the travel, shape (n, 2)."""
        return np.column_stack([-np.sin(self.heading), np.cos(self.heading)])


class Piece(ABC):
    """One smooth stretch of curve, read by arc length from its start."""

    @property
    @abstractmethod
    def length(self) -> float:
        """Arc length. [m]"""

    @abstractmethod
    def at(self, s: FloatArray) -> Frame:
        """Exact position, heading and curvature at each `s` in [0, length]."""

    @abstractmethod
    def reversed(self) -> Piece:
        """The same stretch travelled the other way."""

    @abstractmethod
    def transformed(self, transform: Similarity) -> Piece:
        """The stretch moved, turned, scaled or mirrored."""

    @abstractmethod
    def offset(self, distance: float) -> Piece:
        """The parallel stretch `distance` to the left of the travel (right if negative).

        Does not look for folds: `Chain.offset` does. [m]
        """

    @abstractmethod
    def between(self, start: float, end: float) -> Piece:
        """The stretch from `start` to `end`, both in [0, length]. [m]"""

    @property
    def turn(self) -> float:
        """How far the heading turns from start to end; left is positive. [rad]"""
        ends = self.at(np.array([0.0, self.length])).heading
        return float(ends[1] - ends[0])

    def turned(self, s: FloatArray) -> tuple[FloatArray, FloatArray]:
        """How far the heading has turned at each `s`, and the curvature there."""
        frame = self.at(np.append(0.0, s))
        return frame.heading[1:] - frame.heading[0], frame.curvature[1:]

    def curvature_range(self) -> tuple[float, float]:
        """Least and greatest signed curvature on the stretch. [1/m]

        Sampled finely here; pieces with a closed form say it exactly.
        """
        k = self.at(np.linspace(0.0, self.length, 257)).curvature
        return float(k.min()), float(k.max())


@dataclass(frozen=True, slots=True)
class Similarity:
    """Mirror (y to -y) if asked, then scale, turn and shift."""

    scale: float = 1.0
    #: Turn, counter-clockwise. [rad]
    rotation: float = 0.0
    shift: tuple[float, float] = (0.0, 0.0)
    mirror: bool = False

    def points(self, points: FloatArray) -> FloatArray:
        """Where points of shape (n, 2) go."""
        x, y = points[:, 0], -points[:, 1] if self.mirror else points[:, 1]
        c, s = self.scale * np.cos(self.rotation), self.scale * np.sin(self.rotation)
        return np.column_stack([c * x - s * y + self.shift[0], s * x + c * y + self.shift[1]])

    def heading(self, heading: float) -> float:
        """Where a heading goes. [rad]"""
        return (-heading if self.mirror else heading) + self.rotation

    def curvature(self, curvature: float) -> float:
        """What a signed curvature becomes. [1/m]"""
        return (-curvature if self.mirror else curvature) / self.scale
