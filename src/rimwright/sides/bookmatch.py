"""Book-match: how the patterns lie on two boards opened like a book."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from rimwright.curves.piece import FloatArray
from rimwright.sides.pattern import SidePattern
from rimwright.units import length_text

#: Between two boards sawn from one. [m]; ours
_SAW_CUT = 0.003
#: Waist marks further apart than this are pointed out. [m]
_SAME_MARK = 0.001


@dataclass(frozen=True, kw_only=True)
class BoardLay:
    """One pattern on its board: u from the tail seam to the neck, v up from the fold.

    The board lies outside face up, tail left.
    """

    hand: str
    piece: str
    #: Above the fold (v positive) or below it.
    above: bool
    #: Corners of the sawn board, shape (4, 2). [m]
    board: FloatArray
    #: The pattern's loop, top's edge then the back's, shape (n, 2). [m]
    pattern: FloatArray
    #: Where the waist's mark crosses, or None without a waist. [m]
    waist_m: float | None
    #: Which edge is which, and which face looks up, for the board.
    words: str


@dataclass(frozen=True, kw_only=True)
class BookMatch:
    """Both boards opened at the fold, their top edges meeting there."""

    lays: tuple[BoardLay, ...]
    #: Smallest pair of equal boards, allowances included. [m]
    board_length_m: float
    board_width_m: float
    warnings: tuple[str, ...] = ()


def book_match(
    sides: tuple[SidePattern, ...],
    player: Literal["right", "left"],
    show: Literal["metric", "inch"] = "metric",
) -> BookMatch:
    """Lay every pattern on the pair of mirrored boards.

    Both main pieces are laid from the tail seam, so that the grain meets there and the
    waist's marks lie opposite each other. Folded flat outwards from the top plate, both
    outside faces look up with the top's edges at the fold. Seen from the face with the
    neck to the right, the bass side of a right-handed instrument then lies above the fold
    and the treble side below; of a left-handed one the other way round, so its outside
    faces are the other faces of the same boards. A return piece follows its main piece on
    the same board.

    Parameters
    ----------
    sides : tuple of SidePattern
        As developed.
    player : str
        The player's hand.
    show : {"metric", "inch"}
        How lengths are told.

    Returns
    -------
    BookMatch
        With a warning where the waist's marks of the two sides differ.
    """
    lays: list[BoardLay] = []
    reach: dict[str, float] = {}
    for side in sides:
        above = (side.rim.hand == "bass") == (player == "right")
        shift = 0.0
        if side.rim.hand in reach:
            # Board after board, a saw's cut between them.
            spare = 0.5 * (side.blank.stock_length_m - side.blank.length_m)
            shift = reach[side.rim.hand] + _SAW_CUT + spare + side.blank.origin_along_m
        lays.append(_lay(side, above, shift))
        reach[side.rim.hand] = float(lays[-1].board[:, 0].max())
    corners = np.vstack([lay.board for lay in lays])
    waists = [lay.waist_m for lay in lays if lay.waist_m is not None]
    warnings: tuple[str, ...] = ()
    if len(waists) > 1 and abs(waists[0] - waists[1]) > _SAME_MARK:
        apart = length_text(abs(waists[0] - waists[1]), show)
        warnings = (
            f"the waist marks of the two sides lie {apart} apart: lay the boards from the tail "
            "seam and mark each waist by itself",
        )
    return BookMatch(
        lays=tuple(lays),
        board_length_m=float(np.ptp(corners[:, 0])),
        board_width_m=float(np.abs(corners[:, 1]).max()),
        warnings=warnings,
    )


def _lay(side: SidePattern, above: bool, shift: float) -> BoardLay:
    """The pattern `shift` from the tail seam, its board's edge on the fold."""
    blank = side.blank
    spare = 0.5 * (blank.stock_width_m - blank.width_m)
    ends = 0.5 * (blank.stock_length_m - blank.length_m)
    flip = np.array([1.0, 1.0 if above else -1.0])
    loop = np.vstack([side.edge_top[:, 1:], side.edge_back[::-1, 1:]])
    cosine, sine = np.cos(blank.angle_rad), np.sin(blank.angle_rad)
    turned = loop @ np.array([[cosine, sine], [-sine, cosine]])
    pattern = (turned + np.array([shift, blank.origin_up_m + spare])) * flip
    left = shift - blank.origin_along_m - ends
    right, up = left + blank.stock_length_m, blank.stock_width_m
    board = np.array([[left, 0.0], [right, 0.0], [right, up], [left, up]]) * flip
    waist = next((mark for mark in side.marks if mark.name == "waist"), None)
    edges = ("upper", "lower") if above else ("lower", "upper")
    whose = f"{side.rim.hand} {'side' if side.rim.name == 'main' else 'return piece'}"
    return BoardLay(
        hand=side.rim.hand,
        piece=side.rim.name,
        above=above,
        board=board,
        pattern=pattern,
        waist_m=None if waist is None else waist.s_middle_m + shift,
        words=(
            f"{whose}, outside face up, tail left: "
            f"{edges[0]} edge to the back, {edges[1]} edge to the top"
        ),
    )
