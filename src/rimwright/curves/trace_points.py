"""Traced points made ready to fit: even spacing, a first smooth line, corners."""

from __future__ import annotations

import numpy as np
from scipy.ndimage import gaussian_filter1d

from rimwright.curves.piece import FloatArray
from rimwright.errors import GeometryError

#: A turn of the line within a two-hundredth of its length that makes a corner likely. [rad]
_SUSPECT = 0.5
#: The turn left between the two sides carried on to where they meet. [rad]
_CORNER = 0.35
#: Shares of the line's length: spacing of the search, stretch read on each side, and the
#: stretch left out beside the corner, where pen, blur and tracer round it.
_ARM, _REACH, _GAP = 1 / 200, 1 / 70, 1 / 900
#: How far the meeting point may lie from the points, as a share of the length; farther, and
#: the bend is a rounded one.
_MISS = 1 / 700


def resample(points: FloatArray, count: int, *, closed: bool) -> FloatArray:
    """Points at even steps along the polyline, shape (count, 2). [m]

    Raises
    ------
    GeometryError
        If there are too few different points, or some are no numbers.
    """
    points = np.asarray(points, dtype=np.float64)
    pairs = points.ndim == 2 and points.shape[1] == 2 and len(points) > 0
    if not (pairs and np.isfinite(points).all()):
        raise GeometryError(
            "traced points that are not pairs of numbers", "x and y of each", "trace it again"
        )
    line = np.vstack([points, points[:1]]) if closed else points
    step = np.hypot(*np.diff(line, axis=0).T)
    line, step = line[np.concatenate([[True], step > 0.0])], step[step > 0.0]
    if len(step) < 8:
        raise GeometryError(
            f"a traced line of {len(step)} steps", "eight at least", "trace it with more points"
        )
    s = np.concatenate([[0.0], np.cumsum(step)])
    at = np.linspace(0.0, s[-1], count, endpoint=not closed)
    return np.column_stack([np.interp(at, s, line[:, 0]), np.interp(at, s, line[:, 1])])


def smooth(points: FloatArray, width: float, *, closed: bool) -> FloatArray:
    """Points averaged with their neighbours (Gaussian, `width` in points); ends stay."""
    if closed:
        return np.asarray(gaussian_filter1d(points, width, axis=0, mode="wrap"))
    reach = min(len(points) - 1, int(4.0 * width) + 1)
    before = 2.0 * points[0] - points[reach:0:-1]
    after = 2.0 * points[-1] - points[-2 : -reach - 2 : -1]
    return np.asarray(
        gaussian_filter1d(np.vstack([before, points, after]), width, axis=0)[reach:-reach]
    )


def find_corners(points: FloatArray, *, closed: bool) -> list[tuple[int, FloatArray]]:
    """Corners of an evenly spaced line: index of the nearest point, and the corner itself.

    Beside a corner the line is read on each side as a parabola; where the two meet at an
    angle, close to the points, is the corner. A rounded bend has no such place: its two
    sides run into one another, or meet far outside it.
    """
    count = len(points)
    arm = max(int(count * _ARM), 2)
    line = smooth(points, arm / 4.0, closed=closed)
    before, after = line - np.roll(line, arm, axis=0), np.roll(line, -arm, axis=0) - line
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    turn = np.abs(np.arctan2(cross, np.einsum("ij,ij->i", before, after)))
    if not closed:
        margin = int(count * _REACH)
        turn[:margin] = turn[-margin:] = 0.0
    corners = []
    while turn.max() > _SUSPECT:
        i = int(np.argmax(turn))
        turn[np.arange(i - 3 * arm, i + 3 * arm + 1) % count] = 0.0
        place, bend, miss = meeting(points, i, closed=closed)
        if bend > _CORNER and miss < _MISS:
            corners.append((i, place))
    return sorted(corners, key=lambda corner: corner[0])


def meeting(points: FloatArray, i: int, *, closed: bool) -> tuple[FloatArray, float, float]:
    """Where the two sides of point i meet, their angle there [rad], and how far from the points.

    The last as a share of the line's length.
    """
    count = len(points)
    length = count * float(np.median(np.hypot(*np.diff(points, axis=0).T)))
    reach, gap = int(count * _REACH), max(int(count * _GAP), 1)
    sides = []
    for way in (-1, 1):
        index = i + way * np.arange(gap, reach + 1)
        index = index % count if closed else index[(index >= 0) & (index < count)]
        side = points[index]
        along = side[-1] - side[0]
        along = along / np.hypot(*along)
        across = np.array([-along[1], along[0]])
        local = side - points[i]
        sides.append((along, across, np.polyfit(local @ along, local @ across, 2)))

    def on(side: int, x: float) -> tuple[FloatArray, FloatArray]:
        along, across, curve = sides[side]
        slope = float(np.polyval(np.polyder(curve), x))
        return along * x + across * np.polyval(curve, x), along + across * slope

    x = np.zeros(2)
    for _ in range(8):
        (a, da), (b, db) = on(0, x[0]), on(1, x[1])
        matrix = np.column_stack([da, -db])
        if abs(np.linalg.det(matrix)) < 1e-3:
            return points[i], 0.0, np.inf
        x = np.clip(x - np.linalg.solve(matrix, a - b), -0.1 * length, 0.1 * length)
    (a, da), (_, db) = on(0, x[0]), on(1, x[1])
    inward, outward = -da, db
    bend = abs(np.arctan2(inward[0] * outward[1] - inward[1] * outward[0], inward @ outward))
    place = points[i] + a
    nearest = float(np.min(np.hypot(*(points - place).T)))
    return place, float(bend), nearest / length
