"""A fair curve through a noisy trace, and its radii with an honest range.

The fit itself is in `trace_fit`; here the points are cut at corners, the fitted lines
become a chain, and the smallest radius over a stretch gets its range.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.interpolate import make_interp_spline

from rimwright.curves import trace_fit
from rimwright.curves.chain import Chain
from rimwright.curves.piece import FloatArray
from rimwright.curves.spline import Spline
from rimwright.curves.trace_points import find_corners, meeting, resample, smooth
from rimwright.curves.trace_radius import (
    TracedCurve,
    TracedRadius,
    TracedStretch,
    radius_range,
    smallest_radius_over,
)
from rimwright.curves.trace_shape import Pins, Shape
from rimwright.errors import GeometryError

__all__ = [
    "TracedCurve",
    "TracedRadius",
    "TracedStretch",
    "fit_trace",
    "radius_range",
    "smallest_radius_over",
]

#: Points spent on searching corners and on each fit.
_POINTS = 5760
#: Knots of curvature on a whole line, and on the shortest stretch between corners; 22 mm
#: horns on 1.3 m of line still span four of them.
_KNOTS, _FEWEST = 240, 24
#: Spans of the finished spline between knots of curvature: curvature has a kink at each knot,
#: and a spline through the knots alone would ring there.
_DENSE = 2
#: A body has two corners at a pointed horn, and a few at its ends.
_MOST_CORNERS = 12
#: Stretch beside a corner that is left out of the fit, as a share of the line.
_GAP = 1 / 900
#: An open line is carried this share of its length past its ends, and cut there afterwards.
_PAST = 1 / 400


def fit_trace(
    points: FloatArray, *, closed: bool, corners: Sequence[int] | None = None
) -> TracedCurve:
    """The fairest curve that the scatter of traced points allows.

    Parameters
    ----------
    points : array, shape (n, 2)
        The traced line in order, pixel stairs and all. [m]
    closed : bool
        Whether the last point joins the first.
    corners : sequence of int, optional
        Indices of points where the line turns a corner; None looks for them.

    Returns
    -------
    TracedCurve
        The curve, the scatter of the points about it and what the ranges of radii need.

    Raises
    ------
    GeometryError
        If there are too few points, or they do not follow one line.

    Examples
    --------
    >>> import numpy as np
    >>> turn = np.linspace(0.0, 2.0 * np.pi, 400, endpoint=False)
    >>> stairs = np.round(np.column_stack([np.cos(turn), np.sin(turn)]) * 80.0, 0) * 1e-3
    >>> traced = fit_trace(stairs, closed=True)  # an 80 mm circle on a 1 mm grid
    >>> round(traced.chain.length / (2.0 * np.pi) * 1e3)  # [mm]
    80
    """
    even = resample(points, _POINTS, closed=closed)
    if corners is None:
        found = find_corners(even, closed=closed)
    else:
        given = np.asarray(points, dtype=np.float64)[list(corners)]
        near = sorted(int(np.argmin(np.hypot(*(even - corner).T))) for corner in given)
        found = [(i, meeting(even, i, closed=closed)[0]) for i in near]
    if len(found) > _MOST_CORNERS:
        raise GeometryError(
            f"a traced line of {len(found)} corners",
            f"{_MOST_CORNERS} at most on a body",
            "clean the trace, or say which line is the outline",
        )
    if not found:
        parts: list[_Part] = [(even, closed, (None, None))]
    else:
        parts = _cut(even, found, closed)
    whole = sum(len(part[0]) for part in parts)
    return _join([_fit(part, len(part[0]) / whole) for part in parts], closed, bool(found))


#: Points of a stretch, whether it closes on itself, and the corners it runs between (either
#: may be missing at the free end of an open line).
_Part = tuple[FloatArray, bool, Pins]


def _cut(points: FloatArray, corners: list[tuple[int, FloatArray]], closed: bool) -> list[_Part]:
    gap = max(int(len(points) * _GAP), 1)
    index = [i for i, _ in corners]
    place = [p for _, p in corners]
    if closed:
        starts, ends = index, [*index[1:], index[0] + len(points)]
        pins = list(zip(place, [*place[1:], place[0]], strict=True))
        around = np.vstack([points, points])
        cut: list[tuple[FloatArray, Pins]] = [
            (around[a + gap : b - gap + 1], pin)
            for a, b, pin in zip(starts, ends, pins, strict=True)
        ]
    else:
        marks = [-gap, *index, len(points) - 1 + gap]
        whole = [None, *place, None]
        cut = [
            (points[a + gap : b - gap + 1], (p, q))
            for a, b, p, q in zip(marks, marks[1:], whole, whole[1:], strict=False)
        ]
    parts: list[_Part] = []
    for stretch, (first, last) in cut:
        line = [stretch]
        if first is not None:
            line.insert(0, first[None, :])
        if last is not None:
            line.append(last[None, :])
        parts.append((np.vstack(line), False, (first, last)))
    return parts


def _fit(part: _Part, share: float) -> tuple[TracedStretch, Spline]:
    points, closed, pins = part
    knots = max(round(_KNOTS * share), _FEWEST)
    points = resample(points, knots * trace_fit.BINS * trace_fit.FINE, closed=closed)
    line = smooth(points, 0.9 * len(points) / knots, closed=closed)
    if not closed:  # room for the ends to be found in
        past = _PAST * len(line) * np.array([line[0] - line[1], line[-1] - line[-2]])
        head = [line[0] + past[0]] if pins[0] is None else []
        tail = [line[-1] + past[1]] if pins[1] is None else []
        line = np.vstack([*head, line, *tail])
    around = np.vstack([line, line[:1]]) if closed else line
    s = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(around, axis=0).T))])
    unit, centre = float(s[-1]), points.mean(axis=0)
    first = 0 if closed or pins[0] is not None else 1
    shape, turn = _first_shape((line - centre) / unit, knots, closed)
    fitted, even = trace_fit.solve(
        (points - centre) / unit,
        s[first : first + len(points)] / unit,
        shape,
        turn,
        (
            None if pins[0] is None else (pins[0] - centre) / unit,
            None if pins[1] is None else (pins[1] - centre) / unit,
        ),
    )
    start = 0.0 if closed or pins[0] is not None else float(max(fitted.place[0], 0.0))
    stop = 1.0 if closed or pins[1] is not None else float(min(fitted.place[-1], 1.0))
    if not stop > start:
        raise GeometryError("points that run back over themselves", "one line", "trace it again")
    spline = _spline(fitted.shape, unit, centre, start, stop)
    return TracedStretch(0.0, spline.length, fitted, even, unit, start, stop), spline


def _first_shape(line: FloatArray, knots: int, closed: bool) -> tuple[Shape, float]:
    """Curvature read off the smoothed line, and the whole turn of a closed one."""
    corners = resample(line, knots if closed else knots + 1, closed=closed)
    steps = np.diff(np.vstack([corners, corners[:1]]) if closed else corners, axis=0)
    heading = np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))
    turn = 0.0
    if closed:
        back = np.angle(np.exp(1j * (heading[0] - heading[-1])))
        turn = 2.0 * np.pi * float(np.round((heading[-1] + back - heading[0]) / (2.0 * np.pi)))
        if abs(turn) < 1.0:
            raise GeometryError(
                "a traced line that crosses itself", "a plain loop", "trace it again"
            )
        curvature = np.diff(np.concatenate([[heading[-1] - turn], heading])) * knots
    else:
        inner = np.diff(heading) * knots
        curvature = np.concatenate([inner[:1], inner, inner[-1:]])
    start = float(heading[0] - 0.5 * curvature[0] / knots)
    return Shape(corners[0], start, curvature, 1.0, closed), turn


def _spline(shape: Shape, unit: float, centre: FloatArray, start: float, stop: float) -> Spline:
    """The fitted line as one quintic, its curvature continuous to the second derivative."""
    u = np.linspace(start, stop, _DENSE * shape.spans + 1)
    position, heading, curvature = shape.at(u)
    position = centre + unit * position
    if shape.closed:
        position[-1] = position[0]
    s = (u - start) * unit * shape.scale
    k = curvature / (unit * shape.scale)
    ends = [
        [(1, np.array([np.cos(h), np.sin(h)])), (2, k_ * np.array([-np.sin(h), np.cos(h)]))]
        for h, k_ in ((heading[0], k[0]), (heading[-1], k[-1]))
    ]
    # Derivatives at both ends, as scipy documents; its type stubs know only the names.
    curve = make_interp_spline(s, position, k=5, bc_type=(ends[0], ends[1]))  # type: ignore[arg-type]
    return Spline(np.asarray(curve.t), np.asarray(curve.c), 5)


def _join(parts: list[tuple[TracedStretch, Spline]], closed: bool, cornered: bool) -> TracedCurve:
    chain = Chain(tuple(spline for _, spline in parts))
    starts = chain.stations
    stretches = tuple(
        TracedStretch(float(s), p.length_m, p.fitted, p.even, p.unit_m, p.first, p.last)
        for s, (p, _) in zip(starts, parts, strict=False)
    )
    residual = np.concatenate([p.fitted.residual * p.unit_m for p in stretches])
    corners = starts[:-1] if closed and cornered else starts[1:-1]
    return TracedCurve(
        chain=chain,
        noise_m=float(np.std(residual)),
        closed=closed,
        corners_m=tuple(float(s) for s in corners),
        stretches=stretches,
    )
