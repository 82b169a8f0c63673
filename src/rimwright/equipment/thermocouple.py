"""Voltage of a type K thermocouple, both ways, by its international reference functions."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
from numpy.polynomial import polynomial

from rimwright.errors import OutsideValidityError
from rimwright.sources import Source, register

register(
    Source("NIST_SRD60", "NIST ITS-90 thermocouple database (SRD 60), type K; the same functions "
           "stand in IEC 60584-1", "read as data of open packages"),
)  # fmt: skip

Numeric = float | npt.NDArray[np.float64]

#: Of the published functions. [degC]
COLDEST_C, HOTTEST_C = -270.0, 1372.0

# In millivolts and °C, from the constant term up.
_BELOW_ZERO = (
    0.0, 0.394501280250e-1, 0.236223735980e-4, -0.328589067840e-6, -0.499048287770e-8,
    -0.675090591730e-10, -0.574103274280e-12, -0.310888728940e-14, -0.104516093650e-16,
    -0.198892668780e-19, -0.163226974860e-22,
)  # fmt: skip
_ABOVE_ZERO = (
    -0.176004136860e-1, 0.389212049750e-1, 0.185587700320e-4, -0.994575928740e-7,
    0.318409457190e-9, -0.560728448890e-12, 0.560750590590e-15, -0.320207200030e-18,
    0.971511471520e-22, -0.121047212750e-25,
)  # fmt: skip
_HUMP_MV, _HUMP_PER_K2, _HUMP_C = 0.118597600000, -0.118343200000e-3, 0.126968600000e3
_NEWTON_STEPS = 6


def _refuse_outside(value: npt.NDArray[np.float64], low: float, high: float, unit: str) -> None:
    outside = ~((value >= low) & (value <= high))
    if np.any(outside):
        raise OutsideValidityError(
            f"a type K reading of {float(value[outside].flat[0]):g} {unit}",
            f"{low:g} to {high:g} {unit} (NIST ITS-90)",
            "check the probe and its connection",
        )


def type_k_emf(temperature_c: Numeric) -> Numeric:
    r"""Voltage between the ends of a type K probe whose cold end is at 0 °C.

    Parameters
    ----------
    temperature_c : numeric
        Of the hot end, -270 to 1372 °C. [degC]

    Returns
    -------
    numeric
        [V]

    Raises
    ------
    OutsideValidityError
        Outside that range.

    Notes
    -----
    NIST ITS-90 (SRD 60): a polynomial of degree 10 below 0 °C; above, one of degree 9 and

    .. math:: a_0 \exp(a_1 (t - a_2)^2)

    For a cold end at another temperature subtract its voltage.

    Examples
    --------
    >>> round(float(type_k_emf(110.0)) * 1e3, 3)  # [mV]
    4.509
    """
    celsius = np.asarray(temperature_c, dtype=np.float64)
    _refuse_outside(celsius, COLDEST_C, HOTTEST_C, "°C")
    cold = polynomial.polyval(celsius, _BELOW_ZERO)
    hot = polynomial.polyval(celsius, _ABOVE_ZERO) + _hump(celsius)
    return np.asarray(1e-3 * np.where(celsius < 0.0, cold, hot))


def type_k_temperature(emf_v: Numeric) -> Numeric:
    """Temperature of a type K probe from its voltage, its cold end at 0 °C.

    Parameters
    ----------
    emf_v : numeric
        -6.458 to 54.886 mV. [V]

    Returns
    -------
    numeric
        [degC]

    Raises
    ------
    OutsideValidityError
        Outside the range of the reference functions.

    Notes
    -----
    Newton's method on `type_k_emf`, so that there and back agrees to rounding; the published
    inverse polynomials err by up to 0.06 K.

    Examples
    --------
    A meter whose terminals are at 23 °C reads 3.59 mV; add the voltage of the terminals.

    >>> round(float(type_k_temperature(3.59e-3 + type_k_emf(23.0))), 1)
    110.0
    """
    volts = np.asarray(emf_v, dtype=np.float64)
    grid = np.linspace(COLDEST_C, HOTTEST_C, 400)
    along = np.asarray(type_k_emf(grid))
    _refuse_outside(1e3 * volts, 1e3 * along[0], 1e3 * along[-1], "mV")
    celsius = np.interp(volts, along, grid)
    for _ in range(_NEWTON_STEPS):
        step = (type_k_emf(celsius) - volts) / _slope(celsius)
        celsius = np.clip(celsius - step, COLDEST_C, HOTTEST_C)
    return np.asarray(celsius)


def _hump(celsius: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    return np.asarray(_HUMP_MV * np.exp(_HUMP_PER_K2 * (celsius - _HUMP_C) ** 2))


def _slope(celsius: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """Volts per kelvin."""
    cold = polynomial.polyval(celsius, polynomial.polyder(_BELOW_ZERO))
    hot = polynomial.polyval(celsius, polynomial.polyder(_ABOVE_ZERO))
    hot += 2.0 * _HUMP_PER_K2 * (celsius - _HUMP_C) * _hump(celsius)
    return np.asarray(1e-3 * np.where(celsius < 0.0, cold, hot))
