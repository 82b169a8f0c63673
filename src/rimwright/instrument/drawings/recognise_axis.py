"""The centreline of a body: where its plain parts mirror each other, or where it is drawn.

A cutaway spoils the symmetry of up to half the outline, so the fit trusts the half of the
points that mirror best and then all that agree with them. A rough fit on points finds the
line; an exact one on the curve follows only where no centreline is drawn.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from rimwright.curves.chain import Chain
from rimwright.curves.piece import FloatArray
from rimwright.instrument.drawings.strokes import Point

#: A drawn line and whether the drawing calls it the centreline.
DrawnLine = tuple[Point, Point, bool]

_STARTS, _FINALISTS = 15, 3
#: A drawn line this near the line of symmetry is the centreline: shares of the size, radians.
_NEAR_SHARE, _NEAR_RAD = 0.012, 0.02
#: With a middling miss below this share of the size no other start is tried.
_GOOD = 1e-3

#: Nearest places on the body to the given points, and the normals there.
_Nearest = Callable[[FloatArray], tuple[FloatArray, FloatArray]]


@dataclass(frozen=True)
class Axis:
    """A line, and how well the body mirrors about it."""

    point: Point
    #: Direction, either way along. [rad]
    angle: float
    source: Literal["drawn", "symmetry", "ends"]
    #: Middling distance between one side and the other mirrored, as a share of the size.
    spread: float = 0.0

    @property
    def direction(self) -> FloatArray:
        """Unit vector along it."""
        return np.array([math.cos(self.angle), math.sin(self.angle)])

    @property
    def normal(self) -> FloatArray:
        """Unit vector to its left."""
        return np.array([-math.sin(self.angle), math.cos(self.angle)])

    def scaled(self, scale: float) -> Axis:
        """The same line in other units."""
        point = (self.point[0] * scale, self.point[1] * scale)
        return Axis(point, self.angle, self.source, self.spread)


def line_axis(start: Point, end: Point) -> Axis:
    """The axis through two points."""
    return Axis(start, math.atan2(end[1] - start[1], end[0] - start[0]), "drawn")


def size_and_centre(points: FloatArray) -> tuple[float, FloatArray]:
    """The longer side of the box around points, and the box's middle."""
    low, high = points.min(axis=0), points.max(axis=0)
    return float((high - low).max()), 0.5 * (low + high)


def symmetry_axis(lines: tuple[FloatArray, ...], drawn: tuple[DrawnLine, ...]) -> Axis:
    """The line about which most of a body mirrors itself, from points along its lines."""
    from scipy.spatial import cKDTree

    parts = [_evenly(line, 500) for line in lines]
    points = np.vstack([p for p, _ in parts])
    normals = np.vstack([n for _, n in parts])
    size, centre = size_and_centre(points)
    tree = cKDTree(points)

    def closest(wanted: FloatArray) -> tuple[FloatArray, FloatArray]:
        index = np.asarray(tree.query(wanted)[1])
        return points[index], normals[index]

    few = points[:: max(1, len(points) // 120)]
    hints = [line_axis(start, end) for start, end, _ in drawn[:8]]
    offsets = [float((np.array(a.point) - centre) @ a.normal) for a in hints]
    starts = [(a.angle, d) for a, d in zip(hints, offsets, strict=True) if abs(d) < 0.3 * size]
    tries = [_fit(few, centre, start, closest, 3) for start in starts]
    good = [one for one in tries if one[1] <= _GOOD * size]
    if good:
        tries, rounds = [min(good, key=lambda t: t[1])], 5
    else:
        rounds = 12
        starts = [(k * math.pi / _STARTS, 0.0) for k in range(_STARTS)]
        tries += [_fit(few, centre, start, closest, 5) for start in starts]
    tries.sort(key=lambda t: t[1])
    fits = [_fit(points, centre, start, closest, rounds) for start, _ in tries[:_FINALISTS]]
    found, spread = min(fits, key=lambda t: t[1])
    return _axis(found, centre, spread / size)


def refined_axis(chains: tuple[Chain, ...], rough: Axis) -> Axis:
    """The line of symmetry on the curves themselves, from a rough one."""
    from scipy.spatial import cKDTree

    total = sum(chain.length for chain in chains)
    s_of, number_of, frames = [], [], []
    for number, chain in enumerate(chains):
        count = max(8, round(700 * chain.length / total))
        s_of.append((np.arange(count) + 0.5) * chain.length / count)
        number_of.append(np.full(count, number))
        frames.append(chain.at(s_of[-1]).position)
    points, s_all, numbers = np.vstack(frames), np.concatenate(s_of), np.concatenate(number_of)
    tree = cKDTree(points)

    def closest(wanted: FloatArray) -> tuple[FloatArray, FloatArray]:
        index = np.asarray(tree.query(wanted)[1])
        place, normal = np.empty_like(wanted), np.empty_like(wanted)
        for number, chain in enumerate(chains):
            here = np.flatnonzero(numbers[index] == number)
            if not here.size:
                continue
            s = s_all[index[here]]
            for _ in range(2):
                frame = chain.at(s)
                s = s + ((wanted[here] - frame.position) * frame.tangent).sum(axis=1)
            frame = chain.at(s)
            place[here], normal[here] = frame.position, frame.normal
        return place, normal

    size, centre = size_and_centre(points)
    offset = float((np.array(rough.point) - centre) @ rough.normal)
    found, spread = _fit(points[::3], centre, (rough.angle, offset), closest, 8)
    return _axis(found, centre, spread / size)


def _axis(found: tuple[float, float], centre: FloatArray, spread: float) -> Axis:
    angle, offset = found
    point = centre + offset * np.array([-math.sin(angle), math.cos(angle)])
    return Axis((float(point[0]), float(point[1])), angle % math.pi, "symmetry", spread)


def _evenly(points: FloatArray, count: int) -> tuple[FloatArray, FloatArray]:
    """Points evenly along a line of points, and the normals there."""
    s = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    wanted = (np.arange(count) + 0.5) * s[-1] / count
    even = np.column_stack([np.interp(wanted, s, points[:, k]) for k in (0, 1)])
    step = s[-1] / count
    ahead, behind = np.clip(wanted + step, 0.0, s[-1]), np.clip(wanted - step, 0.0, s[-1])
    along = np.column_stack(
        [np.interp(ahead, s, points[:, k]) - np.interp(behind, s, points[:, k]) for k in (0, 1)]
    )
    along /= np.maximum(np.hypot(*along.T), 1e-300)[:, None]
    return even, np.column_stack([-along[:, 1], along[:, 0]])


def _fit(
    points: FloatArray,
    centre: FloatArray,
    start: tuple[float, float],
    closest: _Nearest,
    rounds: int,
) -> tuple[tuple[float, float], float]:
    """Angle and offset of the mirror line by trimmed least squares, and the middling miss."""
    angle, offset = start
    local = points - centre
    spread = math.inf
    for done in range(rounds):
        t = np.array([math.cos(angle), math.sin(angle)])
        n = np.array([-t[1], t[0]])
        along, out = local @ t, local @ n - offset
        mirrored = points - 2.0 * out[:, None] * n
        place, normal = closest(mirrored)
        miss = ((mirrored - place) * normal).sum(axis=1)
        away = np.abs(miss) + 0.1 * np.hypot(*(mirrored - place).T)
        spread = float(np.median(np.abs(miss)))
        # The better half alone leads to the line; in the end all that agree are weighed.
        reach = float(np.median(away)) * (4.0 if done >= rounds - 3 else 1.0)
        keep = away <= max(reach, 1e-12)
        nt, nn = normal @ t, normal @ n
        # Turning the line by da moves the mirrored point by 2 (along n + out t) da.
        columns = np.column_stack([2.0 * (along * nn + out * nt), 2.0 * nn])[keep]
        step, *_ = np.linalg.lstsq(columns, -miss[keep], rcond=None)
        angle += float(np.clip(step[0], -0.2, 0.2))
        offset += float(step[1])
        if abs(step[0]) < 1e-12 and done >= rounds - 3:
            break
    return (angle, offset), spread


def drawn_axis(lines: tuple[DrawnLine, ...], fitted: Axis, points: FloatArray) -> Axis | None:
    """The drawn line that is the centreline: the one nearest the line of symmetry."""
    size, centre = size_and_centre(points)
    middle = centre - float((centre - np.array(fitted.point)) @ fitted.normal) * fitted.normal
    near: list[tuple[float, Axis]] = []
    for start, end, _ in lines:
        axis = line_axis(start, end)
        turn = abs((axis.angle - fitted.angle + math.pi / 2) % math.pi - math.pi / 2)
        miss = abs(float((middle - np.array(axis.point)) @ axis.normal)) / size
        if turn < _NEAR_RAD and miss < _NEAR_SHARE:
            near.append((turn + miss, axis))
    return min(near, key=lambda pair: pair[0])[1] if near else None
