"""What nobody said of the neck end, settled once the outline is known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from rimwright.instrument.design import Design
from rimwright.instrument.outline import Half, Outline

#: A drawn end further than this from the centreline is at the neck's flank. [m]
_OFF_CENTRE_M = 0.0015


def settle_ends(design: Design, outline: Outline) -> Design:
    """The design with its unsaid neck ends as the outline asks for them.

    A half drawn to the flank of the neck is a cutaway half: where the maker chose no end for
    it, it ends at the block's flank, and a block of unsaid width is as wide as that flank
    is from the other. What was said stays.

    Parameters
    ----------
    design : Design
        As read; `Ends.neck_ends_assumed` and `Ends.neck_block_assumed` tell what is open.
    outline : Outline
        Of that design.
    """
    ends = design.ends
    drawn = {half.hand: _end_from_centre(half) for half in outline.halves}
    flanks = [distance for distance in drawn.values() if distance > _OFF_CENTRE_M]
    if not flanks:
        return design
    for hand in ends.neck_ends_assumed:
        if drawn[hand] > _OFF_CENTRE_M:
            if hand == "bass":
                ends = replace(ends, neck_end_bass="flank")
            else:
                ends = replace(ends, neck_end_treble="flank")
    if ends.neck_block_assumed:
        ends = replace(ends, neck_block_width_m=2.0 * min(flanks))
    return replace(design, ends=ends)


def _end_from_centre(half: Half) -> float:
    """How far from the centreline the drawn half ends. [m]"""
    piece = half.pieces[-1]
    return abs(float(piece.at(np.array([piece.length])).position[0, 1]))
