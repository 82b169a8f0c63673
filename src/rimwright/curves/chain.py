"""A chain of pieces end to end: what every source of an outline becomes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from rimwright.curves.piece import FloatArray, Frame, Piece, Similarity
from rimwright.errors import FoldedOffsetError, GeometryError

#: Rounds of halving where a polyline still strays from its curve.
_HALVINGS = 14


@dataclass(frozen=True)
class Chain:
    """Pieces joined end to start, read by one arc length along them all.

    Headings continue over the joints, so that a corner shows as a jump and never as a
    whole turn.

    Examples
    --------
    >>> import numpy as np
    >>> from rimwright.curves.arc import Arc
    >>> bend = Chain((Arc.line((0, 0), (0.1, 0)), Arc((0.1, 0), 0.0, 20.0, 0.025 * np.pi)))
    >>> round(bend.length, 6)
    0.17854
    """

    pieces: tuple[Piece, ...]

    def __post_init__(self) -> None:
        if not self.pieces:
            raise GeometryError("a curve without pieces", "one piece at least", "check the outline")

    @cached_property
    def stations(self) -> FloatArray:
        """Arc length at the start of each piece and at the end, shape (pieces + 1,). [m]"""
        return np.concatenate([[0.0], np.cumsum([piece.length for piece in self.pieces])])

    @property
    def length(self) -> float:
        """Arc length from start to end. [m]"""
        return float(self.stations[-1])

    @cached_property
    def _heading_shifts(self) -> FloatArray:
        """Whole turns to add to each piece so that headings continue."""
        shifts, end = [0.0], 0.0
        for i, piece in enumerate(self.pieces):
            start = float(piece.at(np.zeros(1)).heading[0])
            if i > 0:
                shifts.append(2.0 * np.pi * float(np.round((end - start) / (2.0 * np.pi))))
            end = start + shifts[-1] + piece.turn
        return np.array(shifts)

    def at(self, s: FloatArray) -> Frame:
        """Exact position, heading and curvature at each `s`; at a joint, of the later piece.

        `s` outside [0, length] is drawn to the nearer end. [m]
        """
        s = np.clip(np.atleast_1d(np.asarray(s, dtype=np.float64)), 0.0, self.length)
        index = np.clip(
            np.searchsorted(self.stations, s, side="right") - 1, 0, len(self.pieces) - 1
        )
        position = np.empty((s.size, 2))
        heading, curvature = np.empty(s.size), np.empty(s.size)
        for i in np.unique(index):
            here = index == i
            local = np.clip(s[here] - self.stations[i], 0.0, self.pieces[i].length)
            frame = self.pieces[i].at(local)
            position[here] = frame.position
            heading[here] = frame.heading + self._heading_shifts[i]
            curvature[here] = frame.curvature
        return Frame(position, heading, curvature)

    def start(self) -> Frame:
        """The frame at the start."""
        return self.at(np.zeros(1))

    def end(self) -> Frame:
        """The frame at the end."""
        return self.at(np.array([self.length]))

    def reversed(self) -> Chain:
        """The same curve travelled the other way."""
        return Chain(tuple(piece.reversed() for piece in reversed(self.pieces)))

    def transformed(self, transform: Similarity) -> Chain:
        """The curve moved, turned, scaled or mirrored."""
        return Chain(tuple(piece.transformed(transform) for piece in self.pieces))

    def mirrored(self) -> Chain:
        """The curve with y turned to -y."""
        return self.transformed(Similarity(mirror=True))

    def between(self, start: float, end: float) -> Chain:
        """The stretch from `start` to `end`, both in [0, length]. [m]"""
        parts = []
        for station, piece in zip(self.stations, self.pieces, strict=False):
            if station > end:
                break
            first = max(start - station, 0.0)
            last = min(end - station, piece.length)
            if last - first > 1e-12:
                parts.append(piece.between(first, last))
        return Chain(tuple(parts))

    def curvature_range(self) -> tuple[float, float]:
        """Least and greatest signed curvature. [1/m]"""
        ranges = [piece.curvature_range() for piece in self.pieces]
        return min(low for low, _ in ranges), max(high for _, high in ranges)

    def offset(self, distance: float) -> Chain:
        """The parallel curve `distance` to the left of the travel (right if negative). [m]

        Exact: an arc becomes an arc. At a corner the pieces part or cross; cut them with
        `between` first.

        Raises
        ------
        FoldedOffsetError
            Where the curve bends tighter towards the offset's side than `distance`, so
            that the parallel curve would fold over itself.
        """
        low, high = self.curvature_range()
        worst = high if distance > 0 else low
        if distance * worst >= 1.0 - 1e-9:
            raise FoldedOffsetError(
                f"a bend of {1e3 / abs(worst):.1f} mm radius where a parallel line "
                f"{1e3 * abs(distance):.1f} mm inside it is wanted",
                f"a radius above {1e3 * abs(distance):.1f} mm there, the smallest possible",
                "make the bend rounder or what lies between thinner",
            )
        return Chain(tuple(piece.offset(distance) for piece in self.pieces))

    def points(self, tolerance: float = 1e-5) -> FloatArray:
        """A polyline within `tolerance` of the curve, shape (n, 2). [m]"""
        rows = [_polyline(piece, tolerance) for piece in self.pieces]
        points = np.vstack(rows)
        keep = np.concatenate([[True], np.hypot(*np.diff(points, axis=0).T) > 1e-9])
        return np.asarray(points[keep])


def _polyline(piece: Piece, tolerance: float) -> FloatArray:
    """Points along a piece, closer together where it bends tighter, shape (n, 2)."""
    low, high = piece.curvature_range()
    # A chord of length c on curvature k strays by k c² / 8.
    tightest = min(max(abs(low), abs(high)), 1.0 / tolerance)
    if low == high:
        count = int(np.ceil(piece.length * np.sqrt(tightest / (8.0 * tolerance))))
        return piece.at(np.linspace(0.0, piece.length, max(count, 1) + 1)).position
    grid = np.linspace(0.0, piece.length, 33)
    bend = np.minimum(np.abs(piece.at(grid).curvature), tightest)
    density = np.sqrt(np.maximum(bend[:-1], bend[1:]) / (8.0 * tolerance))
    chords = np.concatenate([[0.0], np.cumsum(density * np.diff(grid))])
    count = max(int(np.ceil(1.05 * chords[-1])), 1)
    s = np.interp(np.linspace(0.0, chords[-1], count + 1), chords, grid)
    s[0], s[-1] = 0.0, piece.length
    points = piece.at(s).position
    for _ in range(_HALVINGS):
        # What lies between two places of the grid, a cusp or a hook, shows at the middle.
        between = 0.5 * (s[:-1] + s[1:])
        middle = piece.at(between).position
        chord = np.diff(points, axis=0)
        width = np.maximum(np.hypot(*chord.T), 1e-12)
        arm = middle - points[:-1]
        strays = np.abs(chord[:, 0] * arm[:, 1] - chord[:, 1] * arm[:, 0]) / width
        folds = np.diff(s) - width > tolerance
        far = (strays > tolerance) | (folds & (np.diff(s) > tolerance))
        if not far.any():
            break
        place = np.flatnonzero(far) + 1
        s = np.insert(s, place, between[far])
        points = np.insert(points, place, middle[far], axis=0)
    return points
