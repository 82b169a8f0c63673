"""Polynomial splines as drawn (Bezier paths, B-splines), read by arc length."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.interpolate import BSpline

from rimwright.curves.offset import Offset
from rimwright.curves.piece import FloatArray, Frame, Piece, Similarity
from rimwright.errors import GeometryError

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(12)
#: Panels in each knot span for the table of arc lengths.
_PANELS = 8


@dataclass(frozen=True)
class Spline(Piece):
    """A plane B-spline between the ends of its knots.

    Arc length is integrated panel by panel to about 1e-12 of the length and inverted by
    Newton's method, so `at` is exact though the parameter is not arc length.
    """

    #: Knots with full multiplicity at the ends, shape (control points + degree + 1,).
    knots: FloatArray
    #: Control points, shape (n, 2). [m]
    control: FloatArray
    degree: int = 3

    @classmethod
    def bezier(cls, control: FloatArray) -> Spline:
        """One Bezier segment with control points of shape (degree + 1, 2). [m]"""
        degree = len(control) - 1
        knots = np.concatenate([np.zeros(degree + 1), np.ones(degree + 1)])
        return cls(knots, np.asarray(control, dtype=np.float64), degree)

    @cached_property
    def _curves(self) -> tuple[BSpline, BSpline, BSpline]:
        curve = BSpline(self.knots, self.control, self.degree)
        return curve, curve.derivative(), curve.derivative(2)

    @cached_property
    def _table(self) -> tuple[FloatArray, FloatArray]:
        """Parameters and the arc length reached at each."""
        spans = np.unique(self.knots[self.degree : len(self.knots) - self.degree])
        fractions = np.arange(_PANELS) / _PANELS
        u = np.append((spans[:-1, None] + np.diff(spans)[:, None] * fractions).ravel(), spans[-1])
        s = np.concatenate([[0.0], np.cumsum(self._stretch(u[:-1], u[1:]))])
        if not np.isfinite(s[-1]) or s[-1] <= 0.0:
            raise GeometryError("a curve of no length", "a curve with some length", "remove it")
        return u, s

    def _stretch(self, first: FloatArray, last: FloatArray) -> FloatArray:
        half = 0.5 * (last - first)
        u = 0.5 * (first + last)[:, None] + half[:, None] * _NODES
        speed = np.linalg.norm(self._curves[1](u), axis=-1)
        return np.asarray(half * (speed @ _WEIGHTS))

    @cached_property
    def length(self) -> float:
        return float(self._table[1][-1])

    def parameter(self, s: FloatArray) -> FloatArray:
        """The spline parameter at each arc length."""
        u_table, s_table = self._table
        s = np.clip(s, 0.0, s_table[-1])
        i = np.clip(np.searchsorted(s_table, s, side="right") - 1, 0, len(s_table) - 2)
        low, high = u_table[i], u_table[i + 1]
        share = (s - s_table[i]) / np.maximum(s_table[i + 1] - s_table[i], 1e-300)
        u = low + (high - low) * share
        for _ in range(20):
            error = s_table[i] + self._stretch(low, u) - s
            speed = np.maximum(np.linalg.norm(self._curves[1](u), axis=-1), 1e-12)
            step = error / speed
            u = np.clip(u - step, low, high)
            if np.abs(error).max(initial=0.0) < 1e-13:
                break
        return u

    def at(self, s: FloatArray) -> Frame:
        u = self.parameter(np.asarray(s, dtype=np.float64))
        curve, first, second = self._curves
        d1, d2 = first(u), second(u)
        speed = np.maximum(np.linalg.norm(d1, axis=-1), 1e-12)
        curvature = (d1[:, 0] * d2[:, 1] - d1[:, 1] * d2[:, 0]) / speed**3
        return Frame(curve(u), self._heading(u), curvature)

    def _heading(self, u: FloatArray) -> FloatArray:
        """Heading unwrapped from the start through the table's parameters."""
        knots_u, unwrapped = self._headings
        raw = np.arctan2(*self._curves[1](u).T[::-1])
        near = np.interp(u, knots_u, unwrapped)
        return np.asarray(raw + 2.0 * np.pi * np.round((near - raw) / (2.0 * np.pi)))

    @cached_property
    def _headings(self) -> tuple[FloatArray, FloatArray]:
        u = self._table[0]
        return u, np.unwrap(np.arctan2(*self._curves[1](u).T[::-1]))

    def reversed(self) -> Spline:
        ends = self.knots[0] + self.knots[-1]
        return Spline(ends - self.knots[::-1], self.control[::-1], self.degree)

    def transformed(self, transform: Similarity) -> Spline:
        return Spline(self.knots, transform.points(self.control), self.degree)

    def offset(self, distance: float) -> Piece:
        return Offset(self, distance)

    def between(self, start: float, end: float) -> Spline:
        low, high = self.parameter(np.array([start, end]))
        curve = self._curves[0]
        for u in (low, high):
            inside = self.knots[0] < u < self.knots[-1]
            have = int(np.count_nonzero(np.isclose(curve.t, u, rtol=0, atol=1e-14)))
            if inside and have < self.degree:
                curve = curve.insert_knot(u, self.degree - have)
        keep = np.flatnonzero((curve.t > low + 1e-13) & (curve.t < high - 1e-13))
        inner = curve.t[keep]
        first = int(np.searchsorted(curve.t, low + 1e-13)) - self.degree - 1
        first = max(first, 0)
        count = len(inner) + self.degree + 1
        pad = np.ones(self.degree + 1)
        knots = np.concatenate([low * pad, inner, high * pad])
        return Spline(knots, np.asarray(curve.c)[first : first + count], self.degree)
