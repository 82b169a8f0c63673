"""One body drawn in many careless ways: each must come back as the same outline."""

import math

import pytest

from drawn import (
    BASS_M,
    FLANK,
    NECK,
    TREBLE_M,
    Plan,
    backwards,
    check_plain,
    check_wren,
    flat_neck,
    flipped,
    half,
)
from rimwright.instrument.drawings.strokes import Segment

POSES = {
    "as drawn": {},
    "neck up": {"turn": math.pi / 2},
    "neck down": {"turn": -math.pi / 2, "shift": (900.0, -40.0)},
    "neck left": {"turn": math.pi},
    "a little turned and far off": {"turn": 0.03, "shift": (12345.6, -7890.1)},
    "askew": {"turn": 0.7},
    "flipped": {"mirror": True},
    "in inches": {"scale": 1 / 25.4, "units": 1},
    "in metres": {"scale": 1e-3, "units": 6},
}


@pytest.mark.parametrize("pose", POSES.values(), ids=POSES.keys())
@pytest.mark.parametrize("centreline", [True, False], ids=["centreline", "none"])
def test_loose_pieces_in_any_order_make_the_wren(tmp_path, pose, centreline):
    plan = Plan(**pose)
    plan.pieces(half("bass") + half("treble"), shuffle=3)
    if centreline:
        plan.line((-15, 0), (490, 0))
    outline = plan.read(tmp_path)
    check_wren(outline)
    # Seen from the back when it is not flipped, from the face when it is.
    view = "face" if pose.get("mirror") else "back"
    assert any(f"seen from the {view}" in said for said in outline.assumptions)


@pytest.mark.parametrize("pose", POSES.values(), ids=POSES.keys())
def test_a_closed_polyline_without_centreline_is_cut_where_it_mirrors(tmp_path, pose):
    plan = Plan(**pose)
    plan.polyline(half("bass") + backwards(flipped(half("bass"))), closed=True)
    outline = plan.read(tmp_path)
    check_plain(outline, 1e-5)
    assert outline.assumptions == ()


@pytest.mark.parametrize("gap", [0.01, 0.1, 0.5], ids=str)
def test_small_gaps_are_closed_and_told(tmp_path, gap):
    plan = Plan()
    plan.pieces(half("bass") + half("treble"), shuffle=5, gap=gap)
    plan.line((-15, 0), (490, 0), layer="centre line")
    outline = plan.read(tmp_path)
    check_wren(outline, 2e-3 * gap + 1e-5)
    assert any("gaps" in finding.what for finding in outline.findings)


@pytest.mark.parametrize("name", ["bass", "treble"])
@pytest.mark.parametrize("line", [None, (-10, 480), (0, 470)], ids=str)
def test_one_half_is_mirrored_and_told(tmp_path, name, line):
    plan = Plan(turn=0.4)
    segments = half("bass")
    plan.pieces(segments if name == "bass" else flipped(segments), shuffle=1)
    if line:
        plan.line((line[0], 0), (line[1], 0))
    outline = plan.read(tmp_path)
    check_plain(outline)
    assert any("mirrored" in said for said in outline.assumptions)


def test_a_half_closed_by_its_centreline_is_a_half(tmp_path):
    plan = Plan()
    plan.polyline([*half("bass"), Segment(NECK, (0.0, 0.0))], closed=True)
    outline = plan.read(tmp_path)
    check_plain(outline)
    assert any("mirrored" in said for said in outline.assumptions)


def test_a_half_with_cutaway_ends_at_its_flank(tmp_path):
    plan = Plan()
    plan.pieces(half("treble"))
    plan.line((-10, 0), (480, 0))
    outline = plan.read(tmp_path)
    assert outline.treble.main.length == pytest.approx(TREBLE_M, abs=2e-5)
    assert outline.treble.cutaway == "rounded"


def test_halves_on_layers_of_their_own_that_do_not_touch(tmp_path):
    plan = Plan()
    for name, segments in (("bass", half("bass")), ("treble", half("treble"))):
        a = segments[0].start
        near = [Segment((a[0] + 0.01, a[1] + (0.8 if name == "treble" else -0.8)), segments[0].end,
                        segments[0].bulge), *segments[1:]]  # fmt: skip
        plan.polyline(near, layer=name)
    plan.line((-10, 0), (480, 0), layer="axis")
    outline = plan.read(tmp_path)
    check_wren(outline, 1.2e-3)


def test_a_flat_across_the_neck_block_is_no_horn(tmp_path):
    segments, corner = flat_neck()
    side = [*segments, Segment(corner, (corner[0], 0.0))]
    plan = Plan()
    plan.polyline(side + backwards(flipped(side)), closed=True)
    outline = plan.read(tmp_path)
    assert outline.length_m == pytest.approx(corner[0] * 1e-3, abs=1e-6)
    for one in outline.halves:
        assert one.cutaway == "none"
        assert one.return_piece is None
        assert one.main.length == pytest.approx(sum(s.piece().length for s in side) * 1e-3)


def test_an_outline_open_across_the_block_ends_at_both_flanks(tmp_path):
    segments, corner = flat_neck(60.0)
    plan = Plan(turn=math.pi / 2)
    plan.pieces(segments + flipped(segments), shuffle=2)
    outline = plan.read(tmp_path)
    assert outline.length_m == pytest.approx(corner[0] * 1e-3, abs=1e-6)
    length = sum(s.piece().length for s in segments) * 1e-3
    assert [one.main.length for one in outline.halves] == pytest.approx([length, length])
    assert outline.bass.main.chain.end().position[0, 1] == pytest.approx(-0.03, abs=1e-5)


def test_a_cutaway_closed_across_the_block_ends_at_the_flank(tmp_path):
    plan = Plan()
    loop = [*backwards(half("bass")), *half("treble"), Segment(FLANK, (470.0, FLANK[1])),
            Segment((470.0, FLANK[1]), NECK)]  # fmt: skip
    plan.polyline(loop, closed=True)
    outline = plan.read(tmp_path)
    # The scoop runs on along the block's flank; the line across the block is left.
    along = (470.0 - FLANK[0]) * 1e-3
    assert outline.treble.main.length == pytest.approx(TREBLE_M + along, abs=2e-5)
    assert outline.bass.main.length == pytest.approx(BASS_M, abs=2e-5)
    assert outline.length_m == pytest.approx(0.47, abs=2e-5)


def test_a_neck_slot_and_heel_drawn_with_the_outline_are_left(tmp_path):
    segments, corner = flat_neck(50.0)
    # The neck stands out of the body as part of the same loop.
    side = [*segments, Segment(corner, (corner[0] + 90.0, corner[1]))]
    tip = Segment(side[-1].end, (side[-1].end[0], -side[-1].end[1]))
    plan = Plan()
    plan.polyline([*side, tip, *backwards(flipped(side))], closed=True)
    outline = plan.read(tmp_path)
    length = sum(s.piece().length for s in segments) * 1e-3
    assert [one.main.length for one in outline.halves] == pytest.approx([length, length], abs=1e-6)
    assert outline.length_m == pytest.approx(corner[0] * 1e-3, abs=1e-6)


def test_the_pointed_cutaway_in_one_loop_has_its_corner(tmp_path):
    plan = Plan(turn=-math.pi / 2)
    loop = [*backwards(half("bass", "plover")), *half("treble", "plover"),
            *half("treble-return", "plover")]  # fmt: skip
    plan.polyline([*loop, Segment(loop[-1].end, loop[0].start)], closed=True)
    outline = plan.read(tmp_path)
    treble = outline.treble
    assert treble.cutaway == "pointed"
    assert treble.return_piece is not None
    assert treble.main.length == pytest.approx(0.4118266, abs=1e-6)
    assert treble.return_piece.length == pytest.approx(0.0838936, abs=1e-6)
    turn = treble.return_piece.chain.start().heading - treble.main.chain.end().heading
    assert abs(math.degrees(turn[0]) % 360) in (
        pytest.approx(102.2, abs=0.05),
        pytest.approx(360 - 102.2, abs=0.05),
    )
