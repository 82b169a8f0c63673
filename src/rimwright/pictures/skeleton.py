"""From a mask of ink to strokes: thinning, junctions, and what goes straight on.

Thinning after Guo and Hall (1989, recalled), which keeps slanting lines two pixels wide where
simpler schemes rub them out; it works on the pixels of ink alone, so that its cost grows with
the lines and not with the picture.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

BoolArray = npt.NDArray[np.bool_]
FloatArray = npt.NDArray[np.float64]
Pixel = tuple[int, int]

#: Neighbours clockwise from north, as (row, column).
_AROUND = ((-1, 0), (-1, 1), (0, 1), (1, 1), (1, 0), (1, -1), (0, -1), (-1, -1))
#: Two strokes at a junction are one line if they turn less than this from each other. [rad]
_STRAIGHT = 0.7
#: Free ends are joined over a gap of this many line widths; twigs too short to face anywhere,
#: in line widths, are not.
_GAP_WIDTHS, _LONG = 6.0, 4.0
#: Free ends looked at; more are hatching or writing.
MAX_FREE_ENDS = 400
#: Junctions and pixels of line in one picture; more are hatching or writing and not a
#: drawing of a body.
MAX_JUNCTIONS, MAX_PIXELS = 4000, 150_000


@dataclass(frozen=True)
class Stroke:
    """A line one pixel wide, as (row, column) of each pixel in order."""

    pixels: FloatArray
    closed: bool
    #: Middle of the junction that its start and its end run into, where they end in one.
    into: tuple[FloatArray | None, FloatArray | None] = (None, None)


def thin(mask: BoolArray) -> BoolArray:
    """The mask worn down to lines one pixel wide."""
    padded = np.pad(mask, 1)
    rows, columns = np.nonzero(padded)
    changed = True
    while changed:
        changed = False
        for odd in (False, True):
            n = [padded[rows + dr, columns + dc] for dr, dc in _AROUND]
            pairs = [n[i] | n[(i + 1) % 8] for i in range(8)]
            parts = np.sum([~n[i] & pairs[i + 1] for i in (0, 2, 4, 6)], axis=0)
            count = np.minimum(
                np.sum([pairs[i] for i in (7, 1, 3, 5)], axis=0),
                np.sum([pairs[i] for i in (0, 2, 4, 6)], axis=0),
            )
            side = (n[0] | n[1] | ~n[3]) & n[2] if odd else (n[4] | n[5] | ~n[7]) & n[6]
            worn = (parts == 1) & (count >= 2) & (count <= 3) & ~side
            if worn.any():
                changed = True
                padded[rows[worn], columns[worn]] = False
                rows, columns = rows[~worn], columns[~worn]
    return padded[1:-1, 1:-1]


def strokes(skeleton: BoolArray, width: float) -> list[Stroke]:
    """Lines that run on through their junctions; twigs shorter than the line is wide dropped.

    `width` is how wide the ink was, in pixels: junctions nearer than that are one crossing.
    """
    edges, junctions = _edges(skeleton, width)
    return _linked(edges, junctions, width)


@dataclass
class _Edge:
    """Pixels between two junctions; ends are junction numbers, or -1 where free."""

    pixels: list[Pixel]
    ends: tuple[int, int]


def _edges(skeleton: BoolArray, width: float) -> tuple[list[_Edge], FloatArray]:
    from scipy import ndimage

    padded = np.pad(skeleton, 1)
    rows, columns = np.nonzero(padded)
    ring = [padded[rows + dr, columns + dc] for dr, dc in _AROUND]
    branches = np.sum([~ring[i] & ring[(i + 1) % 8] for i in range(8)], axis=0)
    crowd = np.sum(ring, axis=0)
    if len(rows) > MAX_PIXELS:
        return [], np.zeros((0, 2))
    crossing = np.zeros(padded.shape, dtype=bool)
    knots = (branches >= 3) | (crowd >= 4)
    crossing[rows[knots], columns[knots]] = True
    if int(knots.sum()) > MAX_JUNCTIONS:
        return [], np.zeros((0, 2))
    if knots.any():
        reach = max(round(0.7 * width), 1)
        crossing = ndimage.binary_dilation(crossing, np.ones((3, 3), bool), iterations=reach)
    numbers, count = ndimage.label(crossing, np.ones((3, 3), bool))
    within = numbers[rows, columns]
    share = np.maximum(np.bincount(within, minlength=count + 1), 1)
    middles = [np.bincount(within, at, minlength=count + 1) / share for at in (rows, columns)]
    junctions = np.column_stack(middles)[1:] - 1.0
    left: set[Pixel] = {
        (r, c) for r, c in zip(rows.tolist(), columns.tolist(), strict=True) if not crossing[r, c]
    }

    def near(pixel: Pixel) -> list[Pixel]:
        # Straight neighbours before diagonal ones, so that a stair is walked and not cut.
        order = (*_AROUND[::2], *_AROUND[1::2])
        return [(pixel[0] + dr, pixel[1] + dc) for dr, dc in order]

    edges = []
    while left:
        seed = left.pop()
        halves: list[list[Pixel]] = []
        for _ in range(2):
            walk = [seed]
            while step := next((p for p in near(walk[-1]) if p in left), None):
                left.discard(step)
                walk.append(step)
            halves.append(walk)
        pixels = halves[1][:0:-1] + halves[0]
        first = {int(numbers[p]) for p in near(pixels[0])} - {0}
        last = {int(numbers[p]) for p in near(pixels[-1])} - {0}
        start = min(first, default=0)
        # A single pixel between two junctions touches both at either end.
        stop = min(last - {start} or last if len(pixels) < 3 else last, default=0)
        ends = (start - 1, stop - 1)
        edges.append(_Edge(pixels, ends))
    twig = 2.0 * width + 2.0
    kept = [
        e for e in edges if len(e.pixels) > twig or (min(e.ends) >= 0 and e.ends[0] != e.ends[1])
    ]
    return kept, junctions


def _linked(edges: list[_Edge], junctions: FloatArray, width: float) -> list[Stroke]:
    """Edges joined through junctions, straightest pair first."""
    at: dict[int, list[tuple[int, int]]] = {}
    for number, edge in enumerate(edges):
        for side in (0, 1):
            if edge.ends[side] >= 0:
                at.setdefault(edge.ends[side], []).append((number, side))
    link: dict[tuple[int, int], tuple[int, int]] = _bridged(edges, width)
    for meeting in at.values():
        away = [_leaving(edges[number].pixels, side, width) for number, side in meeting]
        pairs = sorted(
            (float(np.arccos(np.clip(-away[i] @ away[j], -1.0, 1.0))), i, j)
            for i in range(len(meeting))
            for j in range(i)
        )
        for turn, i, j in pairs:
            alone = len(meeting) == 2
            if (turn < _STRAIGHT or alone) and not {meeting[i], meeting[j]} & link.keys():
                link[meeting[i]], link[meeting[j]] = meeting[j], meeting[i]
    result: list[Stroke] = []
    used: set[int] = set()
    loose = [(n, s) for n in range(len(edges)) for s in (0, 1) if (n, s) not in link]
    for start in [*loose, *((n, 0) for n in range(len(edges)))]:
        if start[0] in used:
            continue
        pixels: list[Pixel] = []
        last = start
        here: tuple[int, int] | None = start
        while here is not None and here[0] not in used:
            number, side = here
            used.add(number)
            run = edges[number].pixels
            pixels += run if side == 0 else run[::-1]
            last = (number, 1 - side)
            here = link.get(last)
        line = np.array(pixels, dtype=np.float64) - 1.0
        gap = float(np.hypot(*(line[0] - line[-1])))
        closed = here == start or (start not in link and len(line) > 20 and gap < 2.0)
        at_start, at_end = (edges[number].ends[side] for number, side in (start, last))
        into = (
            junctions[at_start] if at_start >= 0 and start not in link else None,
            junctions[at_end] if at_end >= 0 and last not in link else None,
        )
        result.append(Stroke(line, closed, into))
    return result


def _bridged(edges: list[_Edge], width: float) -> dict[tuple[int, int], tuple[int, int]]:
    """Free ends that face each other over a short gap: the pencil skipped, or paper shone."""
    free = [(n, side) for n, edge in enumerate(edges) for side in (0, 1) if edge.ends[side] < 0]
    free = [(n, side) for n, side in free if len(edges[n].pixels) > _LONG * width][:MAX_FREE_ENDS]
    if len(free) < 2:
        return {}
    tip = np.array([edges[n].pixels[0 if side == 0 else -1] for n, side in free], dtype=float)
    back = np.array([_leaving(edges[n].pixels, side, width) for n, side in free])
    gap = tip[None, :, :] - tip[:, None, :]
    wide = np.hypot(gap[..., 0], gap[..., 1])
    ahead = -np.einsum("ijk,ik->ij", gap, back) / np.maximum(wide, 1e-9)
    facing = (wide < _GAP_WIDTHS * width + 4.0) & (np.minimum(ahead, ahead.T) > np.cos(_STRAIGHT))
    facing &= np.einsum("ik,jk->ij", back, back) < -np.cos(_STRAIGHT)
    near = facing | (wide < 2.5)
    link: dict[tuple[int, int], tuple[int, int]] = {}
    rows, columns = np.nonzero(np.triu(near, 1))
    for i, j in sorted(zip(rows.tolist(), columns.tolist(), strict=True), key=lambda p: wide[p]):
        if not {free[i], free[j]} & link.keys():
            link[free[i]], link[free[j]] = free[j], free[i]
    return link


def _leaving(pixels: list[Pixel], side: int, width: float) -> FloatArray:
    """Unit direction of an edge as it leaves a junction, read a few line widths out."""
    run = np.array(pixels if side == 0 else pixels[::-1], dtype=np.float64)
    far = min(len(run) - 1, int(6.0 * width) + 6)
    way = run[far] - run[0]
    return np.asarray(way / (np.hypot(*way) or 1.0))
