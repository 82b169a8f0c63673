"""Closed loops to saw, and the plane geometry their makers share."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.curves.piece import FloatArray, Piece
from rimwright.errors import GeometryError

Point = tuple[float, float]

#: Shorter than this a line is not worth drawing. [m]
_SHORTEST = 1e-7


def point_of(row: FloatArray) -> Point:
    """The point of an array's row."""
    return float(row[0]), float(row[1])


def straight(*points: Point) -> list[Piece]:
    """Straight lines from point to point, those of no length left out."""
    pairs = pairwise(points)
    return [Arc.line(a, b) for a, b in pairs if np.hypot(b[0] - a[0], b[1] - a[1]) > _SHORTEST]


def close(pieces: Sequence[Piece], start: Point | None = None) -> Chain:
    """The pieces as one closed loop, a straight line added at the end if it is open.

    Parameters
    ----------
    pieces : sequence of Piece
        End to start; the last one cheap to read (a line or an arc).
    start : tuple of float, optional
        Where the first begins, if that is known. [m]

    Examples
    --------
    >>> corner = straight((0.0, 0.0), (0.1, 0.0), (0.1, 0.05))
    >>> len(close(corner).pieces)
    3
    """
    if start is None:
        start = point_of(pieces[0].at(np.zeros(1)).position[0])
    return Chain((*pieces, *straight(end_of(pieces[-1]), start)))


def end_of(piece: Piece) -> Point:
    """Where a piece ends."""
    return point_of(piece.at(np.array([piece.length])).position[0])


def refuse_crossing(points: FloatArray, where: str) -> None:
    """Stop at a loop that crosses itself, which nobody could saw.

    Raises
    ------
    GeometryError
        If the polyline through the points, closed, does.
    """
    if crosses_itself(np.vstack([points, points[:1]])):
        raise GeometryError(
            "an outline that crosses itself",
            "room between neighbouring stretches of the line",
            "make the bend wider or what lies between thinner",
            where=where,
        )


def circle(centre: Point, diameter: float) -> Chain:
    """A hole. [m]"""
    radius = 0.5 * diameter
    start = (centre[0] + radius, centre[1])
    return Chain((Arc(start, 0.5 * np.pi, 1.0 / radius, 2.0 * np.pi * radius),))


def crosses_itself(points: FloatArray) -> bool:
    """Whether a closed polyline of shape (n, 2) crosses itself.

    Examples
    --------
    >>> square = np.array([[0, 0], [1, 0], [1, 1], [0, 1], [0, 0]], float)
    >>> crosses_itself(square), crosses_itself(square[[0, 2, 1, 3, 0]])
    (False, True)
    """
    return _any_crossing(points, points)


def crowd(first: FloatArray, second: FloatArray, room: float) -> bool:
    """Whether two closed polylines leave less than `room` between them. [m]

    Examples
    --------
    >>> square = np.array([[0, 0], [1, 0], [1, 1], [0, 1], [0, 0]], float)
    >>> crowd(square, square + [3.0, 0.5], 1.9), crowd(square, square + [3.0, 0.5], 2.1)
    (False, True)
    >>> crowd(square, square + 0.5, 0.1), crowd(square, square * 0.1 + 0.4, 0.1)
    (True, True)
    """
    low = np.maximum(first.min(axis=0), second.min(axis=0))
    high = np.minimum(first.max(axis=0), second.max(axis=0))
    if (low - high).max() >= room:
        return False
    return bool(
        _any_crossing(first, second)
        or _holds(first, second[0])
        or _holds(second, first[0])
        or min(_nearest(first, second), _nearest(second, first)) < room
    )


def _nearest(points: FloatArray, line: FloatArray) -> float:
    """Least distance from any of the points to a polyline. [m]"""
    a, along = line[None, :-1], np.diff(line, axis=0)[None]
    away = points[:, None] - a
    square = np.maximum((along**2).sum(axis=-1), 1e-30)
    share = np.clip((away * along).sum(axis=-1) / square, 0.0, 1.0)
    return float(np.sqrt(((away - share[..., None] * along) ** 2).sum(axis=-1).min()))


def _holds(loop: FloatArray, point: FloatArray) -> bool:
    """Whether the closed polyline goes round the point (even-odd rule)."""
    a, b = loop[:-1], loop[1:]
    straddles = (a[:, 1] > point[1]) != (b[:, 1] > point[1])
    rise = np.where(straddles, b[:, 1] - a[:, 1], 1.0)
    x = a[:, 0] + (point[1] - a[:, 1]) / rise * (b[:, 0] - a[:, 0])
    return bool(np.count_nonzero(straddles & (x > point[0])) % 2)


def _any_crossing(first: FloatArray, second: FloatArray) -> bool:
    """Whether any segment of one properly crosses any of the other."""
    a, b = first[:-1, None], first[1:, None]
    c, d = second[None, :-1], second[None, 1:]
    return bool(
        np.any((_turn(a, b, c) * _turn(a, b, d) < 0.0) & (_turn(c, d, a) * _turn(c, d, b) < 0.0))
    )


def _turn(a: FloatArray, b: FloatArray, c: FloatArray) -> FloatArray:
    """Twice the signed area of the triangles, tiny ones (of touching lines) as zero."""
    u, v = b - a, c - a
    area = u[..., 0] * v[..., 1] - u[..., 1] * v[..., 0]
    return np.where(np.abs(area) < 1e-12, 0.0, area)


def lower_hull(points: FloatArray) -> FloatArray:
    """The lower edge of the convex hull, left to right, shape (m, 2).

    It is how a stiff strip lies over what stands above the line.
    """
    hull: list[FloatArray] = []
    for point in points[np.lexsort((points[:, 1], points[:, 0]))]:
        while len(hull) >= 2:
            (ax, ay), (bx, by) = hull[-2], hull[-1]
            if (bx - ax) * (point[1] - ay) - (by - ay) * (point[0] - ax) > 0.0:
                break
            hull.pop()
        hull.append(point)
    return np.array(hull)
