"""A line given by its curvature at knots: where it runs, and what moving each unknown does."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from rimwright.curves.piece import FloatArray

#: Places a line must start and end at, each or neither.
Pins = tuple[FloatArray | None, FloatArray | None]

#: Integration steps between knots.
_STEPS = 4


@dataclass(frozen=True)
class Shape:
    """A line of length one: its start, its heading there and its curvature at the knots."""

    start: FloatArray
    heading: float
    curvature: FloatArray
    scale: float
    closed: bool

    @property
    def spans(self) -> int:
        """Stretches between knots; a closed line ends on its first knot."""
        return len(self.curvature) - (0 if self.closed else 1)

    @property
    def steps(self) -> int:
        """Steps of the integration grid."""
        return self.spans * _STEPS

    @property
    def basis(self) -> FloatArray:
        """Curvature on the grid from curvature at the knots, shape (grid, knots)."""
        return _basis(self.spans, self.closed)

    def grid(self) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Positions, headings and curvatures on the grid; Simpson's rule holds 1e-9."""
        h = 1.0 / self.steps
        k = self.basis @ self.curvature
        theta = self.heading + np.concatenate([[0.0], np.cumsum(0.5 * h * (k[1:] + k[:-1]))])
        middle = 0.5 * (theta[1:] + theta[:-1]) + h * (k[:-1] - k[1:]) / 8.0
        ends = np.column_stack([np.cos(theta), np.sin(theta)])
        half = np.column_stack([np.cos(middle), np.sin(middle)])
        steps = self.scale * h / 6.0 * (ends[1:] + ends[:-1] + 4.0 * half)
        return self.start + np.vstack([np.zeros((1, 2)), np.cumsum(steps, axis=0)]), theta, k

    def at(
        self, place: FloatArray, grid: tuple[FloatArray, FloatArray, FloatArray] | None = None
    ) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Position, heading and curvature at each place in [0, 1]."""
        position, theta, k = grid or self.grid()
        count = self.steps
        i = np.clip((place * count).astype(int), 0, count - 1)
        f = place - i / count
        slope = 0.5 * (k[i + 1] - k[i]) * count
        end = theta[i] + f * (k[i] + slope * f)
        half = theta[i] + 0.5 * f * (k[i] + 0.5 * slope * f)
        mean = np.column_stack(
            [
                np.cos(theta[i]) + 4.0 * np.cos(half) + np.cos(end),
                np.sin(theta[i]) + 4.0 * np.sin(half) + np.sin(end),
            ]
        )
        there = position[i] + (self.scale * f / 6.0)[:, None] * mean
        return there, end, k[i] + 2.0 * slope * f


@cache
def _basis(spans: int, closed: bool) -> FloatArray:
    count = spans * _STEPS
    u = np.arange(count + 1) / _STEPS
    i = np.minimum(u.astype(int), spans - 1)
    columns = spans if closed else spans + 1
    basis = np.zeros((count + 1, columns))
    rows = np.arange(count + 1)
    basis[rows, i] += 1.0 - (u - i)
    basis[rows, (i + 1) % columns] += u - i
    return basis


def locate(shape: Shape, points: FloatArray, place: FloatArray) -> tuple[FloatArray, FloatArray]:
    """The foot of each point on the line, and its distance to the left there."""
    grid, edge = shape.grid(), 1.0 / shape.spans
    offset = np.zeros(len(points))
    for _ in range(2):
        place = np.mod(place, 1.0) if shape.closed else np.clip(place, -edge, 1.0 + edge)
        position, heading, _ = shape.at(place, grid)
        tangent = np.column_stack([np.cos(heading), np.sin(heading)])
        gap = points - position
        place = place + np.einsum("ij,ij->i", gap, tangent) / shape.scale
        offset = gap[:, 1] * tangent[:, 0] - gap[:, 0] * tangent[:, 1]
    return place, offset


def sensitivity(shape: Shape, place: FloatArray) -> FloatArray:
    """How far the line moves to its left at each place, per unit of each unknown.

    Unknowns: knot curvatures, start x and y, heading, relative length. Turning all beyond
    u by a small angle moves the point p by that angle times tangent·(p − p(u)).
    """
    position, theta, _ = shape.grid()
    basis, h = shape.basis, 1.0 / shape.steps
    at = np.clip(place / h, 0.0, shape.steps)
    i = np.minimum(at.astype(int), shape.steps - 1)
    f = (at - i)[:, None]
    heading = theta[i] * (1.0 - f[:, 0]) + theta[i + 1] * f[:, 0]
    here = position[i] * (1.0 - f) + position[i + 1] * f
    tangent = np.column_stack([np.cos(heading), np.sin(heading)])
    normal = np.column_stack([-tangent[:, 1], tangent[:, 0]])

    def upto(values: FloatArray) -> FloatArray:
        total = np.cumsum(0.5 * h * (values[1:] + values[:-1]), axis=0)
        total = np.vstack([np.zeros((1, total.shape[1])), total])
        return np.asarray(total[i] * (1.0 - f) + total[i + 1] * f)

    bend = np.einsum("ij,ij->i", tangent, here)[:, None] * upto(basis)
    bend -= tangent[:, :1] * upto(basis * position[:, :1])
    bend -= tangent[:, 1:] * upto(basis * position[:, 1:])
    arm = here - position[0]
    turn = np.einsum("ij,ij->i", tangent, arm)[:, None]
    grow = np.einsum("ij,ij->i", normal, arm)[:, None]
    return np.hstack([bend, normal, turn, grow])


def fixed(shape: Shape, turn: float, pins: Pins) -> tuple[FloatArray, FloatArray]:
    """Rows that the step must obey exactly: the line closes, or ends on its pins."""
    position, theta, _ = shape.grid()
    unknowns = len(shape.curvature) + 4
    weights = np.full(len(theta), 1.0 / shape.steps)
    weights[[0, -1]] *= 0.5
    arm = position[-1] - position
    bend = np.vstack([(-weights * arm[:, 1]) @ shape.basis, (weights * arm[:, 0]) @ shape.basis])
    # Sliding the start along the line changes nothing but the count of s: not free.
    slide = np.array([np.cos(theta[0]), np.sin(theta[0])])
    if shape.closed:
        rows = np.zeros((4, unknowns))
        rows[:2, : bend.shape[1]] = bend
        rows[2, : bend.shape[1]] = weights @ shape.basis
        rows[3, -4:-2] = slide
        turn_gap = turn - (theta[-1] - theta[0])
        return rows, np.concatenate([position[0] - position[-1], [turn_gap, 0.0]])
    ends = []
    if pins[0] is None and pins[1] is None:
        ends.append((np.concatenate([np.zeros(unknowns - 4), slide, [0.0, 0.0]]), 0.0))
    if pins[0] is None or pins[1] is None:
        # The length is free already: free ends are cut afterwards.
        ends.append((np.eye(unknowns)[-1], 0.0))
    if pins[0] is not None:
        ends += [(np.eye(unknowns)[axis - 4], pins[0][axis] - position[0, axis]) for axis in (0, 1)]
    if pins[1] is not None:
        carried = np.array([[1.0, 0.0, -arm[0, 1], arm[0, 0]], [0.0, 1.0, arm[0, 0], arm[0, 1]]])
        reach = np.hstack([bend, carried])
        ends += [(reach[axis], pins[1][axis] - position[-1, axis]) for axis in (0, 1)]
    return np.array([row for row, _ in ends]), np.array([gap for _, gap in ends])


def moved(shape: Shape, delta: FloatArray) -> Shape:
    """The line after a step of its unknowns."""
    return replace(
        shape,
        start=shape.start + delta[-4:-2],
        heading=shape.heading + float(delta[-2]),
        curvature=shape.curvature + delta[:-4],
        scale=shape.scale * (1.0 + float(delta[-1])),
    )


def differences(knots: int, closed: bool) -> FloatArray:
    """Step of curvature from each knot to the next."""
    rows = np.roll(np.eye(knots), 1, axis=1) - np.eye(knots)
    return rows if closed else rows[:-1]
