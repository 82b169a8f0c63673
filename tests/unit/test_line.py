"""Lines other than the outside of the rim, brought to it."""

import math
from dataclasses import replace

import numpy as np
import pytest

from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.curves.joint import meet
from rimwright.errors import FoldedOffsetError, GeometryError
from rimwright.instrument.design import ArcList, ArcStep, Cutaway, Landmarks
from rimwright.instrument.line import offset_pieces, to_outside
from rimwright.instrument.measures.arcs import outline_from_arcs
from rimwright.instrument.measures.landmarks import outline_from_landmarks
from rimwright.instrument.outline import RadiusRange

BODY = Landmarks(
    body_length_m=0.350,
    lower_width_m=0.256,
    lower_station_m=0.090,
    waist_width_m=0.166,
    waist_station_m=0.206,
    upper_width_m=0.196,
    upper_station_m=0.276,
    cutaway=Cutaway(
        kind="pointed",
        depth_m=0.035,
        horn_radius_m=None,
        scoop_radius_m=0.038,
        neck_half_width_m=0.024,
    ),
)


def moved(outline, line, **distances):
    given = {"side_thickness_m": 0.0, "overhang_m": 0.0, "mould_clearance_m": 0.0} | distances
    return to_outside(outline, line, **given)


def test_the_outside_is_left_as_it_is():
    outline = outline_from_landmarks(BODY)
    assert moved(outline, "outside", side_thickness_m=0.002) is outline


def test_a_drum_drawn_inside_grows_by_the_side_all_round():
    drum = outline_from_arcs(ArcList(bass=(ArcStep(radius_m=0.1, sweep_rad=math.pi),)))
    outside = moved(drum, "inside", side_thickness_m=0.002)
    assert outside.length_m == pytest.approx(0.204, abs=1e-12)
    assert outside.bass.main.length == pytest.approx(math.pi * 0.102, abs=1e-12)
    assert outside.bass.main.chain.start().position[0] == pytest.approx([0.0, 0.0], abs=1e-12)
    # Still one arc.
    assert [type(piece) for piece in outside.bass.main.chain.pieces] == [Arc]


@pytest.mark.parametrize("line", ["inside", "overhang", "mould"])
def test_there_and_back_over_a_pointed_cutaway(line):
    outline = outline_from_landmarks(BODY)
    distance = -0.003 if line == "inside" else 0.003
    named = {"inside": "side_thickness_m", "overhang": "overhang_m", "mould": "mould_clearance_m"}
    there = moved(outline, line, **{named[line]: 0.003})
    assert there.length_m == pytest.approx(outline.length_m - 2.0 * distance, abs=1e-12)
    back = moved(
        there,
        "inside" if line != "inside" else "overhang",
        side_thickness_m=0.003,
        overhang_m=0.003,
    )
    # What was trimmed comes back as an arc with the bend that was left: a few nanometres.
    for before, after in zip(outline.pieces, back.pieces, strict=True):
        assert after.length == pytest.approx(before.length, abs=1e-8)
        s = np.linspace(0.0, before.length, 40)
        assert after.chain.at(s).position == pytest.approx(before.chain.at(s).position, abs=1e-8)


@pytest.mark.parametrize("distance", [0.004, 0.002, -0.002, -0.004])
def test_the_tip_stays_one_corner_at_the_distance_from_both_lines(distance):
    half = outline_from_landmarks(BODY).treble
    main, back = offset_pieces(half, distance)
    tip = main.end().position[0]
    assert back.start().position[0] == pytest.approx(tip, abs=1e-10)
    for piece in half.pieces:
        # The old line is led on with its last bend, so that the tip has a foot on it.
        chain = piece.chain
        frame = chain.end() if piece.name == "main" else chain.start()
        radius = 1.0 / frame.curvature[0]
        centre = frame.position[0] + radius * frame.normal[0]
        if distance < 0 or piece.name == "return":
            gap = abs(np.hypot(*(tip - centre)) - abs(radius))
            assert gap == pytest.approx(abs(distance), abs=1e-9)
    # From the inside of the body the horn grows, from the outside it shrinks.
    grown = tip[0] > half.main.chain.end().position[0, 0]
    assert grown == (distance < 0)


def test_halves_that_meet_at_an_angle_meet_again_on_the_centreline():
    # A tail drawn as a shallow point.
    bass = Chain((Arc((0.0, 0.0), math.radians(-80), 10.0, 0.3),))
    drum = outline_from_arcs(ArcList(bass=(ArcStep(radius_m=0.1, sweep_rad=math.pi),)))
    piece = replace(drum.bass.main, chain=bass)
    leaf = replace(
        drum,
        bass=replace(drum.bass, main=piece),
        treble=replace(drum.treble, main=replace(drum.treble.main, chain=bass.mirrored())),
    )
    outside = moved(leaf, "inside", side_thickness_m=0.002)
    for half in outside.halves:
        assert half.main.chain.start().position[0] == pytest.approx([0.0, 0.0], abs=1e-9)
    assert outside.bass.main.length == pytest.approx(outside.treble.main.length, abs=1e-9)


def test_traced_radii_move_along():
    drum = outline_from_arcs(ArcList(bass=(ArcStep(radius_m=0.1, sweep_rad=math.pi),)))
    ranges = {
        ("bass", "main", "convex"): RadiusRange(
            middle_m=0.1, low_m=0.095, high_m=0.105, s_m=0.05 * math.pi
        ),
        ("bass", "main", "concave"): RadiusRange(
            middle_m=0.2, low_m=0.19, high_m=0.21, s_m=0.05 * math.pi
        ),
    }
    outside = moved(replace(drum, radius_ranges=ranges), "inside", side_thickness_m=0.002)
    convex = outside.radius_ranges["bass", "main", "convex"]
    assert (convex.low_m, convex.middle_m, convex.high_m) == pytest.approx((0.097, 0.102, 0.107))
    assert convex.s_m == pytest.approx(0.051 * math.pi)
    assert outside.radius_ranges["bass", "main", "concave"].middle_m == pytest.approx(0.198)


def test_too_thick_a_side_is_refused_with_the_radius_and_the_line():
    with pytest.raises(FoldedOffsetError, match=r"plates.*47\.\d mm radius.*above 60\.0 mm"):
        moved(outline_from_landmarks(BODY), "overhang", overhang_m=0.060)


def test_lines_that_no_longer_meet_are_refused():
    one = Chain((Arc.line((0, 0), (1, 0)),))
    with pytest.raises(GeometryError, match="no longer meet"):
        meet(one, Chain((Arc.line((1, 0.1), (2, 0.1)),)))
