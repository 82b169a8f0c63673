"""Forms, rams and cauls of the given bodies: would a maker saw exactly this?"""

from dataclasses import replace

import numpy as np
import pytest
from shapely import Point as ShapelyPoint
from shapely.affinity import translate

from rimwright.curves.arc import Arc
from rimwright.instrument.design import (
    Cutaway,
    Landmarks,
)
from rimwright.instrument.measures.landmarks import outline_from_landmarks
from sawn import BETWEEN, OUTSIDE, SIZE, outline_of, polygon, sharpest, tooling


@pytest.mark.parametrize("body", ["wren", "plover", "curlew"])
def test_every_part_is_a_closed_loop_that_can_be_sawn(body, request):
    for part in request.getfixturevalue(body).parts:
        shape = polygon(part)
        assert shape.is_valid, part.name
        # Strong: what is left after 4 mm are taken off all round is still one piece.
        core = shape.buffer(-0.004)
        assert core.geom_type == "Polygon", part.name
        assert core.area > 0.4 * shape.area, part.name
        # Not spiky: no corner sharper than 55 degrees.
        assert sharpest(part.outline) > np.radians(55.0), part.name
        ends = part.outline.start().position, part.outline.end().position
        assert np.allclose(*ends, atol=1e-9), part.name


def test_parts_that_belong_together_are_all_there(wren, plover, curlew):
    names = {part.name for part in wren.parts}
    assert names >= {"form-bass", "form-treble", "ram-waist-bass", "ram-waist-treble",
                     "ram-scoop-treble", "caul-horn-treble", "caul-lower-bout-bass",
                     "caul-upper-bout-bass", "mould-bass", "mould-treble", "mould-joint",
                     "spreader-waist-bass", "spreader-lower-bout-treble"}  # fmt: skip
    names = {part.name for part in plover.parts}
    assert {"form-treble", "form-treble-return", "ram-scoop-treble-return"} <= names
    assert not any("scoop" in part.name or "horn" in part.name for part in curlew.parts)
    for made in (wren, plover, curlew):
        names = [part.name for part in made.parts]
        assert len(set(names)) == len(names)


def test_the_form_lies_inside_the_rim_by_side_and_stack_and_keeps_its_arcs(wren):
    outline = outline_of("wren")
    for half in outline.halves:
        part = wren.part(f"form-{half.hand}")
        s = np.linspace(0.0, half.main.length, 61)
        frame = half.main.chain.at(s)
        inside = -1.0 if half.hand == "treble" else 1.0
        expected = frame.position + inside * (0.0021 + BETWEEN) * frame.normal
        turned = half.main.turn_to(s)
        found = part.working.at(s - (0.0021 + BETWEEN) * turned)
        # A thousandth of a micrometre: the offset is exact, only rounding is left.
        np.testing.assert_allclose(found.position, expected, atol=1e-9)
        assert all(isinstance(piece, Arc) for piece in part.outline.pieces)
        assert part.stack_m == pytest.approx(BETWEEN)
    assert wren.part("form-treble").least_radius_m == pytest.approx(0.022 - 0.0021 - BETWEEN)


def test_a_main_piece_that_ends_aslant_has_no_spike_at_its_base():
    tip = Cutaway(kind="pointed", depth_m=0.035, horn_radius_m=None, scoop_radius_m=0.038,
                  neck_half_width_m=0.024)  # fmt: skip
    body = Landmarks(
        body_length_m=0.35, lower_width_m=0.256, lower_station_m=0.09, waist_width_m=0.166,
        waist_station_m=0.206, upper_width_m=0.196, upper_station_m=0.276, cutaway=tip,
    )  # fmt: skip
    made = tooling(outline_from_landmarks(body))
    for part in made.parts:
        assert sharpest(part.outline) > np.radians(55.0), part.name


def test_the_form_runs_straight_on_for_trim_and_clamp(wren):
    part = wren.part("form-bass")
    low, high = part.outline.points(1e-4).min(axis=0), part.outline.points(1e-4).max(axis=0)
    assert high[1] == pytest.approx(0.045)  # 20 mm of trim and 25 mm of clamp past the tail
    assert low[1] == pytest.approx(-0.178 + 0.0021 + BETWEEN)
    kinds = [piece.curvature == 0.0 for piece in part.outline.pieces]
    assert kinds[0]
    assert sum(kinds) == 3  # both ends and the base
    longer = tooling(outline_of("wren"), replace(SIZE, neck_end_m=0.028))
    neck = longer.part("form-bass").outline.points(1e-4)[:, 1].max()
    assert neck == pytest.approx(0.045 + 0.028)


def test_the_waist_ram_and_the_form_leave_exactly_the_bundle_between(wren):
    outline = outline_of("wren")
    for hand, place in (("bass", "waist"), ("treble", "waist"), ("treble", "scoop")):
        ram = wren.part(f"ram-{place}-{hand}")
        form = polygon(wren.part(f"form-{hand}"))
        gap = 0.0021 + BETWEEN + OUTSIDE
        assert polygon(ram).distance(form) == pytest.approx(gap, abs=2e-5)
        for point in ram.working.points(1e-4)[::7]:
            assert form.distance(ShapelyPoint(point)) == pytest.approx(gap, abs=5e-5)
    assert wren.part("ram-scoop-treble").least_radius_m == pytest.approx(0.034 - OUTSIDE)
    assert outline.treble.main.tightest(convex=False)[0] == pytest.approx(0.034, rel=1e-6)


@pytest.mark.parametrize("body", ["wren", "plover", "curlew"])
def test_rams_come_in_from_the_flat_strip_without_striking_anything(body, request):
    made = request.getfixturevalue(body)
    assert not [w for w in made.warnings if "clear the bundle" in w]
    for ram in made.rams:
        part = made.part(ram.name)
        piece = "" if ram.piece == "main" else "-return"
        form = polygon(made.part(f"form-{ram.hand}{piece}"))
        way = np.array([np.cos(ram.direction_rad), np.sin(ram.direction_rad)])
        assert 0.005 < ram.travel_m < 0.1
        for share in (0.25, 0.5, 1.0):
            back = -share * ram.travel_m * way
            moved = translate(polygon(part), *back)
            assert moved.distance(form) > 0.0021 + BETWEEN + OUTSIDE - 4e-4
        # Just off the flat strip: the form's hull no longer reaches it, less the stack.
        flat = form.convex_hull.buffer(0.0021 + BETWEEN + OUTSIDE - 5e-4)
        clear = translate(polygon(part), *(-(ram.travel_m + 1e-3) * way))
        assert not clear.intersects(flat)
        assert translate(polygon(part), *(-(ram.travel_m - 4e-3) * way)).intersects(flat)


def test_the_waist_ram_travels_square_to_the_centreline(wren):
    for hand, direction in (("bass", np.pi / 2), ("treble", -np.pi / 2)):
        ram = next(r for r in wren.rams if r.name == f"ram-waist-{hand}")
        assert ram.direction_rad == pytest.approx(direction)
        assert ram.x_m == pytest.approx(0.268, abs=0.001)


@pytest.mark.parametrize("body", ["wren", "plover", "curlew"])
def test_blocks_of_one_side_leave_room_for_a_hand(body, request):
    made = request.getfixturevalue(body)
    for hand in ("bass", "treble"):
        blocks = [p for p in made.parts if p.name.startswith(("ram", "caul"))
                  and p.name.endswith(hand)]  # fmt: skip
        form = polygon(made.part(f"form-{hand}"))
        for i, one in enumerate(blocks):
            assert polygon(one).distance(form) > 0.0021 + BETWEEN + OUTSIDE - 4e-4
            for other in blocks[i + 1 :]:
                if {"caul-horn-treble", "ram-scoop-treble"} == {one.name, other.name}:
                    continue  # said in a warning: one makes way for the other
                assert polygon(one).distance(polygon(other)) > 0.0049


def test_the_horn_caul_says_that_it_makes_way(wren):
    assert any("before the scoop's ram" in words for words in wren.warnings)
    assert wren.part("caul-horn-treble").least_radius_m == pytest.approx(0.022 + OUTSIDE)
