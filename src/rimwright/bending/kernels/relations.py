"""The relations of wood that loops ask for at every step, on bare floats.

The same formulas as in `rimwright.wood`, which holds their sources and ranges and checks
them; a test holds the two together. Here nothing is checked, and outside the published
ranges a formula simply goes on, in the way its docstring says.
"""

from __future__ import annotations

import math

from rimwright.bending.kernels.compiled import compiled

FIBRE_SATURATION = 0.30
_GAS_CONSTANT = 8.314
_KELVIN = 273.15


@compiled
def conductivity(specific_gravity: float, moisture: float, temperature_c: float) -> float:
    """Across the grain [W/(m K)]; goes on as a straight line in moisture and temperature."""
    at_24 = specific_gravity * (0.1941 + 0.4064 * moisture) + 0.01864
    return float(at_24 * (1.0 + 0.0027 * (temperature_c - 24.0)))


@compiled
def specific_heat(moisture: float, temperature_c: float) -> float:
    """Of wood and its water together [J/(kg K)].

    Above fibre saturation the water beyond it adds its own 4180 J/(kg K), no more.
    """
    kelvin = temperature_c + _KELVIN
    bound = min(moisture, FIBRE_SATURATION)
    percent = 100.0 * bound
    dry = 0.1031 + 0.003867 * kelvin
    bond = percent * (-0.06191 + 2.36e-4 * kelvin - 1.33e-4 * percent)
    per_dry = dry + 4.18 * moisture + (1.0 + bound) * bond
    return float(1e3 * per_dry / (1.0 + moisture))


@compiled
def softening_temperature(moisture: float, offset_k: float) -> float:
    """Where the matrix between the fibres softens [degC]; only bound water counts."""
    return float(72.0 + 121.0 * math.exp(-min(moisture, FIBRE_SATURATION) / 0.15) + offset_k)


@compiled
def moisture_diffusion(moisture: float, temperature_c: float, specific_gravity: float) -> float:
    """Coefficient across the grain [m²/s]; above fibre saturation as at fibre saturation."""
    percent = 100.0 * min(moisture, FIBRE_SATURATION)
    wall = 7e-6 * math.exp(
        -(38500.0 - 290.0 * percent) / (_GAS_CONSTANT * (temperature_c + _KELVIN))
    )
    hollow = max(1.0 - specific_gravity * (0.667 + 0.01 * percent), 0.05)
    return float(wall / ((1.0 - hollow) * (1.0 - math.sqrt(hollow))))
