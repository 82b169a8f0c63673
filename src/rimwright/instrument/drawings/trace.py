"""Lines that were traced from pixels: told from drawn ones, and fitted within their noise."""

from __future__ import annotations

import math

import numpy as np

from rimwright.curves.piece import FloatArray
from rimwright.instrument.drawings.join import Path

#: Fewer pieces than this were drawn one by one.
_FEWEST = 40
#: A traced piece is shorter than this share of the outline's extent.
_SHORT_SHARE = 0.04
#: A traced line turns at its joints; a drawn one runs on. [rad]
_KINK = math.radians(0.3)
#: More changes of bend than this no body has.
_MOST_BENDS = 20


def is_trace(path: Path, extent: float) -> bool:
    """Whether a path is short steps from pixels, or from a curve taken apart into lines."""
    segments = path.segments
    if len(segments) < _FEWEST:
        return False
    chords = np.array([segment.chord for segment in segments])
    short = chords < _SHORT_SHARE * extent
    if chords[short].sum() < 0.7 * chords.sum() or np.count_nonzero(short) < _FEWEST:
        return False
    headings = np.array([segment.headings() for segment in segments])
    kinks = (headings[1:, 0] - headings[:-1, 1] + math.pi) % (2.0 * math.pi) - math.pi
    lines = sum(s.chord for s in segments if s.is_line) > 0.6 * chords.sum()
    if lines or np.count_nonzero(np.abs(kinks) > _KINK) > 0.2 * len(kinks):
        return True
    # A body bends one way and the other a few times; pixel stairs do so all along.
    turns = (headings[:, 1] - headings[:, 0] + math.pi) % (2.0 * math.pi) - math.pi
    ways = np.sign(turns[np.abs(turns) > 1e-6])
    return bool(np.count_nonzero(np.diff(ways)) > max(_MOST_BENDS, 0.05 * len(turns)))


def trace_points(path: Path, step: float) -> FloatArray:
    """The points of a traced path, long steps filled up to `step`, shape (n, 2)."""
    rows: list[FloatArray] = []
    for segment in path.segments:
        count = 1 + max(1, math.ceil(segment.chord / step))
        if segment.is_line:
            share = np.linspace(0.0, 1.0, count)[:, None]
            points = (1.0 - share) * np.array(segment.start) + share * np.array(segment.end)
        else:
            points = segment.points(max(count, 3))
        rows.append(points[:-1])
    if not path.closed:
        rows.append(np.array([path.segments[-1].end]))
    return np.vstack(rows)


def middle_of_line(outer: FloatArray, inner: FloatArray) -> FloatArray:
    """Points midway between the two edges of a line of some width, shape (n, 2)."""
    from scipy.spatial import cKDTree

    dense = _resampled(inner, 4 * len(inner))
    _, index = cKDTree(dense).query(outer)
    return np.asarray(0.5 * (outer + dense[index]))


def line_width(outer: FloatArray, inner: FloatArray) -> tuple[float, float]:
    """Median and largest distance from the outer edge of a line to its inner edge."""
    from scipy.spatial import cKDTree

    distance, _ = cKDTree(_resampled(inner, 4 * len(inner))).query(outer)
    return float(np.median(distance)), float(np.quantile(distance, 0.98))


def _resampled(points: FloatArray, count: int) -> FloatArray:
    points = np.vstack([points, points[:1]])
    s = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    wanted = np.linspace(0.0, s[-1], count)
    return np.column_stack([np.interp(wanted, s, points[:, k]) for k in (0, 1)])
