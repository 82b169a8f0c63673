"""Where each side ends at the neck, and where the blocks lie along it.

The neck block is a rectangle on the plan: as wide as the design says, from the body's
neck end inwards. Its *flanks* are the two faces along the centreline, its *front* the face
towards the neck, which the rim runs across. A drawn half may end at the centreline or at
the flank; which of the two sides is longer is for the design to say. Front and flanks are
met by the outer line, as a drawing shows them; lengths are then read on the middle line.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np

from rimwright.curves.piece import FloatArray
from rimwright.errors import GeometryError
from rimwright.instrument.design import Ends, NeckEnd
from rimwright.instrument.outline import Half, Outline, RimPiece
from rimwright.units import length_text

#: A drawn end this near the centreline is meant to be on it. [m]
_ON_CENTRELINE = 0.0015
#: A drawn end this near the block's flank is meant to touch it. [m]
_AT_FLANK = 0.006


@dataclass(frozen=True, slots=True, kw_only=True)
class NeckCut:
    """What the chosen neck end makes of one drawn half."""

    #: Added to the drawn half (negative: taken off it), on the middle line. [m]
    neck_end_m: float
    #: "runs across the neck block to its far flank".
    words: str
    warnings: tuple[str, ...] = ()


@lru_cache(maxsize=32)
def neck_cut(
    half: Half,
    outline: Outline,
    ends: Ends,
    thickness_m: float,
    show: Literal["metric", "inch"] = "metric",
) -> NeckCut:
    """How much longer or shorter than the drawn half the side is at the neck.

    Parameters
    ----------
    half : Half
        The half as drawn; a pointed cutaway's return piece is the one that reaches the neck.
    outline : Outline
        The whole outline: past the centreline the other half's line is followed.
    ends : Ends
        The neck block and the chosen end of each side.
    thickness_m : float
        Of the side; what is added or taken is on its middle line. [m]
    show : {"metric", "inch"}
        How lengths are told.

    Returns
    -------
    NeckCut
        - *centreline*: on to the centreline, or nothing if drawn to it.
        - *across_block*: on past the centreline to the block's far flank.
        - *flank*: up to the flank and along it to the block's front; a half drawn to the
          centreline loses what runs across the front.
        - *first_touch*: to where it meets the block's flank, and no further; warned of.
        - *slots*: as first touch, and the slots' depth into the block.
    """
    choice: NeckEnd = ends.neck_end_bass if half.hand == "bass" else ends.neck_end_treble
    last = half.pieces[-1]
    end = last.chain.end()
    end_y = abs(float(end.position[0, 1]))
    flank = 0.5 * ends.neck_block_width_m
    drawn_to_centre = end_y <= _ON_CENTRELINE
    warnings: list[str] = []
    if choice in ("centreline", "across_block"):
        added = 0.0 if drawn_to_centre else _across(outline, end_y, thickness_m)
        if not drawn_to_centre:
            warnings.append(
                f"the {half.hand} side is drawn to the block's flank, "
                f"{length_text(end_y, show)} from the centreline, but is to run across the block: "
                "check on the mould that it can turn there"
            )
        if choice == "centreline":
            return NeckCut(
                neck_end_m=added, words="ends at the centreline", warnings=tuple(warnings)
            )
        return NeckCut(
            neck_end_m=added + _across(outline, flank, thickness_m),
            words="runs across the neck block to its far flank",
            warnings=tuple(warnings),
        )
    block_x = outline.length_m - ends.neck_block_length_m
    at = _flank_station(last, flank, beyond_x=block_x)
    touch = -_middle_beyond(last, at, thickness_m)
    gap = end_y - flank
    if gap > _AT_FLANK:
        warnings.append(
            f"the {half.hand} side is drawn to {length_text(gap, show)} from the neck block's "
            "flank and does not reach it: make the block wider or draw the side further"
        )
    if choice == "flank":
        run = 0.0
        if not drawn_to_centre:
            touch_x = float(last.at(np.array([at])).position[0, 0])
            run = max(_front_x(outline, flank) - touch_x, 0.0)
        words = "ends at the neck block's flank" + (", at its front" if run else "")
        return NeckCut(neck_end_m=touch + run, words=words, warnings=tuple(warnings))
    if choice == "slots":
        if not ends.slot_depth_m > 0.0:
            warnings.append("slots in the neck block without a depth: nothing was added for them")
        return NeckCut(
            # A side drawn to the flank goes into its slot from its drawn end.
            neck_end_m=(touch if drawn_to_centre else 0.0) + ends.slot_depth_m,
            words=f"runs {length_text(ends.slot_depth_m, show)} into the slot of the neck block",
            warnings=tuple(warnings),
        )
    warnings.append(
        f"the {half.hand} side ends where it first touches the neck block: only its inside "
        "edge is glued there; let it run along the flank or into a slot if there is room"
    )
    return NeckCut(
        neck_end_m=touch,
        words="ends where it first touches the neck block",
        warnings=tuple(warnings),
    )


def _middle_beyond(piece: RimPiece, s: float, thickness: float) -> float:
    """Middle line from `s` on the outer line to the piece's end. [m]"""
    ends = np.array([s, piece.length])
    middle = ends - 0.5 * thickness * piece.turn_to(ends)
    return float(middle[1] - middle[0])


def _flank_station(
    piece: RimPiece, flank: float, thickness: float = 0.0, beyond_x: float = -np.inf
) -> float:
    """s where the line `thickness` inside comes to the block's flank for good.

    To a block that begins at `beyond_x`; a line running along the flank meets it there.
    """

    def apart(s: FloatArray) -> FloatArray:
        width, x = _inner_width(piece, s, thickness)
        return np.asarray(np.maximum(width - flank - 1e-9, beyond_x - x))

    # The flank is met near the end; look further only where it is not.
    reach = 2.0 * flank + 0.02
    s = np.linspace(piece.length, max(piece.length - reach, 0.0), 33)
    gap = apart(s)
    if gap.max() <= 0.0 and s[-1] > 0.0:
        s = np.linspace(piece.length, 0.0, 129)
        gap = apart(s)
    if gap[0] > 0.0:
        return piece.length
    if gap.max() <= 0.0:
        raise GeometryError(
            f"a neck block {2e3 * flank:.0f} mm wide on a body narrower than that",
            "a neck block narrower than the body",
            "check the neck block's width",
        )
    for _ in range(4):
        i = int(np.argmax(gap > 0.0))
        s = np.linspace(s[i - 1], s[i], 33)
        gap = apart(s)
    i = int(np.argmax(gap > 0.0))
    return float(np.interp(0.0, gap[i - 1 : i + 1], s[i - 1 : i + 1]))


def _inner_width(piece: RimPiece, s: FloatArray, thickness: float) -> tuple[FloatArray, FloatArray]:
    """Distance of the line `thickness` inside from the centreline, and its x. [m]

    Positive on the piece's own side of the centreline.
    """
    frame = piece.at(s)
    sign = 1.0 if piece.hand == "treble" else -1.0
    # Inwards lies to the right of the travel on the treble side, to its left on the bass.
    inward = np.column_stack([sign * np.sin(frame.heading), -sign * np.cos(frame.heading)])
    x, y = (frame.position + thickness * inward).T
    return np.asarray(sign * y), np.asarray(x)


def _centred(outline: Outline) -> RimPiece | None:
    """The last piece of a half that is drawn to the centreline."""
    for half in outline.halves:
        last = half.pieces[-1]
        if abs(float(last.chain.end().position[0, 1])) <= _ON_CENTRELINE:
            return last
    return None


def _across(outline: Outline, reach: float, thickness: float) -> float:
    """Middle line from the centreline out to `reach` along a half drawn to the centreline."""
    piece = _centred(outline)
    return (
        reach if piece is None else _middle_beyond(piece, _flank_station(piece, reach), thickness)
    )


def _front_x(outline: Outline, flank: float) -> float:
    """x of the block's front at its flank. [m]"""
    piece = _centred(outline)
    if piece is None:
        return outline.length_m
    return float(piece.at(np.array([_flank_station(piece, flank)])).position[0, 0])


def between_blocks(half: Half, ends: Ends, thickness_m: float) -> tuple[tuple[float, float], ...]:
    """On each piece, the stretch of outer line whose inside is free of the blocks. [m]

    Raises
    ------
    GeometryError
        If the blocks leave nothing between them.
    """
    tail, neck = 0.5 * ends.tail_block_width_m, 0.5 * ends.neck_block_width_m
    main = half.main
    s = np.linspace(0.0, min(2.0 * tail + 0.02, main.length), 65)
    free = _inner_width(main, s, thickness_m)[0] > tail
    if not free.any():
        raise GeometryError(
            f"a tail block {2e3 * tail:.0f} mm wide on a body narrower than that",
            "a tail block narrower than the body",
            "check the tail block's width",
        )
    for _ in range(4):
        i = int(np.argmax(free))
        s = np.linspace(s[max(i - 1, 0)], s[i], 33)
        free = _inner_width(main, s, thickness_m)[0] > tail
    start = float(s[int(np.argmax(free))])
    end = _flank_station(half.pieces[-1], neck, thickness_m)
    if half.return_piece is None:
        return ((start, end),)
    return (start, main.length), (0.0, end)
