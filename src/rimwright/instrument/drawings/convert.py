"""Exact conversion of drawn curves into segments: arcs, ellipses and splines of any kind."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from itertools import pairwise

import numpy as np

from rimwright.curves.piece import FloatArray
from rimwright.instrument.drawings.strokes import Point, Segment

#: Points that interpolate one span of a rational spline, or a quarter of an ellipse, to begin
#: with; they are doubled until the curve strays less than this share of its size.
_SPAN_POINTS, _QUARTER_POINTS = 17, 33
_STRAY_SHARE, _MOST_POINTS = 1e-8, 1000
#: A curve within this share of its size of an arc is that arc.
_ARC_SHARE = 1e-8
_HIGHEST_DEGREE = 9


def polyline_segments(
    points: list[Point], bulges: list[float] | None = None, *, closed: bool = False
) -> list[Segment]:
    """Lines and bulged arcs through points; steps of no length are dropped."""
    bulges = bulges or [0.0] * len(points)
    ends = points[1:] + points[:1] if closed else points[1:]
    segments: list[Segment] = []
    for start, end, bulge in zip(points, ends, bulges, strict=False):
        if start == end or not all(map(math.isfinite, (*start, *end, bulge))):
            continue
        segments.extend(arc_segments(start, end, 4.0 * math.atan(bulge)))
    return segments


def arc_segments(
    start: Point, end: Point, turn: float, centre: Point | None = None
) -> Iterator[Segment]:
    """The arc between two points with this turn, in two when it passes half a circle.

    `centre` is needed only where the ends meet (a whole circle). [rad]
    """
    if abs(turn) < 1e-9:
        yield Segment(start, end)
    elif abs(turn) <= math.pi + 1e-9:
        yield Segment(start, end, math.tan(turn / 4.0))
    else:
        if centre is None:
            b, dx, dy = math.tan(turn / 4.0), end[0] - start[0], end[1] - start[1]
            middle = (start[0] + 0.5 * (dx + b * dy), start[1] + 0.5 * (dy - b * dx))
        else:
            x, y = start[0] - centre[0], start[1] - centre[1]
            c, s = math.cos(turn / 2.0), math.sin(turn / 2.0)
            middle = (centre[0] + c * x - s * y, centre[1] + s * x + c * y)
        half = math.tan(turn / 8.0)
        yield Segment(start, middle, half)
        yield Segment(middle, end, half)


def ellipse_segments(
    centre: Point, major: Point, minor: Point, first: float, last: float
) -> list[Segment]:
    """The stretch of an ellipse between two eccentric angles. [rad]

    `major` and `minor` are conjugate half axes: the point at angle t is
    ``centre + major cos t + minor sin t``. Equal, square axes give an exact arc.
    """

    def at(t: FloatArray) -> FloatArray:
        return np.column_stack(
            [
                centre[0] + major[0] * np.cos(t) + minor[0] * np.sin(t),
                centre[1] + major[1] * np.cos(t) + minor[1] * np.sin(t),
            ]
        )

    size = max(math.hypot(*major), math.hypot(*minor))
    if not 0.0 < size < math.inf or not 0.0 < abs(last - first) < 7.0:
        return []
    square = abs(major[0] * minor[0] + major[1] * minor[1]) < 1e-7 * size * size
    if square and abs(math.hypot(*major) - math.hypot(*minor)) < 1e-7 * size:
        ends = at(np.array([first, last])).tolist()
        turn = math.copysign(1.0, major[0] * minor[1] - major[1] * minor[0]) * (last - first)
        return list(arc_segments(tuple(ends[0]), tuple(ends[1]), turn, centre))
    # In quarters, so that the ends of no stretch meet.
    stops = np.linspace(first, last, 1 + math.ceil(abs(last - first) / (math.pi / 2) - 1e-9))
    return [_interpolated(at, a, b, _QUARTER_POINTS) for a, b in pairwise(stops)]


def _interpolated(
    at: Callable[[FloatArray], FloatArray], first: float, last: float, count: int
) -> Segment:
    from scipy.interpolate import make_interp_spline

    low, high = min(first, last), max(first, last)
    while True:
        u = np.linspace(low, high, count)
        points = at(u)
        curve = make_interp_spline(u, points, k=5)
        between = 0.5 * (u[1:] + u[:-1])
        miss = float(np.abs(at(between) - curve(between)).max())
        if miss <= _STRAY_SHARE * float(np.ptp(points, axis=0).max()) or count > _MOST_POINTS:
            break
        count = 2 * count - 1
    segment = Segment(
        _point(points[0]), _point(points[-1]), 0.0, (np.asarray(curve.t), np.asarray(curve.c), 5)
    )
    return segment if first < last else segment.reversed()


def spline_segments(
    knots: FloatArray, control: FloatArray, degree: int, weights: FloatArray | None = None
) -> list[Segment]:
    """A B-spline of any kind as segments: lines, exact arcs where it is one, or splines.

    A plain clamped spline stays as drawn, cut where it may have corners. Unclamped ones are
    cut span by span without loss; rational ones are interpolated.

    Raises
    ------
    ValueError
        If the numbers make no spline.
    """
    fits = len(knots) == len(control) + degree + 1 and 1 <= degree <= _HIGHEST_DEGREE
    finite = bool(np.isfinite(knots).all() and np.isfinite(control).all())
    if not fits or not finite or (np.diff(knots) < 0).any() or knots[degree] >= knots[-degree - 1]:
        raise ValueError("knots and control points do not make a spline")
    if weights is not None and np.ptp(weights) < 1e-12 * abs(weights[0]):
        weights = None
    clamped = knots[0] == knots[degree] and knots[-1] == knots[-degree - 1]
    if weights is None and clamped:
        return _split_at_corners(knots, control, degree)
    from scipy.interpolate import BSpline

    if weights is None:
        curve = BSpline(knots, control, degree)
        at = lambda u: np.asarray(curve(u), dtype=np.float64)  # noqa: E731
    else:
        if not np.isfinite(weights).all() or (weights <= 0).any():
            raise ValueError("weights of a spline are above zero")
        homogeneous = BSpline(knots, np.column_stack([control * weights[:, None], weights]), degree)

        def at(u: FloatArray) -> FloatArray:
            rows = np.asarray(homogeneous(u), dtype=np.float64)
            return rows[:, :2] / rows[:, 2:]

    spans = np.unique(knots[degree : len(knots) - degree])
    return [
        segment
        for low, high in pairwise(spans)
        if (segment := _as_arc(at, low, high) or _interpolated(at, low, high, _SPAN_POINTS))
    ]


def bezier_segments(control: FloatArray) -> list[Segment]:
    """One Bezier segment."""
    degree = len(control) - 1
    knots = np.concatenate([np.zeros(degree + 1), np.ones(degree + 1)])
    return _split_at_corners(knots, control, degree)


def _split_at_corners(knots: FloatArray, control: FloatArray, degree: int) -> list[Segment]:
    """Cut where an inner knot is as often there as the degree: the curve may turn sharply."""
    inner, counts = np.unique(knots[degree + 1 : len(knots) - degree - 1], return_counts=True)
    cuts = [int(np.searchsorted(knots, u)) - 1 for u in inner[counts >= degree]]
    segments = []
    for first, last in zip([0, *cuts], [*cuts, len(control) - 1], strict=True):
        points = control[first : last + 1]
        if np.ptp(points, axis=0).max() <= 0.0:
            continue
        stretch = knots[first : last + degree + 2].astype(np.float64)
        # The ends carry full multiplicity whatever lay beyond the cut.
        stretch[: degree + 1], stretch[-degree - 1 :] = stretch[degree], stretch[-degree - 1]
        segments.append(_plainest(stretch, points, degree))
    return segments


def _plainest(knots: FloatArray, control: FloatArray, degree: int) -> Segment:
    """A line if the control points lie in order on one; else the spline, free of stalls."""
    start, end = _point(control[0]), _point(control[-1])
    chord = np.subtract(end, start)
    length = float(np.hypot(*chord))
    if length > 0.0:
        along = (control - start) @ chord / length
        across = np.abs((control - start) @ [-chord[1], chord[0]]) / length
        if across.max() < 1e-9 * length and (np.diff(along) >= -1e-9 * length).all():
            return Segment(start, end)
    size = float(np.ptp(control, axis=0).max())
    handles = np.hypot(*(control[[1, -2]] - control[[0, -1]]).T)
    if handles.min() < 1e-4 * size:
        return _without_stall(knots, control, degree)
    return Segment(start, end, 0.0, (knots, control, degree))


def _without_stall(knots: FloatArray, control: FloatArray, degree: int) -> Segment:
    """A spline whose end handle has no length, laid through its points by arc length.

    There the speed is zero and the curvature has no bound, over a stretch nobody could see.
    """
    from scipy.interpolate import BSpline, make_interp_spline

    curve = BSpline(knots, control, degree)
    u = np.linspace(knots[0], knots[-1], 400 * (len(control) - degree) + 1)
    points = np.asarray(curve(u), dtype=np.float64)
    s = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    keep = np.concatenate([[True], np.diff(s) > 0.0])
    wanted = np.linspace(0.0, s[-1], 8 * (len(control) - degree) + 1)
    at = np.interp(wanted, s[keep], u[keep])
    smooth = make_interp_spline(wanted, np.asarray(curve(at)), k=3)
    parts = (np.asarray(smooth.t), np.asarray(smooth.c), 3)
    return Segment(_point(points[0]), _point(points[-1]), 0.0, parts)


def _as_arc(at: Callable[[FloatArray], FloatArray], low: float, high: float) -> Segment | None:
    """The arc or line this stretch is, if it is one within a hundred-millionth of its size."""
    points = at(np.linspace(low, high, 9))
    start, middle, end = points[0], points[4], points[8]
    chord = end - start
    length = float(np.hypot(*chord))
    if length == 0.0:
        return None
    normal = np.array([chord[1], -chord[0]]) / length
    along, out = (middle - start) @ chord / length, (middle - start) @ normal
    # Radius through three points, by the power of the middle point over the chord.
    across = (points - start) @ normal
    if np.abs(across).max() < _ARC_SHARE * length:
        return Segment(_point(start), _point(end))
    if out == 0.0:
        return None
    h = (along * (length - along) - out * out) / (2.0 * out)
    centre = start + 0.5 * chord - h * normal
    radius = np.hypot(*(points - centre).T)
    if np.ptp(radius) > _ARC_SHARE * length:
        return None
    # The bulge is positive where the arc bows to the right of its chord.
    sagitta = math.copysign(radius[0], out) - h
    return Segment(_point(start), _point(end), 2.0 * sagitta / length)


def _point(row: FloatArray) -> Point:
    return float(row[0]), float(row[1])
