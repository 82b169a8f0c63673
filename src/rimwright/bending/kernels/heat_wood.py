"""Moist wood in the heat kernel: its enthalpy, and the pressure its water gives off.

The relations are those of `wood.relations`, written for loops: see there for their sources.
Temperature in °C, moisture in kilograms of water per kilogram of dry wood.
"""

from __future__ import annotations

import math

from rimwright.bending.kernels.compiled import compiled

_ZERO_C = 273.15
#: Above it a relation's temperature is held: the sorption table ends at 99 °C (210 °F).
_SORPTION_END_C = 99.0
_FIBRE_SATURATION = 0.30
_WATER_HEAT = 4180.0


@compiled
def enthalpy(density_dry: float, moisture: float, celsius: float) -> tuple[float, float, float]:
    """Heat held above 0 °C, and its slopes by temperature and by moisture.

    Closed form: the handbook's specific heat is linear in temperature. Water above fibre
    saturation is plain water. [J/m³, J/(m³ K), J/m³ per unit of moisture]
    """
    bound = min(max(moisture, 0.0), _FIBRE_SATURATION)
    percent = 100.0 * bound
    # (1 + M) c in J per kg of dry wood and kelvin: constant + slope * T.
    bond = percent * (-0.06191 - 1.33e-4 * percent)
    constant = 103.1 + 1e3 * (1.0 + bound) * bond + _WATER_HEAT * moisture
    slope = 3.867 + 1e3 * (1.0 + bound) * percent * 2.36e-4
    # Their derivatives by moisture.
    d_constant, d_slope = _WATER_HEAT, 0.0
    if 0.0 < moisture < _FIBRE_SATURATION:
        d_constant += 1e3 * (bond + (1.0 + bound) * 100.0 * (-0.06191 - 2.66e-4 * percent))
        d_slope = 1e3 * 2.36e-4 * (percent + 100.0 * (1.0 + bound))
    kelvin = celsius + _ZERO_C
    squares = 0.5 * (kelvin * kelvin - _ZERO_C * _ZERO_C)
    return (
        density_dry * (constant * celsius + slope * squares),
        density_dry * (constant + slope * kelvin),
        density_dry * (d_constant * celsius + d_slope * squares),
    )


@compiled
def saturation(celsius: float) -> tuple[float, float]:
    """Pressure of saturated steam, and its slope: Wagner & Pruss 1993, from memory. [Pa, Pa/K]"""
    kelvin = celsius + _ZERO_C
    x = 1.0 - kelvin / 647.096
    root = math.sqrt(x)
    x2, x3 = x * x, x * x * x
    logarithm = (647.096 / kelvin) * (
        -7.85951783 * x + 1.84408259 * x * root - 11.7866497 * x3 + 22.6807411 * x3 * root
        - 15.9618719 * x2 * x2 + 1.80122502 * x2 * x2 * x3 * root
    )  # fmt: skip
    slope = (
        -7.85951783 + 2.766123885 * root - 35.3599491 * x2 + 79.38259385 * x2 * root
        - 63.8474876 * x3 + 13.50918765 * x3 * x3 * root
    )  # fmt: skip
    pressure = 22.064e6 * math.exp(logarithm)
    return pressure, -pressure * (logarithm + slope) / kelvin


@compiled
def activity(moisture: float, celsius: float, guess: float) -> tuple[float, float, float]:
    """Humidity of air that wood of that moisture is in balance with, its slope, and a guess.

    The sorption equation of `wood.relations.equilibrium_moisture` solved for the humidity,
    by Newton's method in y / (1 - y); 1 where the wood is wetter than any damp air makes it.
    The guess of one call makes the next one quick; 0 has none.
    """
    t = min(max(celsius, 0.0), _SORPTION_END_C)
    w = 349.0 + 1.29 * t + 0.0135 * t * t
    k = 0.805 + 0.000736 * t - 0.00000273 * t * t
    k1 = 6.27 - 0.00938 * t - 0.000303 * t * t
    k12 = k1 * (1.91 + 0.0407 * t - 0.000293 * t * t)
    sought = moisture * w / 18.0
    if sought <= 0.0:
        slope = w / (18.0 * k * (1.0 + k1))
        return moisture * slope, slope, 0.0
    most = k / (1.0 - k) + (k1 * k + 2.0 * k12 * k * k) / (1.0 + k1 * k + k12 * k * k)
    if sought >= most:
        return 1.0, 0.0, 0.0
    z, d_z = guess if guess > 0.0 else 0.1 * sought, 1.0
    for _ in range(30):
        y = z / (1.0 + z)
        below = 1.0 + k1 * y + k12 * y * y
        above = k1 * y + 2.0 * k12 * y * y
        d_bound = ((k1 + 4.0 * k12 * y) * below - above * (k1 + 2.0 * k12 * y)) / (below * below)
        d_z = 1.0 + d_bound / ((1.0 + z) * (1.0 + z))
        step = (sought - z - above / below) / d_z
        z = max(z + step, 0.0)
        if abs(step) < 1e-9:
            break
    y = z / (1.0 + z)
    return y / k, w / 18.0 / (d_z * (1.0 + z) * (1.0 + z) * k), z


@compiled
def latent(celsius: float) -> float:
    """Heat to turn water to steam at that temperature, a straight line. [J/kg]"""
    return 2.5009e6 - 2386.0 * celsius
