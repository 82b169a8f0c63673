"""From a design to a plan and its document."""

import itertools
import json
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from rimwright.desk.planning import plan_text
from rimwright.document import dump
from rimwright.instrument.design import Heating
from rimwright.instrument.design_files.load import load_design
from rimwright.plan import make_plan

TERN_LANE = Path(__file__).parents[2] / "examples" / "tern-lane"
MODELS = ("wren", "curlew", "plover")


@pytest.fixture(scope="module")
def plans():
    return {name: make_plan(load_design(TERN_LANE / f"{name}.rim.toml")) for name in MODELS}


def test_the_document_is_plain_and_finite(plans):
    for plan in plans.values():
        again = json.loads(dump(plan.document))
        assert again == plan.document
        assert again["format"] == "rimwright-plan/1"


def test_equal_designs_give_equal_plans_wherever_they_lie(plans, tmp_path):
    for name in MODELS:
        for path in TERN_LANE.iterdir():
            (tmp_path / path.name).write_bytes(path.read_bytes())
        again = make_plan(load_design(tmp_path / f"{name}.rim.toml"))
        assert dump(again.document) == dump(plans[name].document)
        assert str(tmp_path) not in dump(again.document)
        assert again.code == plans[name].code


def test_another_thickness_is_another_code(plans):
    design = plans["curlew"].design
    thinner = replace(design, sides=replace(design.sides, thickness_m=0.0016))
    assert make_plan(thinner).code != plans["curlew"].code


@pytest.mark.parametrize("name", MODELS)
def test_every_promised_key_is_there(plans, name):
    document = plans[name].document
    for key in ("length_m", "width_lower_m", "width_waist_m", "width_upper_m"):
        assert document["outline"][key] > 0
    for side in document["sides"]:
        assert side["hand"] in ("bass", "treble")
        assert side["piece"] in ("main", "return")
        turn = 2.0 * (side["length_outer_m"] - side["length_middle_m"]) / side["thickness_m"]
        assert side["length_outer_m"] - side["length_inner_m"] == pytest.approx(
            turn * side["thickness_m"], abs=1e-6
        )
        assert side["blank"]["length_m"] > side["length_middle_m"]
        assert side["strain_tension_max"] <= side["strain_middle_max"] * (1 + 1e-9)
        for edge in ("edge_top", "edge_back"):
            stations = [s for s, _ in side[edge]]
            assert stations[0] == 0.0
            assert stations[-1] == pytest.approx(side["length_outer_m"], abs=1e-8)
            assert max(b - a for a, b in itertools.pairwise(stations)) <= 0.005
        for mark in side["marks"]:
            assert {"name", "s_outer_m", "s_middle_m", "height_m"} <= mark.keys()
        for where in ("strain_middle_max_s_m", "strain_tension_max_s_m"):
            assert 0.0 <= side[where] <= side["length_outer_m"] + 1e-9


def test_a_half_body_differs_by_pi_times_the_thickness(plans):
    # The curlew's sides turn by half a circle from tail to neck.
    for side in plans["curlew"].document["sides"]:
        assert side["length_outer_m"] - side["length_inner_m"] == pytest.approx(
            math.pi * side["thickness_m"], abs=1e-6
        )


def test_a_pointed_cutaway_has_pieces_of_its_own(plans):
    assert [(s["hand"], s["piece"]) for s in plans["plover"].document["sides"]] == [
        ("bass", "main"),
        ("treble", "main"),
        ("treble", "return"),
    ]
    names = {part.name for part in plans["plover"].tooling.parts}
    assert any("return" in name and name.startswith("form") for name in names)


def unnamed_wood(design):
    return replace(design, sides=replace(design.sides, wood=None), strips=())


def test_no_wood_no_advice():
    plan = make_plan(unnamed_wood(load_design(TERN_LANE / "wren.rim.toml")))
    for side in plan.document["sides"]:
        assert side["utilisation_max"] is None
        assert side["greatest_thickness_m"] is None
    assert "Name the wood" in " ".join(plan.matters)
    assert "%" not in " ".join(plan.matters)


def test_recipe_orders_the_bends_as_asked(plans):
    keys = [step.key for step in plans["wren"].recipe.steps]
    default = ["waist-nearly-home", "horn", "scoop", "lower-bout", "upper-bout", "waist-home"]
    assert [key for key in keys if key in default] == default
    assert keys.index("warm-up") < keys.index("hold") < keys.index("waist-nearly-home")
    assert keys.index("tail") < keys.index("unplug") < keys.index("rest") < keys.index("release")
    design = replace(
        plans["wren"].design,
        heating=Heating(order=("horn", "scoop", "waist-home", "lower-bout", "upper-bout", "tail")),
    )
    asked = [step.key for step in make_plan(design).recipe.steps]
    assert asked.index("horn") < asked.index("waist-home") < asked.index("lower-bout")
    assert "waist-nearly-home" not in asked


def test_a_body_without_cutaway_has_no_horn_step(plans):
    keys = {step.key for step in plans["curlew"].recipe.steps}
    assert not {"horn", "scoop"} & keys
    assert "waist-home" in keys


def test_every_caution_has_its_place(plans):
    steps = {step.key: " ".join(step.cautions) for step in plans["wren"].recipe.steps}
    assert "earth" in steps["checks"]
    assert "licensed electrician" in steps["checks"]
    assert "cut-out" in steps["checks"]
    assert "Never leave" in steps["warm-up"]
    assert "Unplug, not merely off" in steps["unplug"]
    assert "Unplug, not merely off" in steps["release"]
    assert "Steam" in steps["release"]
    assert "eye protection and gloves" in steps["release"]
    assert "mains" in steps["wet"]
    assert "sensitiser" in steps["thickness"]
    assert "pinch" in steps["waist-home"]


@pytest.mark.parametrize(
    ("control", "words"),
    [("dial", "turn the dial down"), ("thermostat", "no half power"), ("controller", "Leave the")],
)
def test_power_back_fits_the_control(plans, control, words):
    design = plans["wren"].design
    blanket = replace(design.equipment.blanket, control=control)
    design = replace(design, equipment=replace(design.equipment, blanket=blanket))
    hold = next(step for step in make_plan(design).recipe.steps if step.key == "hold")
    assert words in hold.do


def test_left_handed_keeps_the_numbers(plans):
    left = make_plan(replace(plans["wren"].design, player="left"))
    mine, theirs = plans["wren"].document, left.document
    for one, other in zip(mine["sides"], theirs["sides"], strict=True):
        # The drawing says "seen from the back": for a left-handed player its cutaway then
        # lies on the bass side, so hands swap and the figures stay.
        assert {one["hand"], other["hand"]} <= {"bass", "treble"}
    assert sorted(s["length_outer_m"] for s in mine["sides"]) == sorted(
        s["length_outer_m"] for s in theirs["sides"]
    )


def test_the_scoop_step_clears_the_horns_caul_out_of_the_rams_way(plans):
    scoop = next(step for step in plans["wren"].recipe.steps if step.key == "scoop")
    assert "caul off" in scoop.do
    assert scoop.do.index("strap over it") < scoop.do.index("scoop ram")


def test_zones_are_thinned_where_the_flat_wood_is_measured(plans):
    plan = plans["wren"]
    treble = plan.sides[1]
    zone = plan.design.sides.thinned[0]
    wood = [
        s - 0.5 * treble.thickness_m * float(treble.rim.turn_to(np.array([s]))[0])
        for s in (zone.from_m, zone.to_m)
    ]
    (step,) = (step for step in plan.recipe.steps if step.key == "thickness")
    assert f"from {wood[0] * 1e3:.1f} mm to {wood[1] * 1e3:.1f} mm on the wood" in step.do
    assert wood[0] < zone.from_m - 0.001
    # Tape and marks read the same line of the same pattern.
    for side, check in zip(plan.sides, plan.check.pieces, strict=True):
        for limits in check.zones:
            turn = float(side.rim.turn_to(np.array([limits.from_outer_m]))[0])
            wanted = limits.from_outer_m - 0.5 * side.thickness_m * turn
            assert limits.from_middle_m == pytest.approx(wanted, abs=1e-9)


def test_sanding_says_where_the_top_runs_flat(plans):
    dish = next(step for step in plans["wren"].recipe.steps if step.key == "dish")
    assert "flat from 350.0 mm to the neck" in dish.do
    dish = next(step for step in plans["curlew"].recipe.steps if step.key == "dish")
    assert "top flat" in dish.do
    assert "across only" in dish.do


def test_release_tells_of_all_slats_of_a_piece_and_of_both_ends(plans):
    plan = plans["wren"]
    release = next(step for step in plan.recipe.steps if step.key == "release")
    slats = [s for s in plan.tooling.slats if s.hand == "treble" and s.energy_j is not None]
    assert f"store {sum(s.energy_j for s in slats):.1f} J together" in release.do
    assert f"{sum(s.neck_force_n for s in slats):.0f} N at the neck end" in release.do
    assert "Hold the neck end down too" in release.do
    checks = next(step for step in plan.recipe.steps if step.key == "checks")
    assert "one piece at a time" in checks.do


def test_rams_travel_within_half_a_turn_of_the_centreline(plans):
    for plan in plans.values():
        for ram in plan.tooling.rams:
            assert -math.pi <= ram.direction_rad <= math.pi
            # Bass rams push towards positive y, treble ones away from it.
            assert math.sin(ram.direction_rad) * (1 if ram.hand == "bass" else -1) > 0.0


def test_no_matter_is_told_twice_and_nobody_is_sent_thinner_than_makers_go(plans):
    design = plans["wren"].design
    sides = replace(design.sides, wood="sugar maple", figure="strong", thinned=())
    plan = make_plan(replace(design, sides=sides))
    assert plan.matters[0].startswith("Expect a break: treble side, horn")
    assert sum("22 mm radius" in words for words in plan.matters) == 1
    assert "thinner than makers use" in plan.matters[1]
    assert "laminate" in plan.matters[1]
    advised = make_plan(replace(design, sides=replace(sides, thickness_m=None)))
    assert not any("%" in words and "it takes" in words for words in advised.assumed)


def test_an_inch_plan_speaks_no_lone_millimetres(plans):
    plan = plans["curlew"]
    assert "runs 5/16″ into the slot" in plan.sides[0].neck_end_words
    said = " ".join(step.do + step.watch for step in plan.recipe.steps)
    assert " mm" not in said


def test_the_terminal_tells_how_thick_each_side_may_be_in_both_units(plans):
    told = plan_text(plans["wren"])
    greatest = plans["wren"].check.pieces[1].greatest_thickness_m
    assert f"treble side: up to {greatest * 1e3:.2f} mm ({greatest / 25.4e-6:.0f} thou)" in told
    assert "How thick" not in plan_text(make_plan(unnamed_wood(plans["wren"].design)))


def test_an_advice_thinner_than_the_finished_side_says_that_nothing_is_sanded(plans):
    design = plans["wren"].design
    sides = replace(design.sides, thickness_m=None, finished_thickness_m=0.0025, thinned=())
    assert any(
        "stays as bent" in words for words in make_plan(replace(design, sides=sides)).assumed
    )
