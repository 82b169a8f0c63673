"""What a run's heat is asked from the plain values it keeps, and what is expected of it."""

import json
from dataclasses import asdict, replace

import numpy as np
import pytest

from heats_followed import heated_plan
from rimwright.bending.heat_inputs import HeatInputs
from rimwright.equipment.stack import Blanket, Equipment
from rimwright.errors import RunError
from rimwright.instrument.design import Wetting
from rimwright.live.heat_of_run import heat_inputs, predicted


def with_heat(**changes):
    plan = heated_plan()
    return replace(plan, heat={**plan.heat, **changes})


def test_a_stack_survives_being_kept_as_plain_values():
    equipment = Equipment(
        blanket=Blanket(power_density_w_m2=5000.0, control="thermostat"), room_c=17.0
    )
    wetting = Wetting(method="soak", duration_s=1200.0)
    kept = json.loads(
        json.dumps({"equipment": asdict(equipment), "wetting": asdict(wetting), "gravity": 0.8})
    )
    inputs = heat_inputs(with_heat(**kept))
    assert inputs.equipment == equipment
    assert inputs.wetting == wetting
    assert (inputs.gravity, inputs.thickness_m) == (0.8, 0.0021)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"equipment": {"layers": []}}, "without 'blanket'"),
        ({"wetting": {"way": "mist"}}, "cannot be read"),
        ({"gravity": "heavy"}, "cannot be read"),
    ],
)
def test_a_heat_that_cannot_be_read_is_refused(changes, words):
    with pytest.raises(RunError, match=words):
        heat_inputs(with_heat(**changes))


def test_a_heat_that_lacks_something_names_it():
    plan = heated_plan()
    less = {key: value for key, value in plan.heat.items() if key != "thickness_m"}
    with pytest.raises(RunError, match="'thickness_m'"):
        heat_inputs(replace(plan, heat=less))


@pytest.mark.parametrize("school", ["misted", "nearly_dry", "hot"])
def test_the_expected_curve_holds_together(school):
    told = predicted(heat_inputs(heated_plan(school)))
    times, curve = np.array(told.time_s), np.array(told.probe_c)
    low, high = np.array(told.probe_low_c), np.array(told.probe_high_c)
    assert (low <= curve).all()
    assert (curve <= high).all()
    assert times.size == 100
    assert times[0] == 0.0
    # From heat on to the end of the bend, five minutes after the target.
    assert times[-1] == pytest.approx(told.to_target_s.middle + 300.0, abs=2.0)
    target_c = heated_plan(school).target_c
    assert np.interp(told.to_target_s.middle, times, curve) == pytest.approx(target_c, abs=2.5)
    early = told.to_early_alarm_s
    assert early.low < early.middle < told.to_target_s.middle < told.to_target_s.high
    assert 0.0 < told.hold_fraction.low < told.hold_fraction.middle < told.hold_fraction.high


def test_what_is_expected_is_plain_and_keeps_what_others_found():
    told = predicted(HeatInputs(thickness_m=0.0021), utilisation=0.8, points=40)
    assert json.loads(json.dumps(asdict(told)))["utilisation"] == 0.8
    assert len(told.probe_c) == 40
