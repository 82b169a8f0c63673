"""How stiffness and strength along the grain change with moisture and temperature."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

import numpy as np

from rimwright.sources import Source, register
from rimwright.wood.validity import Array, Numeric, warn_outside, within

register(
    Source("WH_MOISTURE_STRENGTH", "Wood Handbook FPL-GTR-190 ch. 5, Eq. 5-3, Tables 5-13, 5-14",
           "memory"),
    Source("WH_TEMPERATURE_STIFFNESS", "Wood Handbook FPL-GTR-190 ch. 5, Table 5-16",
           "read in a stored copy of the page that has lost its minus signs"),
    Source("WH_TEMPERATURE_STRENGTH", "Wood Handbook FPL-GTR-190 ch. 5, Table 5-15",
           "memory; the same figures stand in a stored copy with scrambled columns"),
)  # fmt: skip

#: Moisture at which drying first changes strength, most woods (Table 5-13). [fraction]
_TURNING = 0.25
#: Change of stiffness by temperature, from dry to 12 % and from there to green. [1/K]
_STIFFNESS_PER_K = (-0.1108 * 1.8e-2, -0.1793 * 1.8e-2)
#: Hottest of Tables 5-16 and 5-15. [°C]
_HOTTEST_STIFFNESS, _HOTTEST_STRENGTH = (150.0 - 32.0) / 1.8, 50.0
_HOTTEST = 180.0

Strength = Literal["bending", "tension", "compression"]


@dataclass(frozen=True, slots=True)
class _Change:
    """How one strength changes."""

    #: At 12 % over green: a middle of what Table 5-14 gives at 6 and at 20 %.
    dry_over_green: float
    #: Moistures, and the change there from 20 to 50 °C (Table 5-15).
    moisture: tuple[float, ...]
    at_50_c: tuple[float, ...]


_STRENGTHS: Mapping[str, _Change] = MappingProxyType(
    {
        "bending": _Change(1.68, (0.04, 0.13, 0.19), (-0.10, -0.20, -0.25)),
        "tension": _Change(1.24, (0.12,), (-0.04,)),
        "compression": _Change(1.96, (0.0, 0.12), (-0.10, -0.25)),
    }
)


def _by_moisture(water: Array, dry_over_green: Numeric) -> Array:
    """Eq. 5-3 over its value at 12 %; green from the turning point on."""
    below = np.minimum(water, _TURNING)
    return np.asarray(dry_over_green ** ((0.12 - below) / (_TURNING - 0.12)))


def stiffness_ratio(
    moisture: Numeric, temperature_c: Numeric, dry_over_green: Numeric = 1.22
) -> Numeric:
    r"""Stiffness along the grain over what it is at 12 % moisture and 20 °C.

    This is firm wood made a little softer. What happens near the softening temperature is
    no part of it: that is the bend's own law.

    Parameters
    ----------
    moisture : numeric
        0 to 3; published for 6 % and more, constant from 25 % on. [fraction]
    temperature_c : numeric
        0 to 180 °C; published to 66 °C (150 °F), beyond it with a warning. [degC]
    dry_over_green : numeric, default 1.22
        The wood's stiffness at 12 % over its stiffness green; the default is the middle of
        what Table 5-14 gives at 6 % (1.21) and 20 % (1.25).

    Raises
    ------
    OutsideValidityError
        Outside those ranges.

    Warns
    -----
    ExtrapolationWarning
        Below 6 % or above 66 °C.

    Notes
    -----
    Wood Handbook Eq. 5-3 with the turning point at 25 %, times a straight line in
    temperature with the slopes of Table 5-16, 0.20 % per kelvin up to 12 % moisture and
    0.32 % green, moisture between taken in proportion.

    Examples
    --------
    >>> round(float(stiffness_ratio(0.20, 40.0)), 2)
    0.84
    """
    water = within(moisture, 0.0, 3.0, name="moisture", source="saturated light wood at most")
    celsius = within(temperature_c, 0.0, _HOTTEST, name="temperature", unit="°C", source="ours")
    warn_outside(water, 0.06, 3.0, name="moisture", source="Wood Handbook Table 5-14")
    warn_outside(
        celsius, 0.0, _HOTTEST_STIFFNESS, name="temperature", unit="°C",
        source="Wood Handbook Table 5-16",
    )  # fmt: skip
    slope = np.interp(water, (0.12, _TURNING), _STIFFNESS_PER_K)
    return _by_moisture(water, dry_over_green) * (1.0 + slope * (celsius - 20.0))


def strength_ratio(of: Strength, moisture: Numeric, temperature_c: Numeric) -> Numeric:
    r"""Strength along the grain over what it is at 12 % moisture and 20 °C.

    Parameters
    ----------
    of : str
        "bending" (modulus of rupture), "tension" or "compression".
    moisture : numeric
        0 to 3; published from 6 to 20 %, constant from 25 % on. [fraction]
    temperature_c : numeric
        20 to 180 °C; published to 50 °C, beyond it with a warning. [degC]

    Raises
    ------
    OutsideValidityError
        Outside those ranges.

    Warns
    -----
    ExtrapolationWarning
        Below 6 % or above 50 °C.

    Notes
    -----
    Wood Handbook Eq. 5-3 with the turning point at 25 %, times the change of Table 5-15
    from 20 to 50 °C, moisture between its columns taken in proportion. Beyond 50 °C each
    further 30 K take the same share again: assumed.

    Examples
    --------
    Compression gives way to water and heat long before tension does.

    >>> [round(float(strength_ratio(of, 0.20, 50.0)), 2) for of in ("tension", "compression")]
    [0.84, 0.5]
    """
    change = _STRENGTHS[of]
    water = within(moisture, 0.0, 3.0, name="moisture", source="saturated light wood at most")
    celsius = within(temperature_c, 20.0, _HOTTEST, name="temperature", unit="°C", source="ours")
    warn_outside(water, 0.06, 3.0, name="moisture", source="Wood Handbook Table 5-14")
    warn_outside(
        celsius, 20.0, _HOTTEST_STRENGTH, name="temperature", unit="°C",
        source="Wood Handbook Table 5-15",
    )  # fmt: skip
    at_50 = 1.0 + np.interp(water, change.moisture, change.at_50_c)
    return np.asarray(_by_moisture(water, change.dry_over_green) * at_50 ** ((celsius - 20.0) / 30))
