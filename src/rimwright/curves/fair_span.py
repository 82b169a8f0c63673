"""Where a span of clothoid bricks leads, with first and second derivatives.

A span is a run of bricks of equal length: its curvature is piecewise linear over `BRICKS`
bricks. Everything is written for all spans of a curve at once, in numbers of order one,
so that one Newton step costs a handful of small array products.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimwright.curves.piece import FloatArray

#: Bricks in a span between two landmarks.
BRICKS = 8
#: Gauss points in each brick: a brick turns by a fraction of a radian.
_GAUSS = 5


def _tables() -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Weights, heading and position tables over [0, 1]: see the constants below."""
    nodes, weights = np.polynomial.legendre.leggauss(_GAUSS)
    nodes, weights = 0.5 * (nodes + 1.0), 0.5 * weights
    count = BRICKS * _GAUSS
    heading = np.zeros((count, BRICKS + 1))
    cumulative = np.zeros((count, count))
    # Integral from 0 to each Gauss point of the polynomial through the brick's points.
    powers = np.arange(_GAUSS)
    integral = (nodes[:, None] ** (powers + 1) / (powers + 1)) @ np.linalg.inv(
        nodes[:, None] ** powers
    )
    for brick in range(BRICKS):
        rows = slice(brick * _GAUSS, (brick + 1) * _GAUSS)
        # The hat functions of all earlier bricks are passed in full, half at each end.
        for earlier in range(brick):
            heading[rows, earlier : earlier + 2] += 0.5
        heading[rows, brick] += nodes - 0.5 * nodes**2
        heading[rows, brick + 1] += 0.5 * nodes**2
        cumulative[rows, : brick * _GAUSS] = np.tile(weights, brick)
        cumulative[rows, rows] = integral
    all_weights = np.tile(weights, BRICKS) / BRICKS
    cumulative /= BRICKS
    weighted = all_weights[:, None] * cumulative
    return all_weights, heading / BRICKS, cumulative, weighted.T - weighted


#: Weights of the Gauss points; heading at them per curvature at the nodes and unit length;
#: integral up to them; and the antisymmetric form whose half is the area over the chord.
WEIGHTS, HEADING, _CUMULATIVE, _AREA = _tables()
#: The turn of a span per curvature at its nodes and unit length.
TURN = np.full(BRICKS + 1, 1.0 / BRICKS)
TURN[[0, -1]] *= 0.5
_DIFFERENCES = np.diff(np.eye(BRICKS + 1), axis=0)
#: The variation of curvature is `BRICKS` / length times this form.
VARIATION = _DIFFERENCES.T @ _DIFFERENCES
#: Local variables of a span: curvature at the nodes, length, heading at the start.
LOCAL = BRICKS + 3


@dataclass(frozen=True, slots=True)
class Spans:
    """Values and gradients of all spans; rows of `gradient` are x, y, turn, area."""

    #: Shape (spans, 4).
    value: FloatArray
    #: Shape (spans, 4, LOCAL).
    gradient: FloatArray
    #: What `curvature_of` needs again.
    cosine: FloatArray
    sine: FloatArray
    slope: FloatArray
    length: FloatArray
    area_slope: FloatArray

    def curvature_of(self, weights: FloatArray, *, with_area: bool) -> FloatArray:
        """Second derivatives of the weighted sum, shape (spans, LOCAL, LOCAL).

        `weights` has shape (spans, 4), as `value`.
        """
        wx, wy = weights[:, 0, None], weights[:, 1, None]
        first = WEIGHTS * (wy * self.cosine - wx * self.sine)
        second = -WEIGHTS * (wx * self.cosine + wy * self.sine) * self.length[:, None]
        hessian = np.swapaxes(self.slope, 1, 2) @ (second[:, :, None] * self.slope)
        at_length = (first[:, None, :] @ self.slope)[:, 0]
        mixed = self.length[:, None] * (first @ HEADING) + weights[:, 2, None] * TURN
        if with_area:
            wa = weights[:, 3, None]
            half = 0.5 * wa * self.length[:, None] ** 2
            turned = self.cosine[:, :, None] * self.sine[:, None, :]
            form = half[:, :, None] * _AREA * (turned - np.swapaxes(turned, 1, 2))
            diagonal = half * (
                self.sine * (self.cosine @ _AREA.T) - self.cosine * (self.sine @ _AREA.T)
            )
            points = np.arange(form.shape[1])
            form[:, points, points] += diagonal
            hessian += np.swapaxes(self.slope, 1, 2) @ (form @ self.slope)
            pull = wa * self.area_slope
            at_length = (
                at_length + (2.0 / self.length[:, None]) * ((pull[:, None, :] @ self.slope)[:, 0])
            )
            mixed = mixed + pull @ HEADING
            hessian[:, -2, -2] += 2.0 * weights[:, 3] * self.value[:, 3] / self.length**2
        hessian[:, -2, :] += at_length
        hessian[:, :, -2] += at_length
        hessian[:, : BRICKS + 1, -2] += mixed
        hessian[:, -2, : BRICKS + 1] += mixed
        return hessian


def spans(curvature: FloatArray, length: FloatArray, heading: FloatArray) -> Spans:
    """Displacement (x, y), turn and area over the chord of each span.

    Parameters
    ----------
    curvature : FloatArray
        At the nodes, shape (spans, BRICKS + 1).
    length, heading : FloatArray
        Length and heading at the start, shape (spans,).
    """
    count = length.size
    bend = curvature @ HEADING.T
    theta = heading[:, None] + length[:, None] * bend
    c, s = np.cos(theta), np.sin(theta)
    # How the heading at each Gauss point answers to each local variable.
    slope = np.empty((count, theta.shape[1], LOCAL))
    slope[:, :, : BRICKS + 1] = length[:, None, None] * HEADING
    slope[:, :, -2] = bend
    slope[:, :, -1] = 1.0
    x, y = c @ WEIGHTS, s @ WEIGHTS
    turn = curvature @ TURN
    area_c, area_s = c @ _AREA.T, s @ _AREA.T
    area = 0.5 * np.einsum("ij,ij->i", c, area_s)
    area_slope = -0.5 * length[:, None] ** 2 * (s * area_s + c * area_c)
    value = np.column_stack([length * x, length * y, length * turn, length**2 * area])
    rows = np.empty((count, 3, theta.shape[1]))
    rows[:, 0] = -length[:, None] * WEIGHTS * s
    rows[:, 1] = length[:, None] * WEIGHTS * c
    rows[:, 2] = area_slope
    gradient = np.zeros((count, 4, LOCAL))
    gradient[:, [0, 1, 3]] = rows @ slope
    gradient[:, 0, -2] += x
    gradient[:, 1, -2] += y
    gradient[:, 2, : BRICKS + 1] = length[:, None] * TURN
    gradient[:, 2, -2] = turn
    gradient[:, 3, -2] += 2.0 * length * area
    return Spans(value, gradient, c, s, slope, length, area_slope)
