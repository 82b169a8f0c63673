"""A spline as one polynomial for each span between its knots."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import factorial

import numpy as np
import numpy.typing as npt

from rimwright.curves.piece import FloatArray

Indices = npt.NDArray[np.intp]
#: A cut this near to a knot, as a share of the spline's parameters, is at the knot.
_HAIR = 1e-9
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(12)


@dataclass(frozen=True, slots=True)
class PolynomialSpans:
    """Position and its derivatives by Taylor's coefficients at the start of each span."""

    #: The different knots, shape (spans + 1,).
    breaks: FloatArray
    #: Of position, first and second derivative, each of shape (power, axis, span).
    forms: tuple[FloatArray, FloatArray, FloatArray]

    def at(self, u: FloatArray) -> Indices:
        """Which span each parameter lies in; at a break the later one."""
        return np.searchsorted(self.breaks[1:-1], u, side="right")

    def derivative(self, order: int, u: FloatArray, span: Indices) -> FloatArray:
        """x and y of position (0), first or second derivative, shape (2, ...)."""
        step = u - self.breaks[span]
        value = self.forms[order][0][:, span]
        for row in self.forms[order][1:]:
            value = value * step + row[:, span]
        # A constant derivative is the same at every parameter of its span.
        return np.asarray(value if value.shape[1:] == step.shape else value + 0.0 * step)

    def stretch(self, first: FloatArray, last: FloatArray, span: Indices) -> FloatArray:
        """Arc length from one parameter to another within one span."""
        half = 0.5 * (last - first)
        u = 0.5 * (first + last)[:, None] + half[:, None] * _NODES
        return np.asarray(half * (np.hypot(*self.derivative(1, u, span[:, None])) @ _WEIGHTS))


def polynomial_spans(knots: FloatArray, control: FloatArray, degree: int) -> PolynomialSpans:
    """The polynomials of a B-spline between the ends of its knots.

    Each span's Taylor coefficients are the spline's derivatives at the span's start, by the
    control points of each derivative and de Boor's algorithm (C. de Boor, A Practical Guide
    to Splines, ch. X, from memory). A library does the same, but takes half a second to load.
    """
    breaks = np.unique(knots[degree : len(knots) - degree])
    rows = []
    t, d = knots, control
    for k in range(degree + 1):
        rows.append(_de_boor(t, d, degree - k, breaks[:-1]).T / factorial(k))
        if k < degree:
            width = t[degree - k + 1 : -1] - t[1 : -(degree - k) - 1]
            # Between equal knots lies no span: that control point is never asked.
            rise = np.divide(1.0, width, out=np.zeros_like(width), where=width > 0.0)
            d = (degree - k) * np.diff(d, axis=0) * rise[:, None]
            t = t[1:-1]
    position = np.stack(rows[::-1])
    first = position[:-1] * np.arange(degree, 0, -1)[:, None, None]
    second = first[:-1] * np.arange(degree - 1, 0, -1)[:, None, None]
    return PolynomialSpans(breaks, (position, first, second if degree > 1 else 0.0 * first[:1]))


def _de_boor(knots: FloatArray, control: FloatArray, degree: int, u: FloatArray) -> FloatArray:
    """The B-spline at parameters that each start or lie in a span, shape (n, 2)."""
    return _blossom(knots, control, degree, span=u, arguments=[u] * degree)


def _blossom(
    knots: FloatArray,
    control: FloatArray,
    degree: int,
    *,
    span: FloatArray,
    arguments: Sequence[FloatArray],
) -> FloatArray:
    """Polar form of the polynomial of each span (named by a parameter in it), shape (n, 2)."""
    inner = knots[degree : len(knots) - degree - 1]
    at = np.maximum(np.searchsorted(inner, span, side="right") - 1, 0) + degree
    d = [control[at - degree + j] for j in range(degree + 1)]
    for level in range(1, degree + 1):
        for j in range(degree, level - 1, -1):
            low = knots[at - degree + j]
            share = (arguments[level - 1] - low) / (knots[at + 1 + j - level] - low)
            d[j] = (1.0 - share[:, None]) * d[j - 1] + share[:, None] * d[j]
    return np.asarray(d[degree])


def cut(
    knots: FloatArray, control: FloatArray, degree: int, low: float, high: float
) -> tuple[FloatArray, FloatArray]:
    """Knots and control points of the same B-spline between two parameters.

    The control points are polar forms at the new knots (Oslo algorithm; Cohen, Lyche and
    Riesenfeld 1980, from memory).
    """
    # A cut a hair beside a knot would leave a sliver with a bend of its own.
    hair = _HAIR * (knots[-1] - knots[0])
    low, high = (
        float(knots[near])
        if abs(knots[near := int(np.argmin(np.abs(knots - u)))] - u) < hair
        else u
        for u in (low, high)
    )
    ends = np.ones(degree + 1)
    new = np.concatenate([low * ends, knots[(knots > low) & (knots < high)], high * ends])
    count = len(new) - degree - 1
    points = _blossom(
        knots,
        control,
        degree,
        span=new[:count],
        arguments=[new[r : r + count] for r in range(1, degree + 1)],
    )
    return new, points
