"""Scorch: a time at one temperature, and a run of heat."""

import numpy as np
import pytest

from rimwright.bending.scorch import scorch_dose
from rimwright.errors import OutsideValidityError
from rimwright.wood.scorch import IGNITION_C, scorch_rate, scorch_temperature


@pytest.mark.parametrize("seconds", [30.0, 120.0, 300.0, 1800.0])
def test_held_where_it_scorches_in_that_time_the_dose_is_one(seconds):
    celsius = float(scorch_temperature(seconds))
    dose = scorch_dose(np.array([0.0, seconds]), np.array([celsius, celsius]))
    assert dose[-1] == pytest.approx(1.0, rel=1e-12)


def test_a_ramp_is_exact_however_coarse():
    time_s = np.array([0.0, 200.0])
    ramp = np.array([[20.0, 100.0], [200.0, 190.0]])
    fine = np.linspace(0.0, 200.0, 20_001)
    for place in range(2):
        rate = scorch_rate(np.interp(fine, time_s, ramp[:, place]))
        summed = np.trapezoid(rate, fine)
        assert scorch_dose(time_s, ramp)[-1, place] == pytest.approx(summed, rel=1e-6)


def test_a_misted_bend_at_230_f_is_far_from_scorch():
    assert scorch_dose(np.array([0.0, 900.0]), np.array([110.0, 110.0]))[-1] < 0.02


def test_longer_is_cooler_and_never_past_ignition():
    celsius = np.asarray(scorch_temperature(np.array([10.0, 60.0, 600.0, 3600.0])))
    assert np.all(np.diff(celsius) < 0)
    assert np.all(np.asarray(scorch_temperature(10.0, 240.0)) == IGNITION_C.middle)


def test_times_outside():
    with pytest.raises(OutsideValidityError, match="time 5 s; expected 10 to 3600 s"):
        scorch_temperature(5.0)
