"""What wood does with water and heat: the handbook's relations, within their ranges."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from rimwright.errors import OutsideValidityError
from rimwright.sources import Source, register

register(
    Source(
        "WH_EMC",
        "Glass & Zelinka, Wood Handbook ch. 4, Eq. 4-5, after Simpson 1973; coefficients in °C",
        "read in a note that quotes the 2021 edition",
    ),
    Source(
        "WH_SPECIFIC_HEAT",
        "Wood Handbook FPL-GTR-190 ch. 4, Eqs. 4-16a, 4-17, 4-18",
        "read in the source of the open package chemics",
    ),
    Source("WH_GRAVITY", "Wood Handbook FPL-GTR-113 ch. 3, gravity against moisture", "memory"),
)

#: Wood Handbook chapter 4 takes 30 % as a middle for the fibre saturation point.
FIBRE_SATURATION = 0.30

Array = npt.NDArray[np.float64]
Numeric = float | Array


def equilibrium_moisture(temperature_c: Numeric, humidity: Numeric) -> Numeric:
    r"""Moisture that wood settles to in air of a given temperature and humidity.

    Parameters
    ----------
    temperature_c : numeric
        Air temperature, -1.2 to 99 °C. [degC]
    humidity : numeric
        Relative humidity, 0 to 0.95. [fraction]

    Returns
    -------
    numeric
        Mass of water over oven-dry mass. [fraction]

    Raises
    ------
    OutsideValidityError
        Outside the range of the published table, 30 to 210 °F and up to 95 %.

    Notes
    -----
    Wood Handbook Eq. 4-5, after Simpson 1973:

    .. math:: M = \frac{18}{W}\left(\frac{Kh}{1-Kh} +
        \frac{K_1 K h + 2 K_1 K_2 K^2 h^2}{1 + K_1 K h + K_1 K_2 K^2 h^2}\right)

    Examples
    --------
    >>> round(float(equilibrium_moisture(21.1, 0.45)), 3)
    0.085
    """
    celsius, air = np.asarray(temperature_c, float), np.asarray(humidity, float)
    _within(celsius, -1.2, 99.0, name="temperature", unit="°C", source="Wood Handbook Table 4-2")
    _within(air, 0.0, 0.95, name="relative humidity", unit="", source="Wood Handbook Table 4-2")
    w = 349.0 + 1.29 * celsius + 0.0135 * celsius**2
    k = 0.805 + 0.000736 * celsius - 0.00000273 * celsius**2
    k1 = 6.27 - 0.00938 * celsius - 0.000303 * celsius**2
    k2 = 1.91 + 0.0407 * celsius - 0.000293 * celsius**2
    kh = k * air
    bound = (k1 * kh + 2.0 * k1 * k2 * kh**2) / (1.0 + k1 * kh + k1 * k2 * kh**2)
    return np.asarray(18.0 / w * (kh / (1.0 - kh) + bound))


def specific_heat(moisture: Numeric, temperature_c: Numeric) -> Numeric:
    r"""Heat to warm a kilogram of moist wood by one degree.

    Parameters
    ----------
    moisture : numeric
        Mass of water over oven-dry mass, 0 to 0.30. [fraction]
    temperature_c : numeric
        7 to 147 °C. [degC]

    Returns
    -------
    numeric
        Per kilogram of wood and water together. [J/(kg K)]

    Raises
    ------
    OutsideValidityError
        Above fibre saturation, or outside 280 to 420 K.

    Notes
    -----
    Wood Handbook Eqs. 4-16a, 4-17 and 4-18, x in percent and T in kelvin:

    .. math:: c_{p0} = 0.1031 + 0.003867\,T, \quad
        c_p = \frac{c_{p0} + 0.0418\,x}{1 + 0.01\,x} +
        x(-0.06191 + 2.36\cdot10^{-4} T - 1.33\cdot10^{-4} x)

    The limits 280 and 420 K are recalled, not read.

    Examples
    --------
    >>> round(float(specific_heat(0.12, 340.0 - 273.15)), -1)
    1910.0
    """
    water, celsius = np.asarray(moisture, float), np.asarray(temperature_c, float)
    _within(water, 0.0, FIBRE_SATURATION, name="moisture", unit="", source="Wood Handbook Eq. 4-17")
    _within(celsius, 6.8, 146.9, name="temperature", unit="°C", source="Wood Handbook Eq. 4-16a")
    kelvin, percent = celsius + 273.15, 100.0 * water
    dry = 0.1031 + 0.003867 * kelvin
    mixed = (dry + 4.18 * water) / (1.0 + water)
    bond = percent * (-0.06191 + 2.36e-4 * kelvin - 1.33e-4 * percent)
    return 1e3 * (mixed + bond)


def gravity_12_from_basic(basic: Numeric) -> Numeric:
    r"""Gravity on volume at 12 % moisture from gravity on green volume.

    Notes
    -----
    Wood Handbook FPL-GTR-113 ch. 3, from memory, with 30 % fibre saturation:

    .. math:: G_M = G_b / (1 - 0.265\,a\,G_b), \quad a = (0.30 - M) / 0.30

    Examples
    --------
    Black walnut; Wood Handbook Table 5-3 has 0.55.

    >>> round(float(gravity_12_from_basic(0.51)), 3)
    0.555
    """
    return np.asarray(basic, float) / (1.0 - 0.265 * 0.6 * np.asarray(basic, float))


def density(gravity_12: Numeric, moisture: Numeric) -> Numeric:
    r"""Mass of moist wood over its volume.

    Parameters
    ----------
    gravity_12 : numeric
        Oven-dry mass over volume at 12 % moisture, over water's density.
    moisture : numeric
        0 to 0.30. [fraction]

    Returns
    -------
    numeric
        [kg/m³]

    Raises
    ------
    OutsideValidityError
        Above fibre saturation.

    Notes
    -----
    :math:`1000\,G_M (1 + M)` with the volume of `gravity_12_from_basic`, turned round.

    Examples
    --------
    >>> round(float(density(0.55, 0.12)), 1)
    616.0
    """
    water, gravity = np.asarray(moisture, float), np.asarray(gravity_12, float)
    _within(water, 0.0, FIBRE_SATURATION, name="moisture", unit="", source="below fibre saturation")
    basic = gravity / (1.0 + 0.265 * 0.6 * gravity)
    dryness = (FIBRE_SATURATION - water) / FIBRE_SATURATION
    return 1000.0 * (1.0 + water) * basic / (1.0 - 0.265 * dryness * basic)


def _within(value: Array, low: float, high: float, *, name: str, unit: str, source: str) -> None:
    inside = (value >= low) & (value <= high)
    if not np.all(inside):
        # A value that is no number is outside too.
        worst = float(value[~inside].flat[0])
        raise OutsideValidityError(
            f"{name} {worst:g} {unit}",
            f"{low:g} to {high:g} {unit} ({source})",
            f"give a {name} within that range",
        )
