"""Type K, there and back, on arrays and numbers; refused outside its range."""

import numpy as np
import pytest

from rimwright.equipment.thermocouple import type_k_emf, type_k_temperature
from rimwright.errors import OutsideValidityError


def test_there_and_back_over_the_whole_range():
    celsius = np.linspace(-270.0, 1372.0, 3001)
    np.testing.assert_allclose(type_k_temperature(type_k_emf(celsius)), celsius, atol=1e-9)


def test_the_two_functions_meet_at_zero():
    assert float(type_k_emf(-1e-9)) == pytest.approx(float(type_k_emf(1e-9)), abs=1e-11)


def test_it_rises_everywhere():
    assert np.all(np.diff(type_k_emf(np.linspace(-270.0, 1372.0, 5000))) > 0)


@pytest.mark.parametrize("celsius", [-270.1, 1372.5, float("nan"), float("inf")])
def test_temperatures_outside(celsius):
    with pytest.raises(OutsideValidityError, match=r"-270 to 1372 °C \(NIST ITS-90\)"):
        type_k_emf(celsius)


@pytest.mark.parametrize("volts", [-7e-3, 0.06, float("nan")])
def test_voltages_outside(volts):
    with pytest.raises(OutsideValidityError, match="check the probe"):
        type_k_temperature(np.array([1e-3, volts]))
