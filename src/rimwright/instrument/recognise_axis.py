"""The centreline of a body: where its plain parts mirror each other, or where it is drawn.

A cutaway spoils the symmetry of up to half the outline, so the fit trusts the half of the
points that mirror best and then all that agree with them.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from rimwright.curves.chain import Chain
from rimwright.curves.piece import FloatArray

_STARTS = 18
#: A drawn line this near the line of symmetry is the centreline: shares of the size, radians.
_NEAR_SHARE, _NEAR_RAD = 0.012, 0.02


@dataclass(frozen=True)
class Axis:
    """A line, and how well the body mirrors about it."""

    point: tuple[float, float]
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


def line_axis(start: tuple[float, float], end: tuple[float, float]) -> Axis:
    """The axis through two points."""
    return Axis(start, math.atan2(end[1] - start[1], end[0] - start[0]), "drawn")


@dataclass(frozen=True)
class _Sampled:
    """A body as points with their normals, and a way to the nearest place on it."""

    chains: tuple[Chain, ...]
    points: FloatArray
    normals: FloatArray
    s: FloatArray
    chain_of: np.ndarray

    def nearest(self, tree: object, wanted: FloatArray, *, exact: bool) -> tuple[FloatArray, FloatArray]:
        """Nearest places and normals there, to second order or on the curve itself."""
        _, index = tree.query(wanted)  # type: ignore[attr-defined]
        points, normals = self.points[index], self.normals[index]
        if not exact:
            return points, normals
        points, normals = points.copy(), normals.copy()
        for number, chain in enumerate(self.chains):
            here = np.flatnonzero(self.chain_of[index] == number)
            if not here.size:
                continue
            s = self.s[index[here]]
            for _ in range(3):
                frame = chain.at(s)
                s = s + ((wanted[here] - frame.position) * frame.tangent).sum(axis=1)
            frame = chain.at(s)
            points[here], normals[here] = frame.position, frame.normal
        return points, normals


def _sampled(chains: tuple[Chain, ...], count: int) -> _Sampled:
    total = sum(chain.length for chain in chains)
    frames, s_all, numbers = [], [], []
    for number, chain in enumerate(chains):
        n = max(8, round(count * chain.length / total))
        s = (np.arange(n) + 0.5) * chain.length / n
        frames.append(chain.at(s))
        s_all.append(s)
        numbers.append(np.full(n, number))
    return _Sampled(
        chains,
        np.vstack([f.position for f in frames]),
        np.vstack([f.normal for f in frames]),
        np.concatenate(s_all),
        np.concatenate(numbers),
    )


def symmetry_axis(chains: tuple[Chain, ...], hint: Axis | None = None) -> Axis:
    """The line about which most of a body mirrors itself."""
    from scipy.spatial import cKDTree

    body = _sampled(chains, 900)
    centre = 0.5 * (body.points.min(axis=0) + body.points.max(axis=0))
    size = float(np.ptp(body.points, axis=0).max())
    tree = cKDTree(body.points)

    def closest(wanted: FloatArray) -> tuple[FloatArray, FloatArray]:
        return body.nearest(tree, wanted, exact=False)

    def closest_exact(wanted: FloatArray) -> tuple[FloatArray, FloatArray]:
        return body.nearest(tree, wanted, exact=True)

    if hint is None:
        few = body.points[::6]
        starts = [(k * math.pi / _STARTS, 0.0) for k in range(_STARTS)]
        tries = [_fit(few, centre, start, closest, 6) for start in starts]
    else:
        offset = float((np.array(hint.point) - centre) @ hint.normal)
        tries = [((hint.angle, offset), 0.0)]
    best = min(tries, key=lambda t: t[1])[0]
    best, _ = _fit(body.points, centre, best, closest, 10)
    (angle, offset), spread = _fit(body.points[::2], centre, best, closest_exact, 6)
    point = centre + offset * np.array([-math.sin(angle), math.cos(angle)])
    return Axis((float(point[0]), float(point[1])), angle % math.pi, "symmetry", spread / size)


def _fit(
    points: FloatArray,
    centre: FloatArray,
    start: tuple[float, float],
    closest: Callable[[FloatArray], tuple[FloatArray, FloatArray]],
    rounds: int,
) -> tuple[tuple[float, float], float]:
    """Angle and offset of the mirror line by trimmed least squares, and the middling miss."""
    angle, offset = start
    local = points - centre
    spread = math.inf
    for _ in range(rounds):
        t = np.array([math.cos(angle), math.sin(angle)])
        n = np.array([-t[1], t[0]])
        along, out = local @ t, local @ n - offset
        mirrored = points - 2.0 * out[:, None] * n
        place, normal = closest(mirrored)
        miss = ((mirrored - place) * normal).sum(axis=1)
        away = np.abs(miss) + 0.2 * np.hypot(*(mirrored - place).T)
        spread = float(np.median(away))
        keep = away <= max(4.0 * spread, 1e-12)
        nt, nn = normal @ t, normal @ n
        # Turning the line by da moves the mirrored point by 2 (along n + out t) da.
        columns = np.column_stack([2.0 * (along * nn + out * nt), 2.0 * nn])[keep]
        step, *_ = np.linalg.lstsq(columns, -miss[keep], rcond=None)
        angle += float(np.clip(step[0], -0.2, 0.2))
        offset += float(step[1])
        if abs(step[0]) < 1e-13:
            break
    return (angle, offset), spread


def drawn_axis(
    lines: tuple[tuple[tuple[float, float], tuple[float, float], bool], ...],
    fitted: Axis,
    centre: FloatArray,
    size: float,
) -> Axis | None:
    """The drawn line that is the centreline: the one nearest the line of symmetry."""
    middle = centre - float((centre - np.array(fitted.point)) @ fitted.normal) * fitted.normal
    near: list[tuple[float, Axis]] = []
    for start, end, _ in lines:
        axis = line_axis(start, end)
        turn = abs((axis.angle - fitted.angle + math.pi / 2) % math.pi - math.pi / 2)
        miss = abs(float((middle - np.array(axis.point)) @ axis.normal)) / size
        if turn < _NEAR_RAD and miss < _NEAR_SHARE:
            near.append((turn + miss, axis))
    return min(near, key=lambda pair: pair[0])[1] if near else None
