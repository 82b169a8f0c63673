"""From the line that was drawn to the outside of the finished rim."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from rimwright.curves.chain import Chain
from rimwright.curves.joint import meet
from rimwright.curves.piece import Similarity
from rimwright.errors import RimwrightError
from rimwright.instrument.design import OutlineLine
from rimwright.instrument.outline import Half, Hand, Outline, PieceName, RadiusRange, RimPiece

#: Halves whose ends are nearer than this meet there. [m]
_MEETING = 1e-5
_WORDS: dict[OutlineLine, str] = {
    "inside": "the inside of the rim",
    "overhang": "the edge of the plates",
    "mould": "the mould",
}


def to_outside(
    outline: Outline,
    line: OutlineLine,
    *,
    side_thickness_m: float,
    overhang_m: float,
    mould_clearance_m: float,
) -> Outline:
    """The outside of the finished rim, when another line was drawn.

    Parameters
    ----------
    outline : Outline
        As drawn.
    line : {"outside", "inside", "overhang", "mould"}
        Which line that is.
    side_thickness_m : float
        Of the finished side, by which its inside is moved out. [m]
    overhang_m : float
        How far the plates stand over the rim. [m]
    mould_clearance_m : float
        How far the mould stands off the rim. [m]

    Returns
    -------
    Outline
        With the tail seam at the origin again; the same object for "outside".

    Raises
    ------
    FoldedOffsetError
        Where a bend is tighter than the line has to be moved.
    GeometryError
        Where a corner vanishes.
    """
    if line == "outside":
        return outline
    distance = {"inside": -side_thickness_m, "overhang": overhang_m, "mould": mould_clearance_m}[
        line
    ]
    if distance == 0.0:
        return outline
    try:
        return _moved(outline, distance)
    except RimwrightError as error:
        error.where = f"outline drawn as {_WORDS[line]}"
        raise


def offset_pieces(half: Half, distance: float) -> tuple[Chain, ...]:
    """Parallel lines of a half's pieces, `distance` inside its line (outside if negative). [m]

    At the tip of a pointed cutaway both are cut, or led on with the bend they end with, so
    that they meet in the corner of the parallel line.

    Raises
    ------
    FoldedOffsetError
        Where a bend is tighter than the distance.
    GeometryError
        Where the corner vanishes.
    """
    moved = tuple(piece.inside(distance) for piece in half.pieces)
    return meet(*moved) if len(moved) == 2 else moved


def _moved(outline: Outline, distance: float) -> Outline:
    bass = list(offset_pieces(outline.bass, distance))
    treble = list(offset_pieces(outline.treble, distance))
    # A drawn seam need not be quite smooth, and then the moved halves part or cross.
    seam, treble[0] = meet(bass[0].reversed(), treble[0])
    if seam.length != bass[0].length:
        bass[0] = seam.reversed()
    ends = [half.pieces[-1].chain.end().position[0] for half in outline.halves]
    if np.hypot(*(ends[0] - ends[1])) < _MEETING:
        bass[-1], back = meet(bass[-1], treble[-1].reversed())
        if back.length != treble[-1].length:
            treble[-1] = back.reversed()
    tail = bass[0].start().position[0]
    shift = Similarity(shift=(-float(tail[0]), -float(tail[1])))
    halves = {
        half.hand: _with_chains(half, [chain.transformed(shift) for chain in chains])
        for half, chains in ((outline.bass, bass), (outline.treble, treble))
    }
    neck = [
        float(halves[half.hand].pieces[-1].chain.end().position[0, 0])
        for half, end in zip(outline.halves, ends, strict=True)
        if abs(end[1]) < _MEETING
    ]
    # Without a half that reaches the centreline, tail and neck each move by the distance.
    length = max(neck) if neck else outline.length_m - 2.0 * distance
    return replace(
        outline,
        bass=halves["bass"],
        treble=halves["treble"],
        length_m=length,
        radius_ranges=_moved_ranges(outline, distance, halves),
    )


def _with_chains(half: Half, chains: list[Chain]) -> Half:
    pieces = [
        RimPiece(piece.hand, piece.name, chain)
        for piece, chain in zip(half.pieces, chains, strict=True)
    ]
    return replace(half, main=pieces[0], return_piece=pieces[1] if len(pieces) == 2 else None)


def _moved_ranges(
    outline: Outline, distance: float, halves: dict[Hand, Half]
) -> dict[tuple[Hand, PieceName, str], RadiusRange]:
    """Radii on the moved line: convex ones smaller by the distance, concave ones larger."""
    moved = {}
    for (hand, name, bend), radius in outline.radius_ranges.items():
        change = -distance if bend == "convex" else distance
        before = next(
            p for h in outline.halves for p in h.pieces if (p.hand, p.name) == (hand, name)
        )
        after = next(p for p in halves[hand].pieces if p.name == name)
        s = np.array([radius.s_m])
        place = float(s[0] - distance * before.turn_to(s)[0])
        if name == "return":
            # What was cut from, or led on at, the tip.
            place += after.length - before.inside(distance).length
        moved[hand, name, bend] = RadiusRange(
            middle_m=radius.middle_m + change,
            low_m=radius.low_m + change,
            high_m=radius.high_m + change,
            s_m=min(max(place, 0.0), after.length),
        )
    return moved
