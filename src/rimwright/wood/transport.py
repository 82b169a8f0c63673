"""How water gets into wood and moves about in it, across the grain."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from rimwright.sources import Provenance, Source, Sourced, register
from rimwright.wood.relations import FIBRE_SATURATION
from rimwright.wood.validity import Numeric, warn_outside, within

register(
    Source("SIAU_1984", "Siau 1984, Transport Processes in Wood: bound water in the cell wall, "
           "and the model of walls and hollows", "memory"),
    Source("BUILDING_PHYSICS", "Capillary water uptake of woods, tables of building physics",
           "memory"),
    Source("VAXJO_2006", "Michalec & Niklasova 2006, Water uptake of hardwoods: diffuse-porous "
           "woods above ring-porous", "read in abstract"),
)  # fmt: skip

#: Density of the cell wall itself over water's; Wood Handbook ch. 4, from memory.
CELL_WALL_GRAVITY = 1.54
_LEAST_HOLLOW = 0.05


def _uptake(low: float, middle: float, high: float, source: str, note: str) -> Sourced:
    return Sourced(
        middle=middle,
        low=low,
        high=high,
        provenance=Provenance.ASSUMED,
        source=source,
        note=note,
    )


#: Water a wet face takes up, by class of wood, over the root of the time. [kg/(m² s^0.5)]
SORPTIVITY: Mapping[str, Sourced] = MappingProxyType(
    {
        "ring-porous": _uptake(0.001, 0.002, 0.005, "BUILDING_PHYSICS", "as oak"),
        "diffuse-porous": _uptake(0.0015, 0.003, 0.006, "VAXJO_2006", "above ring-porous"),
        "tropical": _uptake(0.001, 0.002, 0.005, "BUILDING_PHYSICS", "as dense hardwoods"),
        "dense tropical": _uptake(0.0007, 0.0015, 0.004, "BUILDING_PHYSICS", "below oak: ours"),
        "dense oily": _uptake(0.0003, 0.0008, 0.003, "", "oil keeps water out: ours"),
        "softwood": _uptake(0.002, 0.003, 0.005, "BUILDING_PHYSICS", "spruce across the grain"),
    }
)


def moisture_diffusion(
    moisture: Numeric, temperature_c: Numeric, specific_gravity: Numeric = 0.6
) -> Numeric:
    r"""How fast water spreads across the grain, for what the moisture is.

    Parameters
    ----------
    moisture : numeric
        Mass of water over oven-dry mass; held at fibre saturation above it. [fraction]
    temperature_c : numeric
        0 to 150; published from measurements near room temperature, so above 100 it warns.
        [degC]
    specific_gravity : numeric, default 0.6
        On oven-dry mass and volume at that moisture, 0.1 to 1.4.

    Returns
    -------
    numeric
        Diffusion coefficient, good to a factor of two or three. [m²/s]

    Raises
    ------
    OutsideValidityError
        Outside those ranges.

    Notes
    -----
    Siau 1984, from memory; bound water crosses the walls, M in percent, and vapour crosses
    the hollows, a share a² of the volume, so easily that they cost nothing:

    .. math:: D_w = 7\cdot10^{-6} e^{-(38500 - 290 M)/RT}, \quad
        D = \frac{D_w}{(1 - a^2)(1 - a)}, \quad a^2 = 1 - G(0.667 + 0.01 M)

    Free water above fibre saturation is taken to spread as at fibre saturation, and the
    heaviest woods to keep a twentieth of their volume hollow: assumed.

    Examples
    --------
    >>> f"{float(moisture_diffusion(0.20, 20.0)):.1e}"
    '6.5e-11'
    """
    water = within(moisture, 0.0, 3.0, name="moisture", source="saturated light wood at most")
    celsius = within(
        temperature_c, 0.0, 150.0, name="temperature", unit="°C", source="ours, from Siau 1984"
    )
    gravity = within(specific_gravity, 0.1, 1.4, name="specific gravity", source="woods there are")
    warn_outside(celsius, 0.0, 100.0, name="temperature", unit="°C", source="Siau 1984")
    percent = 100.0 * np.minimum(water, FIBRE_SATURATION)
    wall = 7e-6 * np.exp(-(38500.0 - 290.0 * percent) / (8.314 * (celsius + 273.15)))
    hollow = np.maximum(1.0 - gravity * (0.667 + 0.01 * percent), _LEAST_HOLLOW)
    return np.asarray(wall / ((1.0 - hollow) * (1.0 - np.sqrt(hollow))))


def greatest_moisture(specific_gravity: Numeric) -> Numeric:
    r"""Moisture of wood whose hollows are full of water.

    Notes
    -----
    Wood Handbook ch. 4, from memory, with the cell wall's gravity of 1.54:

    .. math:: M_{max} = (1.54 - G) / (1.54\, G)

    Examples
    --------
    >>> round(float(greatest_moisture(0.55)), 2)
    1.17
    """
    gravity = within(specific_gravity, 0.1, 1.4, name="specific gravity", source="lighter than "
                     "the cell wall")  # fmt: skip
    return (CELL_WALL_GRAVITY - gravity) / (CELL_WALL_GRAVITY * gravity)


def water_uptake(time_s: Numeric, sorptivity_kg_m2_s05: Numeric) -> Numeric:
    r"""Water that a wet face has drawn in after a time, as long as there is room for it.

    Parameters
    ----------
    time_s : numeric
        Since it was wetted, up to a day. [s]
    sorptivity_kg_m2_s05 : numeric
        See `SORPTIVITY`. [kg/(m² s^0.5)]

    Returns
    -------
    numeric
        [kg/m²]

    Raises
    ------
    OutsideValidityError
        For a time below 0 or beyond a day.

    Notes
    -----
    :math:`w = A \sqrt{t}`, the capillary law of a deep, uniform body.

    Examples
    --------
    >>> round(float(water_uptake(600.0, 0.002)) * 1e3)  # [g/m²]
    49
    """
    seconds = within(time_s, 0.0, 86_400.0, name="time", unit="s", source="ours")
    return sorptivity_kg_m2_s05 * np.sqrt(seconds)
