"""The halves of a posed body as an outline: hands, pieces, radii of a trace, exact scale."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rimwright.curves.piece import Similarity
from rimwright.instrument.drawings.recognise import Posed
from rimwright.instrument.drawings.recognise_arms import Arm, neck_between
from rimwright.instrument.drawings.recognise_half import ReadHalf
from rimwright.instrument.outline import (
    Finding,
    Half,
    Hand,
    Outline,
    PieceName,
    RadiusRange,
    RimPiece,
)

if TYPE_CHECKING:
    from rimwright.curves.trace import TracedCurve

RadiusKey = tuple[Hand, PieceName, str]


def assemble(
    posed: Posed,
    read: tuple[ReadHalf, ...],
    traced: tuple[TracedCurve | None, ...],
    *,
    treble_above: bool,
    exact_length_m: float | None,
    assumptions: tuple[str, ...],
    findings: tuple[Finding, ...],
) -> Outline:
    """The outline of a body laid along x, its treble turned to positive y.

    `read` holds the halves as if the treble were above, one for each arm.
    """
    length = posed.length_m
    if all(seen.cut for seen in read):
        # Neither side reaches the centreline: the body ends on the line between their ends.
        ends = [seen.half.pieces[-1].chain.end().position[0] for seen in read]
        length = neck_between(ends) - posed.tail_x_m
    scale = exact_length_m / length if exact_length_m else 1.0
    to_body = Similarity(scale=scale, mirror=not treble_above, shift=(-scale * posed.tail_x_m, 0.0))
    halves: dict[Hand, Half] = {}
    ranges: dict[RadiusKey, RadiusRange] = {}
    notes: list[Finding] = []
    for arm, seen in zip(posed.arms, read, strict=True):
        hand: Hand = "treble" if arm.above == treble_above else "bass"
        halves[hand] = _moved(seen.half, hand, to_body)
        notes.extend(Finding(f"{hand} half", True, note) for note in seen.notes)
        if fit := traced[arm.line]:
            ranges.update(_ranges(arm, seen, fit, scale, hand))
    if len(halves) == 1:
        (hand, half), *_ = halves.items()
        other: Hand = "bass" if hand == "treble" else "treble"
        halves[other] = _moved(half, other, Similarity(mirror=True))
        ranges.update({(other, name, bend): r for (_, name, bend), r in list(ranges.items())})
        assumptions = (*assumptions, "one half is drawn; it was mirrored for the other")
    return Outline(
        bass=halves["bass"],
        treble=halves["treble"],
        length_m=exact_length_m or length,
        assumptions=assumptions,
        findings=(*findings, *notes),
        noise_m=max((fit.noise_m * scale for fit in traced if fit), default=None),
        radius_ranges=ranges,
    )


def _moved(half: Half, hand: Hand, to: Similarity) -> Half:
    def piece(old: RimPiece) -> RimPiece:
        return RimPiece(hand, old.name, old.chain.transformed(to))

    back = piece(half.return_piece) if half.return_piece else None
    return Half(hand, piece(half.main), back, half.cutaway)


def _along(s: float, arm: Arm, read: ReadHalf, name: PieceName, whole: float) -> float:
    """A place on the traced line as arc length along a piece of the half. [m]"""
    along = s - arm.start_m if arm.end_m >= arm.start_m else arm.start_m - s
    if along < -1e-9:
        along += whole
    return along - (read.tip_m or 0.0) if name == "return" else along


def _ranges(
    arm: Arm, read: ReadHalf, traced: TracedCurve, scale: float, hand: Hand
) -> dict[RadiusKey, RadiusRange]:
    """The smallest radii of each piece of a traced half, with their ranges."""
    from rimwright.curves.trace import radius_range

    forward = arm.end_m >= arm.start_m
    # Above the centreline the inside lies to the right of the way from tail to neck.
    convex = (-1 if arm.above else 1) * (1 if forward else -1)
    stretches: list[tuple[PieceName, float, float]] = [("main", 0.0, read.end_m)]
    if read.tip_m is not None:
        stretches = [("main", 0.0, read.tip_m), ("return", read.tip_m, read.end_m)]
    whole = traced.chain.length
    found: dict[RadiusKey, RadiusRange] = {}
    for name, first, last in stretches:
        a, b = arm.start_m + first, arm.start_m + last
        if not forward:
            a, b = arm.start_m - last, arm.start_m - first
        if traced.closed:
            a, b = a % whole, b % whole
        for sign, bend in ((convex, "convex"), (-convex, "concave")):
            radius = radius_range(traced, sign, start_m=a, end_m=b)
            if radius is not None:
                found[(hand, name, bend)] = RadiusRange(
                    middle_m=radius.middle_m * scale,
                    low_m=radius.low_m * scale,
                    high_m=radius.high_m * scale,
                    s_m=_along(radius.s_m, arm, read, name, traced.chain.length) * scale,
                )
    return found
