"""Lines that were traced from pixels: told from drawn ones, and fitted within their noise."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from rimwright.curves.piece import FloatArray
from rimwright.instrument.drawings.join import Path

#: Fewer pieces than this were drawn one by one.
_FEWEST = 40
#: A traced piece is shorter than this share of the outline's extent.
_SHORT_SHARE = 0.04
#: Straight lines that stand for a curve: so many at least, no longer than this share of the
#: extent, making up this share of the line; more than the next, and no curve was drawn at all.
_FEWEST_LINES, _LONG_SHARE, _SOME, _MOSTLY = 32, 0.1, 0.25, 0.6
#: Their usual turn from one to the next; with more, nobody can tell the curve between. [rad]
_WIDEST_TURN = math.radians(15.0)
#: A turn above this is a corner of the line itself. [rad]
_CORNER = math.radians(28.0)
#: A traced line turns at its joints; a drawn one runs on. [rad]
_KINK = math.radians(0.3)
#: More changes of bend than this no body has.
_MOST_BENDS = 20


def is_trace(path: Path, extent: float) -> bool:
    """Whether a path is short steps from pixels, or from a curve taken apart into lines."""
    segments = path.segments
    if len(segments) < _FEWEST_LINES:
        return False
    chords = np.array([segment.chord for segment in segments])
    lines = np.array([segment.is_line for segment in segments]) & (chords < _LONG_SHARE * extent)
    if np.count_nonzero(lines) >= _FEWEST_LINES and chords[lines].sum() > _SOME * chords.sum():
        both = lines[1:] & lines[:-1]
        if np.median(np.abs(_turns(path)[both])) < _WIDEST_TURN or _wavers(path):
            return True
    short = chords < _SHORT_SHARE * extent
    if chords[short].sum() < 0.7 * chords.sum() or np.count_nonzero(short) < _FEWEST:
        return False
    headings = np.array([segment.headings() for segment in segments])
    kinks = (headings[1:, 0] - headings[:-1, 1] + math.pi) % (2.0 * math.pi) - math.pi
    if np.count_nonzero(np.abs(kinks) > _KINK) > 0.2 * len(kinks):
        return True
    # A body bends one way and the other a few times; pixel stairs do so all along.
    turns = (headings[:, 1] - headings[:, 0] + math.pi) % (2.0 * math.pi) - math.pi
    return _changes(turns) > max(_MOST_BENDS, 0.05 * len(turns))


def is_polygon(path: Path) -> bool:
    """Whether a path is straight lines for the most part, corners and all."""
    straight = sum(segment.chord for segment in path.segments if segment.is_line)
    return straight > _MOSTLY * sum(segment.chord for segment in path.segments)


def widest_turn(path: Path) -> float:
    """The widest usual turn between straight lines of a path (nine in ten are less). [rad]"""
    return float(np.quantile(np.abs(_turns(path)), 0.9))


def _turns(path: Path) -> FloatArray:
    """Turn of the chord from each segment to the next. [rad]"""
    steps = np.array([np.subtract(s.end, s.start) for s in path.segments])
    heading = np.arctan2(steps[:, 1], steps[:, 0])
    return np.asarray((np.diff(heading) + math.pi) % (2.0 * math.pi) - math.pi)


def _changes(turns: FloatArray) -> int:
    return int(np.count_nonzero(np.diff(np.sign(turns[np.abs(turns) > 1e-6]))))


def _wavers(path: Path) -> bool:
    """Whether it turns to and fro all along, as pixels and shaky hands do and corners do not."""
    turns = _turns(path)
    return _changes(turns) > max(_MOST_BENDS, 0.05 * len(turns))


def _bulges(path: Path) -> FloatArray:
    """Bulge of the arc that each straight line stands for, the line's corners lying on it.

    The mean of the circles through the corners at either end; none where the corners are
    noise, because then they do not lie on the curve.
    """
    segments = path.segments
    bulges = np.array([segment.bulge for segment in segments])
    if _wavers(path):
        return bulges
    chords = np.array([segment.chord for segment in segments])
    turn = _turns(path)
    across = np.hypot(chords[1:] + chords[:-1] * np.cos(turn), chords[:-1] * np.sin(turn))
    bend = 2.0 * np.sin(turn) / np.maximum(across, 1e-300)
    known = np.abs(turn) < _CORNER
    bend = np.where(known, bend, 0.0)
    total, count = np.zeros(len(segments)), np.zeros(len(segments))
    total[1:] += bend
    total[:-1] += bend
    count[1:] += known
    count[:-1] += known
    if path.closed and math.dist(path.start, path.end) <= 1e-9 * float(chords.sum()):
        ends = Path((segments[-1], segments[0]), (0, 0), False)
        seam = float(_turns(ends)[0])
        if abs(seam) < _CORNER:
            apart = math.dist(segments[-1].start, segments[0].end)
            total[[0, -1]] += 2.0 * math.sin(seam) / max(apart, 1e-300)
            count[[0, -1]] += 1
    mean = total / np.maximum(count, 1.0)
    arc = np.tan(0.5 * np.arcsin(np.clip(0.5 * chords * mean, -0.7, 0.7)))
    lines = np.array([segment.is_line for segment in segments])
    return np.where(lines, arc, bulges)


def trace_points(path: Path, step: float) -> FloatArray:
    """The points of a traced path, long steps filled up to `step`, shape (n, 2)."""
    rows: list[FloatArray] = []
    for segment, bulge in zip(path.segments, _bulges(path).tolist(), strict=True):
        count = 1 + max(1, math.ceil(segment.chord / step))
        if segment.is_line and (bulge == 0.0 or count == 2):
            share = np.linspace(0.0, 1.0, count)[:, None]
            points = (1.0 - share) * np.array(segment.start) + share * np.array(segment.end)
        else:
            full = replace(segment, bulge=bulge) if segment.is_line else segment
            points = full.points(max(count, 3))
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
