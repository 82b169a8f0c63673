"""The halves of a posed body as an outline: hands, pieces, radii of a trace, exact scale."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from rimwright.curves.piece import Similarity
from rimwright.instrument.outline import (
    Finding,
    Half,
    Hand,
    Outline,
    PieceName,
    RadiusRange,
    RimPiece,
)
from rimwright.instrument.recognise import Arm, Posed
from rimwright.instrument.recognise_half import ReadHalf, read_half

if TYPE_CHECKING:
    from rimwright.curves.trace import TracedCurve

RadiusKey = tuple[Hand, PieceName, str]


def assemble(
    posed: Posed,
    traced: tuple[TracedCurve, ...],
    *,
    treble_above: bool,
    exact_length_m: float | None,
    assumptions: tuple[str, ...],
    findings: tuple[Finding, ...],
) -> Outline:
    """The outline of a body laid along x, its treble turned to positive y."""
    scale = exact_length_m / posed.length_m if exact_length_m else 1.0
    halves: dict[Hand, Half] = {}
    ranges: dict[RadiusKey, RadiusRange] = {}
    notes: list[Finding] = []
    for arm in posed.arms:
        hand: Hand = "treble" if arm.above == treble_above else "bass"
        to_body = Similarity(scale=scale, mirror=not treble_above)
        read = read_half(arm.chain.transformed(to_body), hand)
        halves[hand] = read.half
        notes.extend(Finding(f"{hand} half", True, note) for note in read.notes)
        if traced:
            mirrored = not treble_above
            ranges.update(_ranges(arm, read, traced[arm.line], scale, hand, mirrored=mirrored))
    if len(halves) == 1:
        (hand, half), *_ = halves.items()
        other: Hand = "bass" if hand == "treble" else "treble"
        halves[other] = _mirrored(half, other)
        ranges.update({(other, name, bend): r for (_, name, bend), r in ranges.items()})
        assumptions = (*assumptions, "one half is drawn; it was mirrored for the other")
    return Outline(
        bass=halves["bass"],
        treble=halves["treble"],
        length_m=exact_length_m or posed.length_m,
        assumptions=assumptions,
        findings=(*findings, *notes),
        noise_m=max(t.noise_m for t in traced) * scale if traced else None,
        radius_ranges=ranges,
    )


def _mirrored(half: Half, hand: Hand) -> Half:
    def piece(old: RimPiece) -> RimPiece:
        return replace(old, hand=hand, chain=old.chain.mirrored())

    back = piece(half.return_piece) if half.return_piece else None
    return Half(hand, piece(half.main), back, half.cutaway)


def _ranges(
    arm: Arm, read: ReadHalf, traced: TracedCurve, scale: float, hand: Hand, *, mirrored: bool
) -> dict[RadiusKey, RadiusRange]:
    """The smallest radii of each piece of a traced half, with their ranges."""
    from rimwright.curves.trace import radius_range

    forward = arm.end_m >= arm.start_m
    convex = 1 if hand == "bass" else -1
    convex *= (-1 if mirrored else 1) * (1 if forward else -1)
    stretches: list[tuple[PieceName, float, float]] = [("main", 0.0, read.end_m)]
    if read.tip_m is not None:
        stretches = [("main", 0.0, read.tip_m), ("return", read.tip_m, read.end_m)]
    whole = traced.chain.length
    found: dict[RadiusKey, RadiusRange] = {}
    for name, first, last in stretches:
        a, b = arm.start_m, arm.start_m
        a, b = (a + first / scale, b + last / scale) if forward else (
            a - last / scale, b - first / scale
        )
        if traced.closed:
            a, b = a % whole, b % whole
        for sign, bend in ((convex, "convex"), (-convex, "concave")):
            radius = radius_range(traced, sign, start_m=a, end_m=b)
            if radius is not None:
                found[(hand, name, bend)] = RadiusRange(
                    middle_m=radius.middle_m * scale,
                    low_m=radius.low_m * scale,
                    high_m=radius.high_m * scale,
                )
    return found
