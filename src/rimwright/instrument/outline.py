"""The outline of a body, and the one place where directions and signs are fixed.

Body coordinates: x along the centreline from the tail seam towards the neck, y towards
the treble side, z from the top plate towards the back. Every outline is the *outside* of
the finished rim. `s` runs along a side from the tail seam. Curvature of a side is positive
where it is convex as seen from outside the body (bouts, horn) and negative where it is
concave (waist, scoop). Everything else imports these meanings from here.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

import numpy as np

from rimwright.curves.chain import Chain
from rimwright.curves.piece import FloatArray

Hand = Literal["bass", "treble"]
PieceName = Literal["main", "return"]
View = Literal["face", "back"]

#: Left of the travel lies the inside of the body on the bass side, the outside on the treble:
#: the bass side runs counter-clockwise from the tail, the treble side clockwise.
_INSIDE_IS_LEFT: dict[Hand, float] = {"bass": 1.0, "treble": -1.0}


@dataclass(frozen=True, slots=True)
class RimFrame:
    """The outline read along one piece of rim, in body coordinates."""

    #: (x, y), shape (n, 2). [m]
    position: FloatArray
    #: Direction of travel from the tail, counter-clockwise from x in (x, y). [rad]
    heading: FloatArray
    #: Positive convex, negative concave, as seen from outside the body. [1/m]
    curvature: FloatArray


@dataclass(frozen=True)
class RimPiece:
    """One piece of wood's worth of rim: a whole side, or the return of a pointed cutaway.

    `s` runs from the tail seam; on a return piece from the tip of the horn.
    """

    hand: Hand
    name: PieceName
    #: Outer line in body coordinates.
    chain: Chain

    @property
    def length(self) -> float:
        """Length of the outer line. [m]"""
        return self.chain.length

    def at(self, s: FloatArray) -> RimFrame:
        """Position, heading and curvature (convex positive) at each `s` on the outer line."""
        frame = self.chain.at(s)
        sign = _INSIDE_IS_LEFT[self.hand]
        return RimFrame(frame.position, frame.heading, sign * frame.curvature)

    def turn_to(self, s: FloatArray) -> FloatArray:
        """How far the side has turned from its start, convex positive. [rad]

        The line `d` inside the outer one has length ``s - d * turn`` up to the same place,
        corners apart, whatever the shape between.
        """
        start = self.chain.start().heading[0]
        return np.asarray(_INSIDE_IS_LEFT[self.hand] * (self.chain.at(s).heading - start))

    def turn_of(self, frame: RimFrame) -> FloatArray:
        """The same turn for a frame already read, from its first place. [rad]"""
        return np.asarray(_INSIDE_IS_LEFT[self.hand] * (frame.heading - frame.heading[0]))

    def inside(self, distance: float) -> Chain:
        """The parallel line `distance` inside the outer line (outside if negative). [m]

        Raises
        ------
        FoldedOffsetError
            Where a bend is tighter than the distance.
        """
        return self.chain.offset(_INSIDE_IS_LEFT[self.hand] * distance)

    def tightest(self, *, convex: bool) -> tuple[float, float] | None:
        """Smallest convex or concave radius and the middle of where it lies, (radius, s). [m]

        None where the piece has no such bend (nothing tighter than 100 m).
        """
        return self._tightest[convex]

    @cached_property
    def _tightest(self) -> dict[bool, tuple[float, float] | None]:
        return {convex: self._find_tightest(convex=convex) for convex in (True, False)}

    def _find_tightest(self, *, convex: bool) -> tuple[float, float] | None:
        sign = _INSIDE_IS_LEFT[self.hand] * (1.0 if convex else -1.0)
        best: tuple[float, float] | None = None
        for start, piece in zip(self.chain.stations, self.chain.pieces, strict=False):
            low, high = piece.curvature_range()
            greatest = high if sign > 0 else -low
            if greatest > (0.01 if best is None else (1.0 + 1e-9) / best[0]):
                grid = np.linspace(0.0, piece.length, 257)
                curvature = sign * piece.at(grid).curvature
                level = np.flatnonzero(curvature >= curvature.max() * (1.0 - 1e-9))
                best = 1.0 / greatest, float(start + grid[level].mean())
        return best


@dataclass(frozen=True, eq=False)  # the same half is the same object: it can be a key
class Half:
    """One half of the outline, from tail seam to where it ends at the neck."""

    hand: Hand
    main: RimPiece
    #: The return piece of a pointed cutaway, from the tip of the horn to the neck.
    return_piece: RimPiece | None = None
    cutaway: Literal["none", "rounded", "pointed"] = "none"

    @property
    def pieces(self) -> tuple[RimPiece, ...]:
        """Main piece, then the return if there is one."""
        return (self.main,) if self.return_piece is None else (self.main, self.return_piece)


@dataclass(frozen=True, slots=True)
class Finding:
    """Something taken from a drawing, or left in it, and why."""

    what: str
    taken: bool
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RadiusRange:
    """A radius read from a noisy line: middle and range. [m]"""

    middle_m: float
    low_m: float
    high_m: float
    #: Where it lies on the piece. [m]
    s_m: float


@dataclass(frozen=True, kw_only=True, eq=False)
class Outline:
    """The outside of the finished rim, both halves, with what was assumed on the way."""

    bass: Half
    treble: Half
    #: From tail seam to the neck end of the body on the centreline. [m]
    length_m: float
    #: What the maker did not say and was assumed, most important first.
    assumptions: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    #: From a trace only: how far the traced points scatter about the line (one sigma). [m]
    noise_m: float | None = None
    #: From a trace only: by (hand, piece, "convex" or "concave"), the smallest radius over
    #: a 20 mm stretch of line.
    radius_ranges: dict[tuple[Hand, PieceName, str], RadiusRange] = field(default_factory=dict)

    def smallest_radius(self, rim: RimPiece, *, convex: bool) -> RadiusRange | None:
        """Smallest radius of a piece with its range; a point unless it was traced."""
        traced = self.radius_ranges.get((rim.hand, rim.name, "convex" if convex else "concave"))
        if traced is not None:
            return traced
        exact = rim.tightest(convex=convex)
        if exact is None:
            return None
        return RadiusRange(middle_m=exact[0], low_m=exact[0], high_m=exact[0], s_m=exact[1])

    @property
    def halves(self) -> tuple[Half, Half]:
        """Bass half, treble half."""
        return self.bass, self.treble

    @property
    def pieces(self) -> tuple[RimPiece, ...]:
        """Every piece of rim: bass first, main before return."""
        return self.bass.pieces + self.treble.pieces
