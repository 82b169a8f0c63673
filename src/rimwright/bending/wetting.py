"""Wetting a side: the water its faces take up, and where it has got to before the heat.

A face drinks with the root of time; what is on it and not yet drunk waits as a film. Within
the side the water spreads by diffusion whose coefficient rises with moisture. Wrapped, none
is lost.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from rimwright.curves.piece import FloatArray
from rimwright.errors import GeometryError
from rimwright.instrument.design import Wetting
from rimwright.sources import Provenance, Sourced
from rimwright.wood.relations import equilibrium_moisture
from rimwright.wood.transport import SORPTIVITY, greatest_moisture
from rimwright.wood.validity import within

#: Slices to a fibre and steps to a phase: a profile is then within 0.0005 (of a moisture) of
#: one with ten times as many of each; a test measures it.
_SLICES_PER_FIBRE = 4
_STEPS = 60
_TABLE_POINTS = 121
#: A dip or a soak whose time is not stated. [s]
_PLUNGE_S = 5.0


def _film(low: float, middle: float, high: float, note: str) -> Sourced:
    return Sourced(middle=middle, low=low, high=high, provenance=Provenance.ASSUMED, note=note)


#: Water left on each face by the way of wetting, once out of the bath. [kg/m²]
FILM_KG_M2: Mapping[str, Sourced] = MappingProxyType(
    {
        "dry": _film(0.0, 0.0, 0.0, "by definition"),
        "mist": _film(0.025, 0.05, 0.075, "a light spray: a twentieth of a millimetre"),
        "dip": _film(0.03, 0.06, 0.10, "what clings after dripping off"),
        "soak": _film(0.03, 0.06, 0.10, "what clings after dripping off"),
    }
)

#: A stay this short is none; steps of it would vanish beside the time before. [s]
_NO_TIME_S = 1e-3


@dataclass(frozen=True, kw_only=True)
class MoistureProfile:
    """Moisture through the thickness of a side, from its inside face to its outside face."""

    #: Middles of the fibres, slices of equal thickness, shape (fibres,). [m]
    x_m: FloatArray
    #: Mean of each fibre, shape (fibres,). [fraction]
    moisture: FloatArray
    #: Still on each face, not drunk yet. [kg/m²]
    film_kg_m2: float
    #: Drunk by both faces together. [kg/m²]
    taken_up_kg_m2: float

    @property
    def mean(self) -> float:
        """Mean moisture. [fraction]"""
        return float(np.mean(self.moisture))


def wet_side(
    wetting: Wetting,
    *,
    thickness_m: float,
    specific_gravity: float,
    room_c: float,
    humidity: float,
    sorptivity_kg_m2_s05: float = SORPTIVITY["tropical"].middle,
    film_kg_m2: float | None = None,
    fibres: int = 11,
) -> MoistureProfile:
    r"""Moisture of a side that was wetted on both faces and stood wrapped.

    Parameters
    ----------
    wetting : Wetting
        The way, how long in the water, how long it stands.
    thickness_m : float
        0.2 to 20 mm. [m]
    specific_gravity : float
        On oven-dry mass and volume at 12 % moisture.
    room_c, humidity : float
        Of the shop, whose air the wood has settled in. [degC], [fraction]
    sorptivity_kg_m2_s05 : float, default 0.002
        How fast a face drinks; by class of wood in `wood.transport.SORPTIVITY`.
        [kg/(m² s^0.5)]
    film_kg_m2 : float, optional
        Water left on each face; `FILM_KG_M2` by default. [kg/m²]
    fibres : int, default 11

    Returns
    -------
    MoistureProfile
        Water is kept: what the fibres gained and what is left on the faces is what was
        put on.

    Raises
    ------
    GeometryError
        For a thickness that no side has.
    OutsideValidityError
        For air or wood outside the range of the relations.

    Notes
    -----
    A face drinks at most :math:`A \sqrt{t}`, its film, and what its outermost slice can
    hold. The swelling of the wood is left out: thickness is that of the wood as it was.

    Examples
    --------
    A light mist on walnut, ten minutes on: wet outside, hardly changed at the core.

    >>> wet = wet_side(Wetting(), thickness_m=2.1e-3, specific_gravity=0.55, room_c=21.0,
    ...                humidity=0.45)
    >>> [round(float(wet.moisture[i]), 2) for i in (0, 5, 10)]
    [0.32, 0.08, 0.32]
    """
    if not 0.2e-3 <= thickness_m <= 20e-3:
        raise GeometryError(
            f"a side {thickness_m * 1e3:g} mm thick", "0.2 to 20 mm", "give its thickness"
        )
    start = float(equilibrium_moisture(room_c, humidity))
    full = max(float(greatest_moisture(specific_gravity)), start)
    suck = float(
        within(
            sorptivity_kg_m2_s05, 0.0, 0.05, name="sorptivity", unit="kg/(m² s^0.5)",
            source="end grain at most",
        )
    )  # fmt: skip
    left = FILM_KG_M2[wetting.method].middle if film_kg_m2 is None else film_kg_m2
    slices = fibres * _SLICES_PER_FIBRE
    slice_m = thickness_m / slices
    slice_kg_m2 = 1000.0 * specific_gravity * slice_m
    moisture, film = np.full(slices, start), np.full(2, left)

    if wetting.method != "dry":
        from rimwright.bending.kernels.diffusion import absorb, coefficient_table

        table = coefficient_table(room_c, specific_gravity, _TABLE_POINTS)
        in_bath_s = 0.0
        if wetting.method in ("dip", "soak"):
            in_bath_s = wetting.duration_s or _PLUNGE_S
        phases = ((0.0, in_bath_s, math.inf), (in_bath_s, in_bath_s + wetting.stand_s, left))
        for begin_s, end_s, water in phases:
            film[:] = water
            if end_s - begin_s > _NO_TIME_S:
                roots = np.linspace(math.sqrt(begin_s), math.sqrt(end_s), _STEPS + 1)
                absorb(moisture, film, roots, suck, full, slice_kg_m2, slice_m, table)
    return MoistureProfile(
        x_m=(np.arange(fibres) + 0.5) * thickness_m / fibres,
        moisture=moisture.reshape(fibres, _SLICES_PER_FIBRE).mean(axis=1),
        film_kg_m2=float(film[0]),
        taken_up_kg_m2=float(np.sum(moisture - start)) * slice_kg_m2,
    )
