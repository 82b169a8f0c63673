"""A spline as one polynomial for each span between its knots."""

from __future__ import annotations

from dataclasses import dataclass
from math import factorial

import numpy as np
import numpy.typing as npt

from rimwright.curves.piece import FloatArray

Indices = npt.NDArray[np.intp]
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
    """The polynomials of a B-spline between the ends of its knots."""
    from scipy.interpolate import BSpline

    curve = BSpline(knots, control, degree)
    breaks = np.unique(knots[degree : len(knots) - degree])
    powers = range(degree, -1, -1)
    position = np.stack([curve(breaks[:-1], nu=k).T / factorial(k) for k in powers])
    first = position[:-1] * np.arange(degree, 0, -1)[:, None, None]
    second = first[:-1] * np.arange(degree - 1, 0, -1)[:, None, None]
    return PolynomialSpans(breaks, (position, first, second if degree > 1 else 0.0 * first[:1]))
