"""Lines laid along the centreline cut there into the two sides of the body."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rimwright.curves.chain import Chain
from rimwright.curves.piece import FloatArray, Piece
from rimwright.curves.spline import Spline
from rimwright.curves.spline_spans import cut

#: A cut nearer to a spline's knot than this share of its parameters is made at the knot.
_HAIR = 1e-8


@dataclass(frozen=True)
class Arm:
    """One side of the body from the tail seam towards the neck, tail at the origin."""

    #: With the centreline at y = 0, the neck to the right, y up as seen on the drawing.
    chain: Chain
    #: Which line it is a part of, and from where to where along it. [m]
    line: int
    start_m: float
    end_m: float
    #: Whether it lies above the centreline with the neck to the right.
    above: bool


def stretch(chain: Chain, start: float, end: float) -> Chain:
    """The stretch from `start` to `end`; pieces that lie whole within it stay themselves. [m]"""
    parts: list[Piece] = []
    for station, piece in zip(chain.stations.tolist(), chain.pieces, strict=False):
        first, last = max(start - station, 0.0), min(end - station, piece.length)
        if first <= 1e-12 and last >= piece.length - 1e-12:
            parts.append(piece)
        elif last - first > 1e-12:
            part = _part(piece, first, last)
            parts.extend([part] if part else [])
    return Chain(tuple(parts))


def _part(piece: Piece, first: float, last: float) -> Piece | None:
    """A stretch of a piece, if any; a spline's is cut at a knot where one is a hair away.

    Between a knot and a cut beside it would lie a span too short to have a curvature.
    """
    if not isinstance(piece, Spline):
        return piece.between(first, last)
    knots = np.unique(piece.knots)
    ends = piece.parameter(np.array([first, last]))
    nearest = knots[np.abs(knots[:, None] - ends).argmin(axis=0)]
    hair = _HAIR * (knots[-1] - knots[0])
    low, high = np.where(np.abs(nearest - ends) < hair, nearest, ends).tolist()
    if not low < high:
        return None
    return Spline(*cut(piece.knots, piece.control, piece.degree, low, high), piece.degree)


def cut_at_centreline(
    laid: list[Chain], size: float, reach: float, *, half: bool
) -> tuple[list[Arm], float, float]:
    """Both sides from the tail on, and where tail and neck lie along x.

    `size` is the body's, `reach` its greatest x; both about right will do.
    """
    # Halves drawn apart may stop a little short of the centreline.
    short = 0.01 if half or len(laid) > 1 else 1e-5
    crossed = [
        (line, s, x) for line, chain in enumerate(laid) for s, x in crossings(chain, size, short)
    ]
    if not crossed:
        return [], 0.0, 0.0
    tail_x = min(x for _, _, x in crossed)
    tails: dict[int, float] = {}
    for line, s, x in crossed:
        if x - tail_x < 0.02 * size:
            tails.setdefault(line, s)
    arms: list[Arm] = []
    necks = [x for _, _, x in crossed if x - tail_x > 0.5 * (reach - tail_x)]
    for line, s in tails.items():
        chain = laid[line]
        stops = sorted(t for other, t, x in crossed if other == line and x - tail_x > 0.3 * size)
        arms.extend(_both_ways(chain, line, s, stops, size))
    if not arms:
        return [], 0.0, 0.0
    ends = [arm.chain.end().position[0] for arm in arms]
    neck_x = max(necks) if necks else neck_between(ends)
    return arms, tail_x, neck_x


def neck_between(ends: list[FloatArray]) -> float:
    """Where the line between the ends of both sides meets the centreline."""
    if len(ends) < 2:
        return float(ends[0][0])
    (x0, y0), (x1, y1) = ends[0], ends[1]
    share = y0 / (y0 - y1) if y0 * y1 < 0 else 0.5
    return float(x0 + share * (x1 - x0))


def _both_ways(chain: Chain, line: int, s: float, stops: list[float], size: float) -> list[Arm]:
    """The line from the tail both ways, each up to the neck or to its end."""
    first, last = chain.pieces[0], chain.pieces[-1]
    ends = last.at(np.array([last.length])).position - first.at(np.zeros(1)).position
    closed = float(np.hypot(*ends[0])) < 1e-9 * size
    arms = []
    for forward in (True, False):
        if closed:
            ahead = sorted(((t - s) if forward else (s - t)) % chain.length for t in stops)
            length = ahead[0] if ahead else 0.0
            whole = _from(chain, s)
        else:
            ahead = sorted((t - s) if forward else (s - t) for t in stops)
            ahead = [t for t in ahead if t > 0]
            room = chain.length - s if forward else s
            length, whole = (ahead[0] if ahead else room), None
        if length < 0.05 * size:
            continue
        if whole is not None:
            part = (
                stretch(whole, 0.0, length)
                if forward
                else (stretch(whole, whole.length - length, whole.length).reversed())
            )
        else:
            part = (
                stretch(chain, s, s + length)
                if forward
                else (stretch(chain, s - length, s).reversed())
            )
        end = s + length if forward else s - length
        piece = part.pieces[len(part.pieces) // 2]
        above = bool(piece.at(np.array([0.5 * piece.length])).position[0, 1] > 0)
        arms.append(Arm(part, line, s, end, above))
    return arms


def _from(chain: Chain, s: float) -> Chain:
    """A closed chain begun at `s`."""
    if s < 1e-12 or chain.length - s < 1e-12:
        return chain
    return Chain(stretch(chain, s, chain.length).pieces + stretch(chain, 0.0, s).pieces)


def crossings(chain: Chain, size: float, short: float) -> list[tuple[float, float]]:
    """Where a chain meets y = 0: arc length and x, with ends within a share of the size."""
    near = 1e-5 * size
    found: list[float] = []
    for station, piece in zip(chain.stations.tolist(), chain.pieces, strict=False):
        if _stays_away(piece, near):
            continue
        s = np.linspace(0.0, piece.length, max(9, math.ceil(64 * piece.length / chain.length)))
        y = piece.at(s).position[:, 1]
        # A joint on the centreline is a crossing even if rounding leaves it a hair beside.
        found.extend(station + float(t) for t in s[[0, -1]][np.abs(y[[0, -1]]) < near])
        clear = np.abs(y) >= near
        clear[1:-1] = True
        for i in np.flatnonzero((y[:-1] * y[1:] <= 0) & clear[:-1] & clear[1:]):
            found.append(station + _root(piece, float(s[i]), float(s[i + 1]), 1e-13 * size))
    ends = (
        (0.0, chain.pieces[0].at(np.zeros(1))),
        (chain.length, chain.pieces[-1].at(np.array([chain.pieces[-1].length]))),
    )
    for end, frame in ends:
        away = abs(float(frame.position[0, 1]))
        if away < short * size and not any(abs(end - t) < 0.05 * size for t in found):
            found.append(end)
    # A crossing at a joint is cut at the joint, so that no sliver is left.
    stations = chain.stations
    unique: list[tuple[float, float]] = []
    for place in sorted(found):
        nearest = float(stations[np.argmin(np.abs(stations - place))])
        cut = nearest if abs(nearest - place) < near else place
        if not unique or cut - unique[-1][0] > near:
            unique.append((cut, float(chain.at(np.array([cut])).position[0, 0])))
    return unique


def _stays_away(piece: Piece, near: float) -> bool:
    """Whether a spline's control points show that it nowhere comes near y = 0."""
    if not isinstance(piece, Spline):
        return False
    y = piece.control[:, 1]
    return bool(y.min() > near or y.max() < -near)


def _root(piece: Piece, low: float, high: float, enough: float) -> float:
    """Where a piece crosses y = 0 between two places: Newton's steps within a closing bracket."""
    ends = piece.at(np.array([low, high])).position[:, 1]
    rises = bool(ends[1] > ends[0])
    t = low + (high - low) * float(ends[0] / (ends[0] - ends[1]))
    for _ in range(60):
        frame = piece.at(np.array([t]))
        y, slope = float(frame.position[0, 1]), math.sin(float(frame.heading[0]))
        if abs(y) < enough:
            break
        if (y > 0) == rises:
            high = t
        else:
            low = t
        step = y / slope if slope else math.inf
        t = t - step if low < t - step < high else 0.5 * (low + high)
    return t
