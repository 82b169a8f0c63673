"""Known blankets, losses and contacts found again from synthetic probe curves."""

from dataclasses import replace

import numpy as np
import pytest

from rimwright.bending.heat import heat_run
from rimwright.bending.heat_fit import FITTED, fit_heat, gathered
from rimwright.bending.heat_inputs import HeatInputs, case_of
from rimwright.bending.heat_solve import solve
from rimwright.errors import DesignError
from rimwright.sources import Provenance

INPUTS = HeatInputs(
    thickness_m=0.0021,
    gravity=0.76,
    control="schedule",
    schedule=((0.0, 1.0), (125.0, 0.45), (320.0, 0.0)),
    bend_s=500.0,
)


def curve(truth, *, seed, noise_k=0.7, until_s=500.0, gaps=True):
    """What a probe would have read: the fine model, noise, spikes and a gap."""
    case = case_of(INPUTS)
    solved = solve(replace(case, values=replace(case.values, **truth)))
    draw = np.random.default_rng(seed)
    time = np.sort(draw.uniform(0.0, until_s, int(4 * until_s)))
    readings = np.interp(time, solved.time_s, solved.probe_c) + draw.normal(0, noise_k, time.size)
    if gaps:
        readings[draw.random(time.size) < 0.02] += 150.0
        readings[(time > 0.3 * until_s) & (time < 0.4 * until_s)] = np.nan
    return time, readings


TRUTHS = [
    {"power_share": 0.87, "loss_share": 1.25, "contact_m2_k_w": 9e-4},
    {"power_share": 1.04, "loss_share": 1.60, "contact_m2_k_w": 2.5e-4},
    {"power_share": 0.95, "loss_share": 1.15, "contact_m2_k_w": 4e-4},
    {"power_share": 0.90, "loss_share": 1.65, "contact_m2_k_w": 1.2e-3},
]


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("truth", TRUTHS)
def test_known_parameters_lie_within_the_range_found(truth, seed):
    fit = fit_heat(INPUTS, *curve(truth, seed=seed))
    for name in FITTED:
        found = getattr(fit, name)
        assert found.low <= truth[name] <= found.high, name
        assert found.provenance is Provenance.MEASURED
    assert fit.rms_k < 1.0


def test_what_a_curve_tells_is_narrower_than_what_was_assumed():
    fit = fit_heat(INPUTS, *curve(TRUTHS[0], seed=1))
    for name, share in (("power_share", 0.5), ("loss_share", 0.2)):
        before, after = getattr(INPUTS.parameters, name), getattr(fit, name)
        assert after.high - after.low < share * (before.high - before.low)


def test_half_a_warm_up_tells_power_but_not_losses():
    time, readings = curve(TRUTHS[1], seed=2, until_s=60.0)
    fit = fit_heat(INPUTS, time, readings)
    assert fit.power_share.low <= TRUTHS[1]["power_share"] <= fit.power_share.high
    before = INPUTS.parameters.loss_share
    assert fit.loss_share.high - fit.loss_share.low > 0.5 * (before.high - before.low)


def test_a_curve_that_the_model_cannot_follow_widens_the_range():
    time, readings = curve(TRUTHS[2], seed=3, gaps=False)
    good = fit_heat(INPUTS, time, readings)
    wavy = fit_heat(INPUTS, time, readings + 8.0 * np.sin(time / 20.0))
    assert wavy.rms_k > 3.0
    width = good.power_share.high - good.power_share.low
    assert wavy.power_share.high - wavy.power_share.low > 1.5 * width


def test_order_gaps_and_spikes_do_not_matter():
    time, readings = curve(TRUTHS[2], seed=4, gaps=False)
    plain = fit_heat(INPUTS, time, readings)
    shuffle = np.random.default_rng(0).permutation(time.size)
    mixed = fit_heat(INPUTS, time[shuffle], readings[shuffle])
    assert mixed.power_share.middle == pytest.approx(plain.power_share.middle, rel=1e-9)
    spiked = readings.copy()
    spiked[::40] = 1000.0
    assert fit_heat(INPUTS, time, spiked).power_share.middle == pytest.approx(
        plain.power_share.middle, rel=0.01
    )


def test_the_fitted_parameters_run_the_next_bend():
    fit = fit_heat(INPUTS, *curve(TRUTHS[0], seed=5))
    next_bend = replace(INPUTS, control="controller", parameters=fit.parameters(INPUTS.parameters))
    truth = replace(case_of(next_bend).values, **TRUTHS[0])
    real = solve(replace(case_of(next_bend), values=truth))
    told = heat_run(next_bend).to_target_s
    assert told.low <= real.target_s <= told.high
    assert told.middle == pytest.approx(real.target_s, rel=0.05)


def test_too_few_readings_are_refused():
    with pytest.raises(DesignError, match=r"3 readings.*record the probe for longer"):
        fit_heat(INPUTS, np.arange(0.0, 15.0), np.linspace(20.0, 30.0, 15))


def test_nothing_is_gathered_from_nothing():
    time, readings = gathered(np.array([np.nan, -3.0]), np.array([20.0, 21.0]))
    assert time.size == readings.size == 0
