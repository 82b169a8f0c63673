"""Lines laid along the centreline cut there into the two sides of the body."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rimwright.curves.chain import Chain
from rimwright.curves.piece import FloatArray, Piece


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
            parts.append(piece.between(first, last))
    return Chain(tuple(parts))


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
    closed = float(np.hypot(*(chain.end().position[0] - chain.start().position[0]))) < 1e-9 * size
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
        middle = part.at(np.linspace(0.1, 0.9, 9) * part.length).position[:, 1]
        arms.append(Arm(part, line, s, end, bool(np.median(middle) > 0)))
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
        s = np.linspace(0.0, piece.length, 9)
        y = piece.at(s).position[:, 1]
        # A joint on the centreline is a crossing even if rounding leaves it a hair beside.
        found.extend(station + float(t) for t in s[[0, -1]][np.abs(y[[0, -1]]) < near])
        for i in np.flatnonzero((y[:-1] * y[1:] <= 0) & (y[:-1] != y[1:])):
            low, high = float(s[i]), float(s[i + 1])
            t = low + (high - low) * float(y[i] / (y[i] - y[i + 1]))
            for _ in range(30):
                frame = piece.at(np.array([t]))
                slope = math.sin(float(frame.heading[0]))
                if abs(slope) < 1e-6:
                    break
                step = float(frame.position[0, 1]) / slope
                t = min(max(t - step, low), high)
                if abs(step) < 1e-14:
                    break
            found.append(station + t)
    for end in (0.0, chain.length):
        y_end = abs(float(chain.at(np.array([end])).position[0, 1]))
        if y_end < short * size and not any(abs(end - t) < 0.05 * size for t in found):
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
