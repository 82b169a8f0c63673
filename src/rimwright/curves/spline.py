"""Polynomial splines as drawn (Bezier paths, B-splines), read by arc length."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from rimwright.curves.offset import Offset
from rimwright.curves.piece import FloatArray, Frame, Piece, Similarity
from rimwright.curves.spline_spans import Indices, PolynomialSpans, cut, polynomial_spans
from rimwright.errors import GeometryError

#: The table of arc lengths is refined until halving a panel changes less than this share.
_SHARE, _ROUNDS = 1e-14, 40
#: The end of a knot span is a stand when the spline passes it this much slower than on the
#: whole. Its direction is then read this share of the span further in, and so is its
#: curvature, which is infinite there by the drawing tool's handle and not by any bend.
_SLOW, _INWARD = 1e-6, 0.01


@dataclass(frozen=True)
class Spline(Piece):
    """A plane B-spline between the ends of its knots.

    Arc length is integrated panel by panel to about 1e-13 of the length and inverted by
    Newton's method, so `at` is exact though the parameter is not arc length. Coincident
    control points and cusps are read beside the place where the spline stands still.

    Raises
    ------
    GeometryError
        If knots and control points do not belong together or are not numbers, or, when
        first read, if the spline has no length.
    """

    #: Knots with full multiplicity at the ends, shape (control points + degree + 1,).
    knots: FloatArray
    #: Control points, shape (n, 2). [m]
    control: FloatArray
    degree: int = 3

    def __post_init__(self) -> None:
        knots, control = self.knots, self.control
        fits = (
            self.degree >= 1
            and len(control) > self.degree
            and len(knots) == len(control) + self.degree + 1
            and bool(np.all(np.isfinite(knots)) and np.all(np.isfinite(control)))
            and bool(np.all(np.diff(knots) >= 0.0))
            and knots[self.degree] < knots[-self.degree - 1]
        )
        if not fits:
            raise GeometryError(
                "a spline whose knots and control points do not belong together",
                "rising knots, control points + degree + 1 of them, all finite numbers",
                "export the drawing again, or redraw that curve",
            )

    @classmethod
    def bezier(cls, control: FloatArray) -> Spline:
        """One Bezier segment with control points of shape (degree + 1, 2). [m]"""
        degree = len(control) - 1
        knots = np.concatenate([np.zeros(degree + 1), np.ones(degree + 1)])
        return cls(knots, np.asarray(control, dtype=np.float64), degree)

    @cached_property
    def _spans(self) -> PolynomialSpans:
        return polynomial_spans(self.knots, self.control, self.degree)

    @cached_property
    def _table(self) -> tuple[FloatArray, FloatArray]:
        """Parameters, close enough to integrate between, and the arc length at each."""
        with np.errstate(over="ignore", invalid="ignore"):
            u, s = self._refined()
        if not np.isfinite(s[-1]) or s[-1] <= 0.0:
            raise GeometryError("a curve of no length", "a curve with some length", "remove it")
        return u, s

    def _refined(self) -> tuple[FloatArray, FloatArray]:
        breaks = self._spans.breaks
        u = np.unique(np.concatenate([breaks, 0.5 * (breaks[:-1] + breaks[1:])]))
        whole = self._spans.stretch(u[:-1], u[1:], self._spans.at(u[:-1]))
        for _ in range(_ROUNDS):
            middle = 0.5 * (u[:-1] + u[1:])
            span = self._spans.at(middle)
            halves = np.column_stack(
                [
                    self._spans.stretch(u[:-1], middle, span),
                    self._spans.stretch(middle, u[1:], span),
                ]
            )
            coarse = np.abs(halves.sum(axis=1) - whole) > _SHARE * whole.sum()
            if not coarse.any():
                break
            # Only panels that matter are halved: beside a cusp that is a handful a round.
            u = np.sort(np.concatenate([u, middle[coarse]]))
            whole = self._spans.stretch(u[:-1], u[1:], self._spans.at(u[:-1]))
        return u, np.concatenate([[0.0], np.cumsum(whole)])

    @cached_property
    def length(self) -> float:
        return float(self._table[1][-1])

    def parameter(self, s: FloatArray) -> FloatArray:
        """The spline parameter at each arc length."""
        u_table, s_table = self._table
        s = np.minimum(np.maximum(np.asarray(s, dtype=np.float64), 0.0), s_table[-1])
        i = np.searchsorted(s_table[1:-1], s, side="right")
        start, low, high = u_table[i], u_table[i], u_table[i + 1]
        span = self._spans.at(start)
        u = self._first_parameter(s, i)
        for _ in range(60):
            error = s_table[i] + self._spans.stretch(start, u, span) - s
            if np.abs(error).max(initial=0.0) <= 1e-13 * s_table[-1]:
                break
            low, high = np.where(error < 0.0, u, low), np.where(error > 0.0, u, high)
            speed = np.maximum(np.hypot(*self._spans.derivative(1, u, span)), 1e-300)
            newton = u - error / speed
            # Where the spline nearly stands still Newton leaps: halve the bracket instead.
            inside = (newton >= low) & (newton <= high)
            following = np.where(inside, newton, 0.5 * (low + high))
            if np.abs(following - u).max(initial=0.0) <= 1e-16 * abs(u_table[-1]):
                break
            u = following
        return u

    @cached_property
    def _slow(self) -> float:
        """Below this speed the spline stands still. [m per parameter]"""
        return float(self.length / (self.knots[-1] - self.knots[0]) * _SLOW)

    @cached_property
    def _pace(self) -> FloatArray:
        """Parameter per arc length at the table's parameters; 0 where it stands still."""
        u = self._table[0]
        speed = np.hypot(*self._spans.derivative(1, u, self._spans.at(u)))
        return np.asarray(np.where(speed > self._slow, 1.0 / np.maximum(speed, self._slow), 0.0))

    def _first_parameter(self, s: FloatArray, i: Indices) -> FloatArray:
        """A cubic guess of the parameter within panel `i`."""
        u_table, s_table = self._table
        width = np.maximum(s_table[i + 1] - s_table[i], 1e-300)
        x = (s - s_table[i]) / width
        rise = u_table[i + 1] - u_table[i]
        a, b = self._pace[i] * width - rise, rise - self._pace[i + 1] * width
        u = u_table[i] + x * rise + x * (1.0 - x) * (a * (1.0 - x) + b * x)
        return np.minimum(np.maximum(u, u_table[i]), u_table[i + 1])

    def at(self, s: FloatArray) -> Frame:
        u = self.parameter(s)
        span = self._spans.at(u)
        dx, dy = self._velocity(u, span)
        heading = self._heading(u, np.arctan2(dy, dx))
        return Frame(self._spans.derivative(0, u, span).T, heading, self._bend(u, span))

    @cached_property
    def _bounds(self) -> tuple[FloatArray, FloatArray]:
        """Between which parameters of each span direction and bend are read."""
        breaks = self._spans.breaks
        spans = np.arange(len(breaks) - 1)
        reach = _INWARD * np.diff(breaks)
        first = np.hypot(*self._spans.derivative(1, breaks[:-1], spans)) < self._slow
        last = np.hypot(*self._spans.derivative(1, breaks[1:], spans)) < self._slow
        return breaks[:-1] + reach * first, breaks[1:] - reach * last

    def _velocity(self, u: FloatArray, span: Indices) -> FloatArray:
        """First derivative, read further in where the spline starts or ends at a stand."""
        low, high = self._bounds
        return self._spans.derivative(1, np.minimum(np.maximum(u, low[span]), high[span]), span)

    def _bend(self, u: FloatArray, span: Indices) -> FloatArray:
        """Signed curvature, read where `_velocity` is."""
        low, high = self._bounds
        u = np.minimum(np.maximum(u, low[span]), high[span])
        (dx, dy), (ddx, ddy) = (
            self._spans.derivative(1, u, span),
            self._spans.derivative(2, u, span),
        )
        return np.asarray((dx * ddy - dy * ddx) / np.maximum(np.hypot(dx, dy), self._slow) ** 3)

    def _heading(self, u: FloatArray, raw: FloatArray) -> FloatArray:
        """Heading unwrapped from the start through the table's parameters."""
        near = np.interp(u, *self._headings)
        return np.asarray(raw + 2.0 * np.pi * np.round((near - raw) / (2.0 * np.pi)))

    @cached_property
    def _headings(self) -> tuple[FloatArray, FloatArray]:
        u = self._table[0]
        # Finer than the table, which is coarse where lengths are easy.
        u = np.unique(
            np.concatenate([u + (k / 4.0) * np.append(np.diff(u), 0.0) for k in range(4)])
        )
        dx, dy = self._velocity(u, self._spans.at(u))
        return u, np.unwrap(np.arctan2(dy, dx))

    def curvature_range(self) -> tuple[float, float]:
        breaks = self._spans.breaks
        ends = []
        for sign in (-1.0, 1.0):
            low, high = breaks[:-1, None], breaks[1:, None]
            for _ in range(4):
                # Look span by span, then ever closer about the tightest place of each.
                u = low + (high - low) * np.linspace(0.0, 1.0, 33)
                span = np.arange(len(breaks) - 1)[:, None] + np.zeros(33, dtype=np.intp)
                bend = sign * self._bend(u, span)
                at = np.clip(bend.argmax(axis=1)[:, None] + np.array([-1, 1]), 0, 32)
                low, high = np.take_along_axis(u, at, axis=1).T[:, :, None]
            ends.append(sign * float(bend.max()))
        return ends[0], ends[1]

    def reversed(self) -> Spline:
        ends = self.knots[0] + self.knots[-1]
        return Spline(ends - self.knots[::-1], self.control[::-1], self.degree)

    def transformed(self, transform: Similarity) -> Spline:
        return Spline(self.knots, transform.points(self.control), self.degree)

    def offset(self, distance: float) -> Piece:
        return Offset(self, distance)

    def between(self, start: float, end: float) -> Spline:
        low, high = (float(u) for u in self.parameter(np.array([start, end])))
        knots, control = cut(self.knots, self.control, self.degree, low, high)
        return Spline(knots, control, self.degree)
