"""The smallest radius of a curve over a stretch, and of a traced one with its range."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from rimwright.curves.chain import Chain
from rimwright.curves.piece import FloatArray
from rimwright.curves.trace_fit import Fitted

#: Places looked at within one stretch of the window's length.
_FINENESS = 40
#: And in all, for lines kilometres long.
_MOST_PLACES = 10_000
#: See `radius_range`.
SELECTION, BIAS, COVER, FLOOR, NARROW = 1.3, 0.006, 3.0, 0.05, 0.2
#: A joint that turns more than this is a corner. [rad]
_CORNER = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class TracedRadius:
    """The smallest radius of a traced line over a stretch, with its range and place."""

    middle_m: float
    low_m: float
    high_m: float
    #: Middle of the stretch, along the traced chain. [m]
    s_m: float


@dataclass(frozen=True)
class TracedStretch:
    """One smooth stretch of a traced chain, with both fits it rests on."""

    #: Where it starts along the chain, and how long it is. [m]
    start_m: float
    length_m: float
    fitted: Fitted
    even: Fitted
    #: Metres for one unit of the fits, and the places in them where the stretch lies.
    unit_m: float
    first: float
    last: float


@dataclass(frozen=True, kw_only=True)
class TracedCurve:
    """A curve fitted within the noise of its points; it runs the way the points run."""

    #: Smooth between corners; a closed one starts at the first point's foot, or, where it
    #: has corners, at the first corner.
    chain: Chain
    #: How far the points scatter about the curve, one sigma. [m]
    noise_m: float
    closed: bool
    #: Where along the chain it turns a corner. [m]
    corners_m: tuple[float, ...] = ()
    stretches: tuple[TracedStretch, ...] = field(default=(), repr=False)


def smallest_radius_over(
    chain: Chain,
    sign: int,
    window_m: float = 0.02,
    *,
    start_m: float = 0.0,
    end_m: float | None = None,
    closed: bool = False,
) -> tuple[float, float]:
    """Smallest radius of a sign of curvature (+1 left, -1 right) over a stretch, and its s.

    Curvature is averaged over every stretch of `window_m`, so that a single overshoot of a
    smoother does not count. Stretches lie within [start_m, end_m] (for a closed chain
    `end_m` may be below `start_m`: over the start) and never across a corner; between two
    corners closer than the window the whole of it is read. Infinite, at nan, where the line
    nowhere turns that way. [m]

    Examples
    --------
    >>> from rimwright.curves.arc import Arc
    >>> bends = Chain((Arc((0, 0), 0.0, 10.0, 0.1), Arc((0.1, 0), 0.0, -20.0, 0.03)))
    >>> radius, s = smallest_radius_over(bends, -1)
    >>> round(radius * 1e3, 6)  # [mm]
    50.0
    """
    best, where = 0.0, float("nan")
    for first, last in _smooth_ranges(chain, window_m, start_m, end_m, closed):
        window = min(window_m, last - first)
        if window <= 1e-9:
            continue
        middle = _middles(first, last, window)
        heading = _headings(chain, np.concatenate([middle - 0.5 * window, middle + 0.5 * window]))
        turn = sign * (heading[len(middle) :] - heading[: len(middle)]) / window
        i = int(np.argmax(turn))
        if turn[i] > best:
            best, where = float(turn[i]), float(middle[i] % chain.length)
    return (1.0 / best if best > 0.0 else float("inf")), where


def _middles(first: float, last: float, window: float) -> FloatArray:
    """Middles of the stretches looked at."""
    count = int(min(np.ceil((last - first - window) / window * _FINENESS) + 1, _MOST_PLACES))
    return np.linspace(first + 0.5 * window, last - 0.5 * window, max(count, 1))


def _headings(chain: Chain, s: FloatArray) -> FloatArray:
    """Headings at s, of the piece before at the very end, and once more round past it."""
    turns = np.floor(s / chain.length * (1.0 - 1e-12))
    ends = chain.at(np.array([0.0, chain.length])).heading
    return np.asarray(chain.at(s - turns * chain.length).heading + turns * (ends[1] - ends[0]))


def _smooth_ranges(
    chain: Chain, window_m: float, start_m: float, end_m: float | None, closed: bool
) -> list[tuple[float, float]]:
    """Ranges of s without a corner inside; past the length where they run over the start."""
    length = chain.length
    whole = end_m is None
    end = length if end_m is None else end_m
    if closed and end < start_m:
        end += length
    corners = [
        s
        for s, before, after in zip(
            chain.stations[1:-1], chain.pieces, chain.pieces[1:], strict=False
        )
        if _is_corner(
            before.at(np.array([before.length])).heading[0], after.at(np.zeros(1)).heading[0]
        )
    ]
    if closed:
        seam = _is_corner(chain.end().heading[0], chain.start().heading[0])
        if whole and start_m == 0.0 and not seam and not corners:
            return [(0.0, length + window_m)]
        corners = [0.0, *corners] if seam else corners
        corners = [*corners, *(s + length for s in corners)]
        if whole and start_m == 0.0 and not seam:
            start_m, end = corners[0], corners[0] + length
    marks = [start_m, *(s for s in corners if start_m < s < end), end]
    # A hair inside, so that headings at a corner are read on this side of it.
    return [(a + 1e-9, b - 1e-9) for a, b in pairwise(marks)]


def _is_corner(before: float, after: float) -> bool:
    return abs(float(np.angle(np.exp(1j * (after - before))))) > _CORNER


def radius_range(
    traced: TracedCurve,
    sign: int,
    window_m: float = 0.02,
    *,
    start_m: float = 0.0,
    end_m: float | None = None,
) -> TracedRadius | None:
    """The smallest radius of that sign over a stretch of a traced curve, with its range.

    Arguments as for `smallest_radius_over`. None where no bend that way can be told from a
    straight line.

    Notes
    -----
    The middle is the heavy-tailed fit's, less `SELECTION` of its standard deviations and
    `BIAS` of itself, because the tightest of many noisy stretches is tighter than the truth.
    The range adds in squares `COVER` standard deviations, the disagreement of the two fits,
    and `FLOOR` of the curvature for what neither sees: reweighting treats the joints it
    found as known, and pixel grids leave errors much longer than a pixel where the line
    runs along them. These four figures were set by hand on 264 radii of synthetic traces (of
    which 99 % then lay inside); the tests measure it on others. A bend shorter than the
    stretch is flattened between the knots of the fit, so `NARROW` of how far its peak, over
    a quarter of the stretch, stands out is added too (set on a horn 10 mm long).
    """
    best: tuple[float, float, float, float, float] | None = None
    for first, last in _smooth_ranges(traced.chain, window_m, start_m, end_m, traced.closed):
        read = _read(traced, sign, window_m, first, last)
        if read is not None and (best is None or read[0] > best[0]):
            best = read
    if best is None:
        return None
    tightest, deviation, other, peak, where = best
    middle = tightest * (1.0 - BIAS) - SELECTION * deviation
    narrow = NARROW * (peak - tightest)
    spread = float(np.linalg.norm([COVER * deviation, tightest - other, FLOOR * tightest, narrow]))
    if middle <= spread:
        return None
    return TracedRadius(
        middle_m=1.0 / middle,
        low_m=1.0 / (middle + spread),
        high_m=1.0 / (middle - spread),
        s_m=where,
    )


def _read(
    traced: TracedCurve, sign: int, window_m: float, first: float, last: float
) -> tuple[float, float, float, float, float] | None:
    """Greatest mean curvature, its deviation, that of the even fit, its own peak, and its s."""
    length = traced.chain.length
    lap = np.floor(0.5 * (first + last) / length) if last > length else 0.0
    part = next(
        p
        for p in traced.stretches[::-1]
        if p.start_m <= (first - (lap * length if first >= length else 0.0)) + 1e-6
    )
    window = min(window_m, last - first)
    if window <= 1e-6:
        return None
    unit = part.unit_m * part.fitted.shape.scale
    middle = _middles(first, last, window)
    local = middle - (length if first >= length else 0.0) - part.start_m
    place = part.first + local / unit
    half = 0.5 * window / unit
    sums = _running(part.fitted.shape.basis)
    weights = (_between(sums, place + half) - _between(sums, place - half)) / (2.0 * half)
    turn = sign * (weights @ part.fitted.shape.curvature) / unit
    other = sign * (weights @ part.even.shape.curvature) / unit
    i = int(np.argmax(turn))
    if turn[i] <= 0.0:
        return None
    deviation = float(np.sqrt(weights[i] @ part.fitted.covariance @ weights[i])) / unit
    within = place[i] + half * np.linspace(-0.75, 0.75, 7)
    finer = (_between(sums, within + half / 4) - _between(sums, within - half / 4)) / (half / 2)
    peak = float(np.max(sign * (finer @ part.fitted.shape.curvature))) / unit
    return float(turn[i]), deviation, float(other.max()), peak, float(middle[i] % length)


def _running(basis: FloatArray) -> FloatArray:
    h = 1.0 / (len(basis) - 1)
    total = np.cumsum(0.5 * h * (basis[1:] + basis[:-1]), axis=0)
    return np.vstack([np.zeros((1, basis.shape[1])), total])


def _between(sums: FloatArray, place: FloatArray) -> FloatArray:
    """Rows of running integrals at each place, once more round past 1."""
    laps = np.floor(place * (1.0 - 1e-12))
    at = (place - laps) * (len(sums) - 1)
    i = np.clip(at.astype(int), 0, len(sums) - 2)
    f = (at - i)[:, None]
    return np.asarray(sums[i] * (1.0 - f) + sums[i + 1] * f + laps[:, None] * sums[-1])
