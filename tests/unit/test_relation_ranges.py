"""Past its published range a relation warns by name, or refuses; nothing goes on in silence."""

import numpy as np
import pytest

from rimwright.errors import OutsideValidityError
from rimwright.wood.relations import conductivity
from rimwright.wood.softening import softening_temperature
from rimwright.wood.strength import stiffness_ratio, strength_ratio
from rimwright.wood.swelling import swelling
from rimwright.wood.transport import greatest_moisture, moisture_diffusion, water_uptake
from rimwright.wood.validity import ExtrapolationWarning

WARNS = {
    "conductivity, light": (lambda: conductivity(0.2, 0.1), "specific gravity 0.2"),
    "conductivity, wet": (lambda: conductivity(0.5, np.array([0.1, 0.28])), "moisture 0.28"),
    "stiffness, hot": (lambda: stiffness_ratio(0.12, 110.0), "temperature 110 °C"),
    "stiffness, dry": (lambda: stiffness_ratio(0.02, 20.0), "moisture 0.02"),
    "strength, hot": (lambda: strength_ratio("tension", 0.12, 90.0), "temperature 90 °C"),
    "diffusion, hot": (lambda: moisture_diffusion(0.1, 120.0), "temperature 120 °C"),
}
REFUSES = {
    "conductivity, soaked": lambda: conductivity(0.5, 0.5),
    "conductivity, negative": lambda: conductivity(0.5, -0.01),
    "conductivity, glowing": lambda: conductivity(0.5, 0.1, 300.0),
    "softening, negative": lambda: softening_temperature(-0.01),
    "softening, no number": lambda: softening_temperature(float("nan")),
    "stiffness, frozen": lambda: stiffness_ratio(0.12, -5.0),
    "strength, cold": lambda: strength_ratio("bending", 0.12, 5.0),
    "swelling, of what": lambda: swelling(0.1, 0.2, 0.5),
    "diffusion, of stone": lambda: moisture_diffusion(0.1, 20.0, 2.0),
    "hollows of stone": lambda: greatest_moisture(2.0),
    "uptake, before": lambda: water_uptake(-1.0, 0.002),
}


@pytest.mark.parametrize("case", WARNS)
def test_warns(case):
    ask, words = WARNS[case]
    with pytest.warns(ExtrapolationWarning, match=words):
        ask()


@pytest.mark.parametrize("case", REFUSES)
def test_refuses(case):
    with pytest.raises(OutsideValidityError, match="expected"):
        REFUSES[case]()


def test_above_fibre_saturation_wood_softens_and_swells_no_more():
    water = np.array([0.30, 0.5, 1.2])
    np.testing.assert_array_equal(np.ptp(softening_temperature(water)), 0.0)
    np.testing.assert_array_equal(np.ptp(swelling(0.08, water, 0.07)), 0.0)


def test_swelling_there_and_back():
    out, back = float(swelling(0.08, 0.20, 0.07)), float(swelling(0.20, 0.08, 0.07))
    assert (1.0 + out) * (1.0 + back) == pytest.approx(1.0, rel=1e-12)
    assert out > 0 > back


def test_numbers_and_arrays_agree():
    water = np.linspace(0.06, 0.25, 5)
    for relation in (
        lambda m: stiffness_ratio(m, 40.0),
        lambda m: strength_ratio("bending", m, 40.0),
        lambda m: moisture_diffusion(m, 40.0),
        lambda m: conductivity(0.6, m),
        softening_temperature,
    ):
        assert np.shape(relation(water)) == (5,)
        np.testing.assert_array_equal(relation(water), [float(relation(m)) for m in water])
