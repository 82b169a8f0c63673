"""What wood does with water and heat: the handbook's relations, within their ranges."""

from __future__ import annotations

import numpy as np

from rimwright.sources import Source, register
from rimwright.wood.validity import Numeric, warn_outside, within

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
    Source(
        "WH_CONDUCTIVITY",
        "Wood Handbook FPL-GTR-190 ch. 4, Eq. 4-15 and its text",
        "read in a stored copy of the page",
    ),
    Source("WH_GRAVITY", "Wood Handbook FPL-GTR-113 ch. 3, gravity against moisture", "memory"),
)

#: Wood Handbook chapter 4 takes 30 % as a middle for the fibre saturation point.
FIBRE_SATURATION = 0.30


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
    table = "Wood Handbook Table 4-2"
    celsius = within(temperature_c, -1.2, 99.0, name="temperature", unit="°C", source=table)
    air = within(humidity, 0.0, 0.95, name="relative humidity", source=table)
    w = 349.0 + 1.29 * celsius + 0.0135 * celsius**2
    k = 0.805 + 0.000736 * celsius - 0.00000273 * celsius**2
    k1 = 6.27 - 0.00938 * celsius - 0.000303 * celsius**2
    k2 = 1.91 + 0.0407 * celsius - 0.000293 * celsius**2
    kh = k * air
    bound = (k1 * kh + 2.0 * k1 * k2 * kh**2) / (1.0 + k1 * kh + k1 * k2 * kh**2)
    return np.asarray(18.0 / w * (kh / (1.0 - kh) + bound))


def conductivity(
    specific_gravity: Numeric, moisture: Numeric, temperature_c: Numeric = 24.0
) -> Numeric:
    r"""How readily heat crosses the grain.

    Parameters
    ----------
    specific_gravity : numeric
        On oven-dry mass and volume at that moisture: above 0.3; from 0.1 with a warning.
    moisture : numeric
        Below 0.25; up to fibre saturation with a warning. [fraction]
    temperature_c : numeric, default 24
        -20 to 180 °C; the equation stands for 24 °C. [degC]

    Returns
    -------
    numeric
        Middle value; single pieces lie up to a fifth away (Wood Handbook ch. 4). [W/(m K)]

    Raises
    ------
    OutsideValidityError
        Above fibre saturation, or where there is no such wood or temperature.

    Warns
    -----
    ExtrapolationWarning
        Where the equation goes on past its published range.

    Notes
    -----
    Wood Handbook Eq. 4-15, x in percent, and its rise of 1 to 2 % for every 10 °F:

    .. math:: k = (G(0.1941 + 0.004064\,x) + 0.01864)\,(1 + 0.0027\,(T - 24))

    Examples
    --------
    Sugar maple at 12 %; Wood Handbook Table 4-7 has 0.18.

    >>> round(float(conductivity(0.66, 0.12)), 3)
    0.179
    """
    source = "Wood Handbook Eq. 4-15"
    gravity = within(specific_gravity, 0.1, 1.5, name="specific gravity", source="woods there are")
    water = within(moisture, 0.0, FIBRE_SATURATION, name="moisture", source=source)
    celsius = within(
        temperature_c, -20.0, 180.0, name="temperature", unit="°C", source="ours, about Eq. 4-15"
    )
    warn_outside(gravity, 0.3, 1.5, name="specific gravity", source=source)
    warn_outside(water, 0.0, 0.25, name="moisture", source=source)
    at_24 = gravity * (0.1941 + 0.4064 * water) + 0.01864
    return np.asarray(at_24 * (1.0 + 0.0027 * (celsius - 24.0)))


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
    water = within(
        moisture, 0.0, FIBRE_SATURATION, name="moisture", source="Wood Handbook Eq. 4-17"
    )
    celsius = within(
        temperature_c, 6.8, 146.9, name="temperature", unit="°C", source="Wood Handbook Eq. 4-16a"
    )
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
    gravity = np.asarray(gravity_12, float)
    water = within(
        moisture, 0.0, FIBRE_SATURATION, name="moisture", source="below fibre saturation"
    )
    basic = gravity / (1.0 + 0.265 * 0.6 * gravity)
    dryness = (FIBRE_SATURATION - water) / FIBRE_SATURATION
    return 1000.0 * (1.0 + water) * basic / (1.0 - 0.265 * dryness * basic)
