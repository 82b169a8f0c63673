"""Strokes in any order and direction joined end to end into paths.

Ends that lie together are joined first, then ever wider gaps, each end with its nearest;
where more than two ends meet, the smoothest continuation wins. Cost grows with n log n.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rimwright.curves.piece import FloatArray
from rimwright.instrument.drawings.strokes import (
    Box,
    Point,
    Segment,
    Stroke,
    box_of,
    diagonal,
)

#: Gaps closed, as shares of the drawing's size, tightest first. The widest is 2 mm on a
#: sheet of half a metre: past that an opening is meant.
_REACHES = (1e-9, 1e-6, 3e-5, 3e-4, 1.5e-3, 4e-3)
#: Past this reach a gap must be small beside both strokes, and short strokes must run on
#: smoothly across it, or stray lines near an open end would be taken along. [shares, rad]
_EXACT, _WIDEST_SHARE, _STRAY, _LONG_SHARE = 1e-4, 0.05, 0.12, 0.1
#: More ends than this in one place are a pattern (hatching, a rosette), not a joint.
_MOST_AT_A_POINT = 12
#: Costs of joining: one radian of turn, against a change of layer.
_OTHER_LAYER = 0.5


@dataclass(frozen=True)
class Path:
    """Strokes end to end."""

    segments: tuple[Segment, ...]
    #: For each segment, the number of the stroke it came from.
    origin: tuple[int, ...]
    closed: bool
    #: Widths of the gaps that were closed.
    gaps: tuple[float, ...] = ()

    @property
    def start(self) -> Point:
        """Where it begins."""
        return self.segments[0].start

    @property
    def end(self) -> Point:
        """Where it ends."""
        return self.segments[-1].end

    def points(self, count: int = 9) -> FloatArray:
        """Points along it, shape (n, 2)."""
        return np.vstack([segment.points(count) for segment in self.segments])

    def between(self, first: int, last: int) -> Path:
        """An open path of the segments from `first` up to `last`."""
        return Path(self.segments[first:last], self.origin[first:last], False, self.gaps)


def boxes_of(strokes: tuple[Stroke, ...]) -> list[Box]:
    """The box around each stroke."""
    return [box_of([segment.box() for segment in stroke.segments]) for stroke in strokes]


def without_doubles(
    strokes: tuple[Stroke, ...], boxes: list[Box], size: float
) -> tuple[list[int], int]:
    """Numbers of the strokes to keep, and how many lay on top of another."""
    seen: set[tuple[object, ...]] = set()
    keep = []
    grain = max(size * 1e-6, 1e-300)

    def place(point: Point) -> tuple[int, int]:
        return round(point[0] / grain), round(point[1] / grain)

    for number, stroke in enumerate(strokes):
        ends = sorted([place(stroke.segments[0].start), place(stroke.segments[-1].end)])
        box = boxes[number]
        key = (*ends, place(box[:2]), place(box[2:]), len(stroke.segments))
        if key not in seen:
            seen.add(key)
            keep.append(number)
    return keep, len(strokes) - len(keep)


def size_of(boxes: list[Box]) -> float:
    """Size of the drawing, without the odd stroke far away."""
    if len(boxes) < 20:
        return max(diagonal(box_of(boxes)), 1e-300)
    every = np.array(boxes)
    low, high = np.quantile(every[:, :2], 0.02, axis=0), np.quantile(every[:, 2:], 0.98, axis=0)
    return float(max(np.hypot(*(high - low)), 1e-300))


def join(strokes: tuple[Stroke, ...], numbers: list[int], size: float) -> list[Path]:
    """The paths that these strokes make."""
    done = [_path([(n, True)], strokes, [], closed=True) for n in numbers if strokes[n].closed]
    loose = [n for n in numbers if not strokes[n].closed]
    if not loose:
        return done
    ends = np.array(
        [p for n in loose for p in (strokes[n].segments[0].start, strokes[n].segments[-1].end)]
    )
    outward = np.array([h for n in loose for h in _outward(strokes[n])])
    layers = [strokes[n].layer for n in loose]
    lengths = [sum(segment.chord for segment in strokes[n].segments) for n in loose]
    partner = np.full(len(ends), -1)
    for reach in _REACHES:
        free = np.flatnonzero(partner < 0)
        pairs = []
        for i, j, gap in _near(ends, free, reach * size):
            one, two = i // 2, j // 2
            if one == two and lengths[one] < 10.0 * reach * size:
                continue
            turn = abs(_wrap(outward[i] - outward[j] + math.pi))
            shorter = min(lengths[one], lengths[two])
            if reach > _EXACT and (
                gap > _WIDEST_SHARE * shorter or (turn > _STRAY and shorter < _LONG_SHARE * size)
            ):
                continue
            other = _OTHER_LAYER * (layers[i // 2] != layers[j // 2])
            pairs.append((turn + other + gap / (reach * size), i, j))
        for _, i, j in sorted(pairs):
            if partner[i] < 0 and partner[j] < 0:
                partner[i], partner[j] = j, i
    return done + _followed(strokes, loose, partner, ends)


def _outward(stroke: Stroke) -> tuple[float, float]:
    """Headings out of the stroke at its start and at its end."""
    return stroke.segments[0].headings()[0] + math.pi, stroke.segments[-1].headings()[1]


def _wrap(angle: float) -> float:
    return (angle + math.pi) % (2.0 * math.pi) - math.pi


def _near(ends: FloatArray, free: np.ndarray, reach: float) -> list[tuple[int, int, float]]:
    """Pairs of free ends within reach of each other."""
    from scipy.spatial import cKDTree

    cells = np.floor(ends[free] / max(reach, 1e-300))
    _, cell, crowd = np.unique(cells, axis=0, return_inverse=True, return_counts=True)
    kept = free[crowd[cell.ravel()] <= _MOST_AT_A_POINT]
    if len(kept) < 2:
        return []
    count = min(_MOST_AT_A_POINT, len(kept))
    query = cKDTree(ends[kept]).query(ends[kept], k=count, distance_upper_bound=reach)
    distance, neighbour = np.asarray(query[0]), np.asarray(query[1])
    row, column = np.nonzero(neighbour < len(kept))
    i, j = kept[row], kept[neighbour[row, column]]
    once = i < j
    gaps = distance[row, column][once]
    return list(zip(i[once].tolist(), j[once].tolist(), gaps.tolist(), strict=True))


def _followed(
    strokes: tuple[Stroke, ...], loose: list[int], partner: np.ndarray, ends: FloatArray
) -> list[Path]:
    """Walk from stroke to stroke: first from free ends, then around what is left."""
    used = [False] * len(loose)
    paths = []
    starts = [e for e in range(len(partner)) if partner[e] < 0] + list(range(len(partner)))
    for begin in starts:
        if used[begin // 2]:
            continue
        steps, gaps, end = [], [], begin
        closed = False
        while True:
            used[end // 2] = True
            steps.append((loose[end // 2], end % 2 == 0))
            leave = end ^ 1
            following = int(partner[leave])
            if following < 0:
                break
            gaps.append(math.dist(ends[leave], ends[following]))
            if used[following // 2]:
                closed = True
                break
            end = following
        paths.append(_path(steps, strokes, gaps, closed=closed))
    return paths


def _path(
    steps: list[tuple[int, bool]], strokes: tuple[Stroke, ...], gaps: list[float], *, closed: bool
) -> Path:
    segments: list[Segment] = []
    origin: list[int] = []
    for number, forward in steps:
        own = strokes[number].segments
        own = own if forward else tuple(s.reversed() for s in reversed(own))
        segments.extend(own)
        origin.extend([number] * len(own))
    meets = range(len(segments) if closed else len(segments) - 1)
    for i in meets:
        j = (i + 1) % len(segments)
        a, b = segments[i], segments[j]
        if i != j and a.end != b.start:
            # The ends meet halfway, or at the longer piece where the other is short.
            share = a.chord / (a.chord + b.chord) if a.chord + b.chord > 0.0 else 0.5
            share = min(max(share, 0.0), 1.0)
            middle = (
                b.start[0] + share * (a.end[0] - b.start[0]),
                b.start[1] + share * (a.end[1] - b.start[1]),
            )
            segments[i] = a.snapped(a.start, middle)
            segments[j] = segments[j].snapped(middle, segments[j].end)
    kept = [i for i, s in enumerate(segments) if s.chord > 0.0 or s.spline is not None]
    return Path(
        tuple(segments[i] for i in kept),
        tuple(origin[i] for i in kept),
        closed,
        tuple(gap for gap in gaps if gap > 0.0),
    )
