"""What the chosen neck end adds to a drawn half, or takes off it."""

from __future__ import annotations

import numpy as np
import pytest

from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.errors import GeometryError
from rimwright.instrument.design import Ends, NeckEnd
from rimwright.instrument.ends import between_blocks, neck_cut
from rimwright.instrument.outline import Half, Outline, RimPiece

#: A body 400 mm long and 300 mm wide whose neck end is straight across.
LENGTH = 0.4
THICKNESS = 0.002


def _to_centreline(hand: str) -> Half:
    sign = 1.0 if hand == "treble" else -1.0
    tail = Arc((0.0, 0.0), sign * np.pi / 2, -sign / 0.15, 0.15 * np.pi / 2)
    along = Arc.line((0.15, sign * 0.15), (0.3, sign * 0.15))
    shoulder = Arc((0.3, sign * 0.15), 0.0, -sign / 0.1, 0.1 * np.pi / 2)
    across = Arc.line((LENGTH, sign * 0.05), (LENGTH, 0.0))
    return Half(hand, RimPiece(hand, "main", Chain((tail, along, shoulder, across))))


def _to_flank(hand: str, reach: float = 0.37, width: float = 0.028) -> Half:
    """Ends `reach` from the tail, `width` beside the centreline, running along it."""
    sign = 1.0 if hand == "treble" else -1.0
    whole = _to_centreline(hand).main.chain
    horn = Arc((0.3, sign * 0.15), 0.0, -sign / 0.02, 0.02 * np.pi)
    back = Arc.line((0.3, sign * 0.11), (0.25, sign * 0.11))
    scoop_radius = 0.5 * (0.11 - width)
    scoop = Arc((0.25, sign * 0.11), np.pi, sign / scoop_radius, scoop_radius * np.pi)
    last = Arc.line((0.25, sign * width), (reach, sign * width))
    chain = Chain((*whole.pieces[:2], horn, back, scoop, last))
    return Half(hand, RimPiece(hand, "main", chain), None, "rounded")


def _ends(choice: NeckEnd, **more: float) -> Ends:
    return Ends(
        neck_block_width_m=more.pop("width", 0.056),
        neck_block_length_m=0.05,
        neck_block_kind="bolt-on",
        tail_block_width_m=0.07,
        neck_end_bass=choice,
        neck_end_treble=choice,
        **more,
    )


@pytest.mark.parametrize("flipped", [False, True])
@pytest.mark.parametrize(
    ("choice", "plain", "cut"),
    [
        ("centreline", 0.0, 0.028),
        ("across_block", 0.028, 0.056),
        ("flank", -0.028, 0.030),
        ("first_touch", -0.028, -0.020),
        ("slots", -0.018, 0.010),
    ],
)
def test_each_choice_on_a_plain_and_a_cut_half(
    choice: NeckEnd, plain: float, cut: float, flipped: bool
) -> None:
    """Bass and treble in either role: nothing knows which side is the longer."""
    hands = ("treble", "bass") if flipped else ("bass", "treble")
    halves = (_to_centreline(hands[0]), _to_flank(hands[1]))
    by_hand = {half.hand: half for half in halves}
    outline = Outline(bass=by_hand["bass"], treble=by_hand["treble"], length_m=LENGTH)
    ends = _ends(choice, slot_depth_m=0.01)
    for half, expected in zip(halves, (plain, cut), strict=True):
        found = neck_cut(half, outline, ends, THICKNESS)
        # The cut half is drawn along the flank from the block's inner corner at 350 mm to
        # 370 mm, the block's front lies at 400 mm. Each crossing is found to 1 nm.
        assert found.neck_end_m == pytest.approx(expected, abs=3e-9)
        assert any("first touches" in line for line in found.warnings) == (choice == "first_touch")


def test_the_block_is_crossed_on_the_middle_line_of_a_round_neck() -> None:
    """On a round body of 200 mm the crossing is an arc, shorter inside by half the thickness."""
    halves = [
        Half(hand, RimPiece(hand, "main", Chain((Arc((0.0, 0.0), sign * np.pi / 2, -sign / 0.2,
                                                     0.2 * np.pi),))))
        for hand, sign in (("bass", -1.0), ("treble", 1.0))
    ]  # fmt: skip
    outline = Outline(bass=halves[0], treble=halves[1], length_m=0.4)
    found = neck_cut(halves[0], outline, _ends("across_block"), THICKNESS)
    angle = np.arcsin(0.028 / 0.2)
    assert found.neck_end_m == pytest.approx((0.2 - 0.001) * angle, abs=2e-9)


def test_a_side_drawn_short_of_the_block_is_pointed_out() -> None:
    outline = Outline(
        bass=_to_centreline("bass"), treble=_to_flank("treble", width=0.04), length_m=LENGTH
    )
    found = neck_cut(outline.treble, outline, _ends("flank"), THICKNESS)
    assert any("drawn to 12.0 mm from the neck block's flank" in line for line in found.warnings)


def test_slots_without_a_depth_are_pointed_out() -> None:
    outline = Outline(bass=_to_centreline("bass"), treble=_to_flank("treble"), length_m=LENGTH)
    found = neck_cut(outline.treble, outline, _ends("slots"), THICKNESS)
    assert found.neck_end_m == pytest.approx(0.0, abs=2e-9)
    assert any("without a depth" in line for line in found.warnings)


def test_linings_run_from_block_to_block_on_the_inside() -> None:
    half = _to_centreline("bass")
    ((start, end),) = between_blocks(half, _ends("centreline"), THICKNESS)
    inside = half.main.inside(THICKNESS)
    scale = np.array([start, end]) - THICKNESS * half.main.turn_to(np.array([start, end]))
    y = np.abs(inside.at(scale).position[:, 1])
    assert y == pytest.approx([0.035, 0.028], abs=1e-7)


def test_a_tail_block_wider_than_the_body_is_refused() -> None:
    ends = Ends(
        neck_block_width_m=0.056,
        neck_block_length_m=0.05,
        neck_block_kind="bolt-on",
        tail_block_width_m=0.5,
    )
    with pytest.raises(GeometryError, match="tail block 500 mm wide"):
        between_blocks(_to_centreline("bass"), ends, THICKNESS)
