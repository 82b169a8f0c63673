"""The recipe's warm-up, and the schools of heat."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from rimwright.bending.schools import SCHOOLS, targets
from rimwright.bending.warm_up import warm_up
from rimwright.equipment.stack import Blanket, Equipment
from rimwright.errors import DesignError, UnknownNameError
from rimwright.instrument.design import Heating, Wetting
from rimwright.instrument.design_files.load import load_design
from rimwright.plan import make_plan

W_IN2 = 1550.0031


def heat(power_w_in2=5.0, method="mist", target_c=110.0, **equipment):
    stack = replace(
        Equipment(), blanket=Blanket(power_density_w_m2=power_w_in2 * W_IN2), **equipment
    )
    return warm_up(
        stack,
        Wetting(method=method),
        thickness_m=0.0021,
        density_kg_m3=850.0,
        early_alarm_c=target_c - 10.0,
        target_c=target_c,
    )


def test_times_are_in_order_and_ranges_hold_their_middles():
    warm = heat()
    assert warm.to_early_alarm_s.middle < warm.to_target_s.middle
    for value in (warm.to_early_alarm_s, warm.to_target_s, warm.hold_fraction):
        assert value.low < value.middle < value.high


@pytest.mark.parametrize(
    ("slower", "faster"),
    [
        ({"power_w_in2": 4.0}, {"power_w_in2": 7.5}),
        ({"method": "soak"}, {"method": "dry"}),
        ({"room_c": 8.0}, {"room_c": 25.0}),
        ({"target_c": 120.0}, {"target_c": 105.0}),
    ],
)
def test_what_should_be_slower_is(slower, faster):
    assert heat(**slower).to_target_s.middle > heat(**faster).to_target_s.middle


def test_a_blanket_too_weak_is_refused_in_one_line():
    with pytest.raises(DesignError, match=r"1\.0 W/in² that never reaches 110 °C.*stronger"):
        heat(power_w_in2=1.0)


def test_the_wood_itself_lags_the_probe():
    core = heat().core_at_target_c
    assert core.low < core.middle < core.high < 110.0


def test_the_recipe_says_how_hot_and_how_soft_the_wood_itself_is():
    path = Path(__file__).parents[2] / "examples" / "tern-lane" / "wren.rim.toml"
    steps = {step.key: step for step in make_plan(load_design(path)).recipe.steps}
    assert re.search(r"middle of the wood is about \d+ °C \(\d+ °C to", steps["warm-up"].watch)
    assert re.search(r"the wood is about \d+ °C (short of|past) softening", steps["hold"].why)


def test_the_energy_is_the_power_until_the_target():
    warm = heat(5.0)
    # The middle of what a blanket gives of its plate is 95 %.
    expected = 0.95 * 5.0 * W_IN2 * warm.to_target_s.middle
    assert warm.energy_j_m2 == pytest.approx(expected)


def test_softwood_and_hardwood_are_told_apart():
    stack = Equipment()
    common = {"thickness_m": 0.0021, "density_kg_m3": 450.0, "early_alarm_c": 100.0,
              "target_c": 110.0}  # fmt: skip
    rests = warm_up(stack, Wetting(), kind="softwood", **common).rests_on
    assert "wood softens 0 °C below isolated lignin (-10 to 10): assumed" in rests


def test_every_school_is_accepted_as_it_stands():
    for key, school in SCHOOLS.items():
        _, early, target, warnings = targets(Heating(school=key))
        assert (early, target, warnings) == (school.early_alarm_c, school.target_c, ())


def test_a_changed_target_takes_its_early_alarm_along():
    _, early, target, _ = targets(Heating(target_c=118.0))
    assert (early, target) == (108.0, 118.0)


@pytest.mark.parametrize(
    ("heating", "kind", "words"),
    [
        (Heating(school="wild"), UnknownNameError, "school 'wild'.*misted"),
        (Heating(target_c=230.0), DesignError, "230 °C.*200 °C.*glow"),
        (Heating(target_c=110.0, early_alarm_c=120.0), DesignError, "early alarm at 120"),
        (Heating(target_c=40.0), DesignError, "60 °C or more"),
    ],
)
def test_impossible_targets_are_refused(heating, kind, words):
    with pytest.raises(kind, match=words):
        targets(heating)


def test_a_target_hotter_than_reported_is_warned_of():
    assert "expect scorch" in targets(Heating(target_c=185.0))[3][0]
