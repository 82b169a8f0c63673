"""How long the stack takes to warm, and the power that holds it: an energy balance.

One temperature for the whole stack, heat capacities added up, the blanket's power in, the
losses of both faces out, the water warmed and partly boiled away at 100 °C. It cannot see
the difference between probe and wood; that takes the conduction through the layers.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from rimwright.bending.results import WarmUp
from rimwright.curves.piece import FloatArray
from rimwright.equipment.materials import material
from rimwright.equipment.stack import Equipment
from rimwright.errors import DesignError
from rimwright.instrument.design import Wetting
from rimwright.sources import Provenance, Source, Sourced, register
from rimwright.wood.relations import equilibrium_moisture, specific_heat

register(
    Source("HOLMAN", "Holman, Heat Transfer: simplified free convection in air", "memory"),
    Source("EMISSIVITY_TABLES", "Tables of total emissivity", "memory"),
)

_W_M2_PER_W_IN2 = 1550.0031
_STEFAN_BOLTZMANN = 5.670374419e-8
_WATER_HEAT_J_KG_K = 4180.0
_WATER_LATENT_J_KG = 2.257e6
_BOILING_C = 100.0
#: Oxidised steel and silicone, both about this (tables of emissivity, from memory).
_EMISSIVITY = 0.85
#: Clamps, form edges and ends take heat too: losses of the bare faces times this. Assumed.
_EXTRA_LOSS = Sourced(middle=1.4, low=1.1, high=1.7, provenance=Provenance.ASSUMED)
#: A blanket's real power over its plate's. Assumed: mains voltage and resistance vary.
_POWER = Sourced(middle=1.0, low=0.9, high=1.05, provenance=Provenance.ASSUMED)
#: Share of the water that has boiled away by the time the target is reached. Assumed.
_BOILED = Sourced(middle=0.6, low=0.3, high=1.0, provenance=Provenance.ASSUMED)
#: Water carried on and in both faces by the way of wetting. Assumed. [kg/m²]
WATER_KG_M2: dict[Literal["dry", "mist", "dip", "soak"], Sourced] = {
    "dry": Sourced(middle=0.0, low=0.0, high=0.02, provenance=Provenance.ASSUMED),
    "mist": Sourced(middle=0.10, low=0.05, high=0.15, provenance=Provenance.ASSUMED),
    "dip": Sourced(middle=0.18, low=0.10, high=0.30, provenance=Provenance.ASSUMED),
    "soak": Sourced(middle=0.35, low=0.20, high=0.60, provenance=Provenance.ASSUMED),
}


@dataclass(frozen=True, slots=True)
class _Case:
    """One reading of what is uncertain."""

    power: float
    loss: float
    water: float
    boiled: float


def face_losses(temperature_c: FloatArray, room_c: float, width_m: float) -> FloatArray:
    """Heat lost by both faces of a flat stack to still air. [W/m²]

    Free convection over a hot face looking up and one looking down, h = 1.32 and 0.59
    (dT/L)^¼ (Holman, from memory), with radiation of both faces.

    Examples
    --------
    >>> import numpy as np
    >>> face_losses(np.array([110.0]), 21.0, 0.15).round(-1).tolist()  # [W/m²]
    [2140.0]
    """
    rise = np.maximum(np.asarray(temperature_c, dtype=np.float64) - room_c, 0.0)
    convection = (1.32 + 0.59) * (rise / width_m) ** 0.25 * rise
    hot, cold = np.asarray(temperature_c) + 273.15, room_c + 273.15
    radiation = 2.0 * _EMISSIVITY * _STEFAN_BOLTZMANN * (hot**4 - cold**4)
    return np.asarray(convection + np.maximum(radiation, 0.0))


def heat_capacity(
    equipment: Equipment, *, thickness_m: float, density_kg_m3: float, moisture: float
) -> float:
    """Heat to warm a square metre of the stack by one degree, without added water. [J/(m² K)]"""
    total = density_kg_m3 * thickness_m * float(specific_heat(moisture, 60.0))
    for layer in equipment.layers:
        if layer.kind != "side":
            of = material(layer.material, layer.temper)
            total += of.density_kg_m3.middle * of.specific_heat_j_kg_k.middle * layer.thickness_m
    return total


def _scaled(share: Sourced, value: float) -> Sourced:
    return replace(
        share, middle=share.middle * value, low=share.low * value, high=share.high * value
    )


def _propagated(
    of: Callable[[dict[str, float]], float], unsure: dict[str, Sourced], *, note: str
) -> Sourced:
    """The middle of a result, and its range from moving one input at a time.

    The moves are added as squares, as independent uncertainties are (JCGM 100:2008, Guide
    to the expression of uncertainty in measurement, 5.1.2, from memory), up and down apart.
    """
    middles = {name: value.middle for name, value in unsure.items()}
    middle = of(middles)
    moves = np.array(
        [
            of({**middles, name: end}) - middle
            for name, value in unsure.items()
            for end in (value.low, value.high)
        ]
    )
    return Sourced(
        middle=middle,
        low=middle - float(np.linalg.norm(moves[moves < 0])),
        high=middle + float(np.linalg.norm(moves[moves > 0])),
        provenance=Provenance.DERIVED,
        note=note,
    )


def warm_up(
    equipment: Equipment,
    wetting: Wetting,
    *,
    thickness_m: float,
    density_kg_m3: float,
    early_alarm_c: float,
    target_c: float,
) -> WarmUp:
    """Times to the early alarm and the target, and the share of power that holds it.

    Raises
    ------
    DesignError
        If the blanket is too weak ever to reach the target.
    """
    moisture = float(equilibrium_moisture(equipment.room_c, equipment.humidity))
    dry_capacity = heat_capacity(
        equipment, thickness_m=thickness_m, density_kg_m3=density_kg_m3, moisture=moisture
    )
    water = WATER_KG_M2[wetting.method]
    blanket = equipment.blanket

    def time_to(temperature_c: float, case: _Case) -> float:
        grid = np.linspace(min(equipment.room_c, temperature_c), temperature_c, 201)
        middle = 0.5 * (grid[1:] + grid[:-1])
        loss = case.loss * face_losses(middle, equipment.room_c, blanket.width_m)
        # A weak case may only just get there; the middle case has been checked to.
        net = np.maximum(case.power - loss, 0.03 * case.power)
        left = np.where(middle > _BOILING_C, 1.0 - case.boiled, 1.0)
        capacity = dry_capacity + _WATER_HEAT_J_KG_K * case.water * left
        seconds = float(np.sum(capacity * np.diff(grid) / net))
        if temperature_c > _BOILING_C:
            at_boil = case.loss * float(
                face_losses(np.array([_BOILING_C]), equipment.room_c, blanket.width_m)[0]
            )
            boil_net = max(case.power - at_boil, 0.03 * case.power)
            seconds += case.water * case.boiled * _WATER_LATENT_J_KG / boil_net
        return seconds

    power = blanket.power_density_w_m2
    bare = float(face_losses(np.array([target_c]), equipment.room_c, blanket.width_m)[0])
    if power <= _EXTRA_LOSS.middle * bare:
        raise DesignError(
            f"a blanket of {power / _W_M2_PER_W_IN2:.1f} W/in² that never reaches "
            f"{target_c:.0f} °C",
            f"more than {_EXTRA_LOSS.middle * bare / _W_M2_PER_W_IN2:.1f} W/in², the losses there",
            "use a stronger blanket, cover the stack, or lower the target",
        )
    unsure = {
        "power": _scaled(_POWER, power),
        "loss": _EXTRA_LOSS,
        "water": water,
        "boiled": _BOILED,
    }

    def time(temperature_c: float) -> Sourced:
        return _propagated(
            lambda values: time_to(temperature_c, _Case(**values)),
            unsure,
            note="energy balance of the stack",
        )

    hold = _propagated(
        lambda values: min(values["loss"] * bare / values["power"], 1.0),
        {name: unsure[name] for name in ("power", "loss")},
        note="losses of both faces over the blanket's power",
    )
    boiled = _BOILED.middle if target_c > _BOILING_C else 0.0
    energy = (
        dry_capacity * (target_c - equipment.room_c)
        + water.middle * _WATER_HEAT_J_KG_K * (min(target_c, _BOILING_C) - equipment.room_c)
        + water.middle * boiled * _WATER_LATENT_J_KG
    )
    return WarmUp(
        to_early_alarm_s=time(early_alarm_c),
        to_target_s=time(target_c),
        hold_fraction=hold,
        energy_j_m2=energy,
        rests_on=(
            "one temperature for the whole stack: the wood lags the blanket, not counted here",
            "free convection and radiation from tables (from memory); clamps and form assumed "
            "to add two fifths (a tenth to seven tenths)",
            f"water of a {wetting.method} side assumed {water.middle * 1e3:.0f} g/m² "
            f"({water.low * 1e3:.0f} to {water.high * 1e3:.0f})",
        ),
    )
