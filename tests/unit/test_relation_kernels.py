"""The compiled relations equal the public ones wherever those answer."""

import warnings

import numpy as np
import pytest

from rimwright.bending.kernels import relations as bare
from rimwright.wood.relations import conductivity, specific_heat
from rimwright.wood.softening import softening_temperature
from rimwright.wood.transport import moisture_diffusion
from rimwright.wood.validity import ExtrapolationWarning

MOISTURES = np.linspace(0.0, 0.30, 7)
TEMPERATURES = np.linspace(7.0, 146.0, 6)
GRAVITIES = (0.35, 0.6, 0.9, 1.3)


@pytest.mark.parametrize("gravity", GRAVITIES)
def test_conductivity_and_diffusion(gravity):
    water, celsius = (grid.ravel() for grid in np.meshgrid(MOISTURES, TEMPERATURES))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ExtrapolationWarning)
        public = conductivity(gravity, water, celsius), moisture_diffusion(water, celsius, gravity)
    ours = [bare.conductivity(gravity, m, t) for m, t in zip(water, celsius, strict=True)]
    spread = [bare.moisture_diffusion(m, t, gravity) for m, t in zip(water, celsius, strict=True)]
    np.testing.assert_allclose(ours, public[0], rtol=1e-14)
    np.testing.assert_allclose(spread, public[1], rtol=1e-13)


def test_specific_heat():
    water, celsius = (grid.ravel() for grid in np.meshgrid(MOISTURES, TEMPERATURES))
    ours = [bare.specific_heat(m, t) for m, t in zip(water, celsius, strict=True)]
    np.testing.assert_allclose(ours, specific_heat(water, celsius), rtol=1e-14)


def test_free_water_only_adds_its_own_heat():
    """A kilogram of dry wood with 0.9 kg of water takes 0.6 * 4180 J/K more than with 0.3."""
    more = 1.9 * bare.specific_heat(0.9, 60.0) - 1.3 * bare.specific_heat(0.3, 60.0)
    assert more == pytest.approx(0.6 * 4180.0, rel=1e-12)


def test_softening_temperature():
    water = np.linspace(0.0, 1.2, 13)
    ours = [bare.softening_temperature(m, -15.0) for m in water]
    np.testing.assert_allclose(ours, softening_temperature(water, -15.0), rtol=1e-14)
