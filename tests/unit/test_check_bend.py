"""The bend check of whole bodies, made of arcs so that every figure can be told by hand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from rimwright.bending.capacity import capacity
from rimwright.bending.check import check_bend
from rimwright.bending.check_line import RUN_OUT, STEP
from rimwright.bending.check_words import kept_in_words
from rimwright.bending.parameters import DEFAULT
from rimwright.bending.section import Section
from rimwright.bending.thickness import advise_thickness, practice_for
from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.instrument.design import (
    Design,
    Drawing,
    Ends,
    OutlineSource,
    Plate,
    Plates,
    Sides,
    Strip,
    ThinnedZone,
)
from rimwright.instrument.outline import Half, Outline, RadiusRange, RimPiece
from rimwright.sides.develop import develop_sides
from rimwright.wood.catalogue import find

ROSEWOOD = find("Indian rosewood")
PLAIN = ((150, 60), (80, 70), (-111, 60), (70, 60), (150, 30))
CUT = ((150, 60), (80, 70), (-111, 60), (100, 35), (22, 80), (-34, 95))


def _side(steps, hand):
    pieces, start, heading = [], (0.0, 0.0), -np.pi / 2
    for radius, degrees in steps:
        length = abs(radius) * 1e-3 * np.radians(degrees)
        piece = Arc(start, heading, 1e3 / radius, length)
        end = piece.at(np.array([length]))
        start = float(end.position[0, 0]), float(end.position[0, 1])
        heading = float(end.heading[0])
        pieces.append(piece)
    chain = Chain(tuple(pieces))
    return RimPiece(hand, "main", chain if hand == "bass" else chain.mirrored())


def body(treble=CUT, cutaway="rounded"):
    return Outline(
        bass=Half("bass", _side(PLAIN, "bass")),
        treble=Half("treble", _side(treble, "treble"), cutaway=cutaway),
        length_m=0.47,
    )


def design(**sides):
    dome = Plate(shape="dome", radius_m=4.5)
    return Design(
        name="Trial",
        outline=OutlineSource(source=Drawing(path=Path("trial.svg"))),
        plates=Plates(top=Plate(), back=dome, depth_tail_m=0.1, depth_neck_m=0.085),
        ends=Ends(
            neck_block_width_m=0.056,
            neck_block_length_m=0.05,
            neck_block_kind="block",
            tail_block_width_m=0.06,
        ),
        sides=Sides(**{"thickness_m": 0.0021, **sides}),
    )


def run(outline=None, made=None, wood=ROSEWOOD):
    outline = outline or body()
    made = made or design()
    return check_bend(outline, develop_sides(outline, made), made, DEFAULT, wood)


def test_strains_at_the_three_bends_by_hand():
    treble = run().pieces[1]
    section = Section.of(DEFAULT)
    for name, radius, sense in (("horn", 22, -1), ("scoop", 34, 1), ("waist", 111, 1)):
        place = next(place for place in treble.tight_places if place.name == name)
        i = int(np.argmin(np.abs(treble.s_outer - place.s_outer_m)))
        bend = 2.1 / (radius + sense * 1.05)
        assert treble.strain_middle[i] == pytest.approx(bend / 2, rel=1e-9)
        assert treble.strain_tension[i] == pytest.approx(
            float(section.tension_strain(np.array([bend]))[0]), rel=1e-9
        )
        assert place.radius_m == pytest.approx(radius * 1e-3)
        assert place.utilisation == pytest.approx(treble.utilisation[i])


def test_stations_are_close_and_hold_the_joints():
    outline = body()
    for piece, rim in zip(run(outline).pieces, outline.pieces, strict=True):
        assert np.diff(piece.s_outer).max() <= STEP + 1e-12
        for joint in rim.chain.stations:
            assert np.abs(piece.s_outer - joint).min() < 1e-12


def test_tight_places_come_worst_first_and_in_words():
    treble = run().pieces[1]
    assert [place.name for place in treble.tight_places[:2]] == ["horn", "scoop"]
    middle = treble.s_outer[-1] - 0.5 * 0.034 * np.radians(95)
    scoop = treble.tight_places[1]
    assert scoop.s_outer_m == pytest.approx(middle, abs=STEP)
    assert scoop.words == "scoop, 34 mm radius, 28 mm before the neck end"
    assert not scoop.convex
    used = [place.utilisation for place in treble.tight_places]
    assert used == sorted(used, reverse=True)


def test_zones_lie_on_the_face_in_tension():
    zones = {zone.name: zone for zone in run().pieces[1].zones}
    assert zones["horn"].tension_face == "outside"
    assert zones["horn"].kind == "tape"
    assert zones["scoop"].tension_face == "inside"
    assert zones["scoop"].kind == "support"
    assert zones["horn"].to_outer_m <= zones["scoop"].from_outer_m
    assert "waist" not in zones


def test_zone_limits_on_the_middle_line():
    outline, made = body(), design()
    rim = outline.treble.main
    for zone in run(outline, made).pieces[1].zones:
        turn = rim.turn_to(np.array([zone.to_outer_m]))[0]
        assert zone.to_middle_m == pytest.approx(zone.to_outer_m - 0.00105 * turn, abs=1e-9)


def test_greatest_thickness_keeps_exactly_the_margin():
    outline = body()
    greatest = run(outline).pieces[1].greatest_thickness_m
    at_limit = run(outline, design(thickness_m=greatest)).pieces[1]
    assert at_limit.utilisation.max() == pytest.approx(0.85, rel=1e-9)


def test_rest_of_the_side_may_be_thicker_when_the_horn_alone_is_thinned():
    treble = run(made=design(thickness_m=0.00216)).pieces[1]
    assert treble.greatest_thickness_m < 0.00216
    assert treble.greatest_thickness_elsewhere_m > 0.0029
    assert run(made=design(thickness_m=0.0018)).pieces[1].greatest_thickness_elsewhere_m is None


def test_greatest_thickness_is_told_in_both_units():
    treble = run(made=design(thickness_m=0.00216)).pieces[1]
    told = kept_in_words(treble)
    assert told.startswith("treble side: up to 2.04 mm (80 thou) keeps the margin; away from")
    assert kept_in_words(run(wood=None).pieces[1]) == ""


def test_thinned_zone_runs_out_gently_and_only_on_its_side():
    zone = ThinnedZone(hand="treble", from_m=0.40, to_m=0.45, thickness_m=0.0018)
    bass, treble = run(made=design(thinned=(zone,))).pieces
    assert np.all(bass.thickness == 0.0021)
    inside = (treble.s_outer >= 0.40) & (treble.s_outer <= 0.45)
    assert np.all(treble.thickness[inside] == 0.0018)
    halfway = np.interp(0.40 - RUN_OUT / 2, treble.s_outer, treble.thickness)
    assert halfway == pytest.approx(0.00195, abs=2e-6)
    assert treble.thickness[0] == 0.0021


def test_without_a_wood_there_is_neither_capacity_nor_advice():
    check = run(wood=None)
    for piece in check.pieces:
        assert piece.capacity is None
        assert piece.utilisation is None
        assert piece.greatest_thickness_m is None
        assert all(place.utilisation is None for place in piece.tight_places)
    assert any("no wood named" in words for words in check.rests_on)
    assert [zone.name for zone in check.pieces[1].zones] == ["horn", "scoop"]


def test_warnings_say_what_would_do():
    warned = run(made=design(thickness_m=0.0024)).pieces[1].warnings
    assert len(warned) == 1
    assert warned[0].startswith("horn, 22 mm radius")
    assert "past the margin of 85%" in warned[0]
    poor = run(wood=find("mahogany")).pieces[1].warnings
    assert any("likelier to break than not" in words for words in poor)
    assert run(made=design(thickness_m=0.0018)).pieces[1].warnings == ()


def test_figure_and_grain_reach_the_check():
    plain = run().pieces[1].capacity.middle
    curly = run(made=design(figure="strong", grain_angle_rad=np.radians(10))).pieces[1]
    assert curly.capacity.middle < 0.7 * plain
    assert "strong figure leaves 75%" in curly.capacity.note


def test_loose_layers_bend_each_on_its_own_radius():
    strips = (
        Strip(name="binding", wood="maple", thickness_m=0.0016, height_m=0.006),
        Strip(
            name="purfling", wood=None, thickness_m=0.0006, height_m=0.003, count=3, place="inside"
        ),
        Strip(name="line", wood=None, thickness_m=0.0005, height_m=0.001, place="beside"),
    )
    check = run(made=replace(design(), strips=strips))
    assert len(check.layers) == 6
    binding, purfling, line = check.layers[3:]
    # Outside the horn: its own outer line at 23.6 mm. The innermost purfling at 18.7 mm.
    assert binding.strain_middle_max == pytest.approx(0.8 / (23.6 - 0.8), rel=1e-9)
    assert purfling.strain_middle_max == pytest.approx(0.3 / (22 - 2.1 - 1.2 - 0.3), rel=1e-9)
    assert line.strain_middle_max == pytest.approx(0.25 / 21.75, rel=1e-9)
    assert "horn" in binding.words
    assert binding.utilisation == pytest.approx(
        binding.strain_tension_max / capacity(find("maple"), DEFAULT).middle
    )
    assert purfling.utilisation is None
    # All far under the side's own strain, which a glued bundle would exceed.
    assert binding.strain_middle_max < check.pieces[1].strain_middle.max()


def test_a_trace_is_read_over_twenty_millimetres_and_carries_its_range():
    span = RadiusRange(middle_m=0.112, low_m=0.101, high_m=0.125, s_m=0.315)
    traced = replace(body(), noise_m=1e-4, radius_ranges={("bass", "main", "concave"): span})
    piece = run(traced).pieces[0]
    waist = next(place for place in piece.tight_places if place.name == "waist")
    assert "about 112 mm radius (101 mm to 125 mm by the trace)" in waist.words
    # The 31 mm long horn arc keeps its curvature at its middle only.
    horn = run(traced).pieces[1].tight_places[0]
    assert horn.words.startswith("horn, about 22 mm radius,")
    assert any("trace" in words for words in run(traced).rests_on)


def test_a_trace_that_might_be_too_tight_is_told():
    span = RadiusRange(middle_m=0.024, low_m=0.017, high_m=0.030, s_m=0.435)
    traced = replace(body(), noise_m=1e-4, radius_ranges={("treble", "main", "convex"): span})
    warned = run(traced, design(thickness_m=0.0019)).pieces[1].warnings
    assert any("at the trace's smallest radius" in words for words in warned)


def test_cupping_is_worst_where_the_side_is_most_of_a_plate():
    treble = run().pieces[1]
    place = treble.cupping
    horn = next(place for place in treble.tight_places if place.name == "horn")
    i = int(np.argmin(np.abs(treble.s_outer - place.s_outer_m)))
    assert treble.curvature[i] == pytest.approx(1 / 0.022)
    assert abs(place.s_outer_m - horn.s_outer_m) < 0.02
    assert place.searle > 100
    assert 0.08 < place.caul_width_m < 0.1
    assert "horn" in place.words


def test_advice_is_set_by_the_horn_and_by_practice():
    outline = body()
    tight = advise_thickness(outline, replace(design(), show="inch"), ROSEWOOD, DEFAULT)
    assert tight.bend_decides
    assert round(tight.thickness_m / 25.4e-6) == 80
    assert "horn" in tight.words
    assert "rest could stay 2.16 mm (85 thou)" in tight.words
    ordinary = advise_thickness(
        body(PLAIN, "none"), replace(design(), show="inch"), ROSEWOOD, DEFAULT
    )
    assert not ordinary.bend_decides
    assert round(ordinary.thickness_m / 25.4e-6) == 85


def test_advice_never_goes_under_what_makers_use_but_says_so():
    advice = advise_thickness(body(), design(), find("mahogany"), DEFAULT)
    assert advice.thickness_m == pytest.approx(0.0018)
    assert advice.greatest_m < 0.0012
    assert "thinner than makers use" in advice.warnings[0]


@pytest.mark.parametrize(("length", "ordinary_mm"), [(0.5, 2.159), (0.33, 1.8), (0.27, 1.5)])
def test_practice_goes_by_size(length, ordinary_mm):
    assert practice_for(length).ordinary_m * 1e3 == pytest.approx(ordinary_mm)


def test_two_runs_are_equal_figure_for_figure():
    first, second = run(), run()
    assert first.rests_on == second.rests_on
    for one, other in zip(first.pieces, second.pieces, strict=True):
        assert one.tight_places == other.tight_places
        assert np.array_equal(one.strain_tension, other.strain_tension)
