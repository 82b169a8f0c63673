"""The full-size paper strip: every mark, one edge for the wood and one for the mould."""

from __future__ import annotations

from dataclasses import dataclass

from rimwright.sides.pattern import SidePattern


@dataclass(frozen=True, slots=True)
class Tick:
    """One mark on both edges of the strip, from its start. [m]"""

    name: str
    #: On the edge laid on the flat wood: the middle line.
    wood_m: float
    #: On the edge laid in the mould: the outer line.
    mould_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperStrip:
    """The strip of one piece, from the tail seam (on a return piece from the tip)."""

    hand: str
    piece: str
    ticks: tuple[Tick, ...]
    #: Where the side really ends at the neck, on each edge. [m]
    wood_end_m: float
    mould_end_m: float
    #: Stretches before the start and after the end that are trimmed later. [m]
    trim_start_m: float
    trim_end_m: float


def paper_strip(side: SidePattern) -> PaperStrip:
    """The strip to print for one developed piece.

    What the chosen neck end adds is as long on both edges as on the middle line within
    half the thickness times its turn, a few hundredths of a millimetre on a neck block.
    """
    return PaperStrip(
        hand=side.rim.hand,
        piece=side.rim.name,
        ticks=tuple(Tick(mark.name, mark.s_middle_m, mark.s_outer_m) for mark in side.marks),
        wood_end_m=side.length_middle_m + side.neck_end_m,
        mould_end_m=side.length_outer_m + side.neck_end_m,
        trim_start_m=side.blank.trim_tail_m,
        trim_end_m=side.blank.trim_neck_m,
    )
