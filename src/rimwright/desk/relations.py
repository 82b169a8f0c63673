"""Every relation of wood, water, heat and bend that a maker may ask, with where it holds."""

from __future__ import annotations

from typing import Any, Literal

from rimwright.bending.springback_ratio import springback_ratio
from rimwright.desk.relation import Input, Relation
from rimwright.equipment.thermocouple import COLDEST_C, HOTTEST_C, type_k_emf
from rimwright.sources import Provenance
from rimwright.wood.relations import conductivity, density, equilibrium_moisture, specific_heat
from rimwright.wood.scorch import (
    GLOW_C,
    IGNITION_C,
    SCORCH_AT_5_MIN_C,
    SCORCH_PER_DOUBLING_K,
    scorch_temperature,
)
from rimwright.wood.softening import IN_SITU_OFFSET_K, softening_temperature
from rimwright.wood.strength import stiffness_ratio, strength_ratio
from rimwright.wood.swelling import swelling
from rimwright.wood.transport import SORPTIVITY, moisture_diffusion, water_uptake


def _moisture(low: float = 0.0, high: float = 0.30) -> Input:
    return Input("moisture", "fraction", low, high)


def _temperature(low: float, high: float, default: float | None = None) -> Input:
    return Input("temperature", "temperature", low, high, default)


def _strength(of: Literal["bending", "tension", "compression"]) -> Relation:
    return Relation(
        name=f"{of}_strength_ratio",
        meaning=f"Strength in {of} along the grain, over what it is at 12 % and 20 °C.",
        inputs=(_moisture(0.06, 0.25), _temperature(20.0, 50.0)),
        unit="fraction",
        formula=lambda moisture, temperature_c: strength_ratio(of, moisture, temperature_c),
        provenance=Provenance.PUBLISHED,
        source="WH_TEMPERATURE_STRENGTH",
        note="Eq. 5-3 and Tables 5-14, 5-15, from memory; beyond 50 °C assumed",
    )


def _scorch_spread(duration_s: float) -> tuple[Any, Any]:
    corners = [
        float(scorch_temperature(duration_s, at_c, per_k))
        for at_c in (SCORCH_AT_5_MIN_C.low, SCORCH_AT_5_MIN_C.high)
        for per_k in (SCORCH_PER_DOUBLING_K.low, SCORCH_PER_DOUBLING_K.high)
    ]
    return min(corners), max(corners)


#: In the order in which they are listed: water, heat, strength, bend, probe.
RELATIONS: dict[str, Relation] = {
    relation.name: relation
    for relation in (
        Relation(
            name="emc",
            meaning="Moisture that wood settles to in air of a temperature and humidity.",
            inputs=(_temperature(-1.2, 99.0), Input("humidity", "fraction", 0.0, 0.95)),
            unit="fraction",
            formula=equilibrium_moisture,
            provenance=Provenance.PUBLISHED,
            source="WH_EMC",
            note="Eq. 4-5 (Hailwood-Horrobin)",
        ),
        Relation(
            name="density",
            meaning="Mass of moist wood over its volume.",
            inputs=(Input("gravity_12", "fraction", 0.1, 1.4), _moisture()),
            unit="kg/m³",
            formula=density,
            provenance=Provenance.PUBLISHED,
            source="WH_GRAVITY",
            note="from the gravity at 12 % moisture; from memory",
        ),
        Relation(
            name="swelling",
            meaning="Growth across the grain from one moisture to another, by the shrinkage.",
            inputs=(
                Input("from_moisture", "fraction", 0.0, 0.30),
                Input("to_moisture", "fraction", 0.0, 0.30),
                Input("shrinkage", "fraction", 0.0, 0.20),
            ),
            unit="fraction",
            formula=swelling,
            provenance=Provenance.PUBLISHED,
            source="WH_SHRINKAGE",
            note="in proportion below fibre saturation; from memory",
        ),
        Relation(
            name="water_uptake",
            meaning="Water a wet face draws in, in a time.",
            inputs=(Input("time", "time", 0.0, 86_400.0),),
            unit="kg/m²",
            formula=lambda time_s: water_uptake(time_s, SORPTIVITY["tropical"].middle),
            provenance=Provenance.ASSUMED,
            source="BUILDING_PHYSICS",
            note="root of time; middle as dense hardwoods, range over every class of wood",
            spread=lambda time_s: (
                water_uptake(time_s, min(of.low for of in SORPTIVITY.values())),
                water_uptake(time_s, max(of.high for of in SORPTIVITY.values())),
            ),
        ),
        Relation(
            name="moisture_diffusion",
            meaning="Diffusion coefficient of water across the grain.",
            inputs=(
                _moisture(),
                _temperature(0.0, 100.0),
                Input("specific_gravity", "fraction", 0.1, 1.4, 0.6),
            ),
            unit="m²/s",
            formula=moisture_diffusion,
            provenance=Provenance.PUBLISHED,
            source="SIAU_1984",
            note="from memory; the range, a factor of two and a half, is ours",
            spread=lambda **of: (moisture_diffusion(**of) / 2.5, moisture_diffusion(**of) * 2.5),
        ),
        Relation(
            name="conductivity",
            meaning="How readily heat crosses the grain.",
            inputs=(
                Input("specific_gravity", "fraction", 0.3, 1.5),
                _moisture(0.0, 0.25),
                _temperature(-20.0, 180.0, 24.0),
            ),
            unit="W/(m K)",
            formula=conductivity,
            provenance=Provenance.PUBLISHED,
            source="WH_CONDUCTIVITY",
            note="Eq. 4-15 at 24 °C, and 0.27 % more per kelvin; pieces scatter by 20 %",
            spread=lambda **of: (0.8 * conductivity(**of), 1.2 * conductivity(**of)),
        ),
        Relation(
            name="specific_heat",
            meaning="Heat to warm a kilogram of moist wood by one degree.",
            inputs=(_moisture(), _temperature(6.8, 146.9)),
            unit="J/(kg K)",
            formula=specific_heat,
            provenance=Provenance.PUBLISHED,
            source="WH_SPECIFIC_HEAT",
            note="Eqs. 4-16a to 4-18",
        ),
        Relation(
            name="softening_temperature",
            meaning="Temperature at which the matrix between the fibres goes soft.",
            inputs=(_moisture(),),
            unit="degC",
            formula=softening_temperature,
            provenance=Provenance.DERIVED,
            source="GORING_1963",
            note="ours through isolated lignin's points, held above fibre saturation; the range, "
            "assumed, is what wood itself may differ: hardwoods lower, softwoods alike",
            spread=lambda moisture: (
                softening_temperature(moisture, IN_SITU_OFFSET_K["hardwood"].low),
                softening_temperature(moisture, IN_SITU_OFFSET_K["softwood"].high),
            ),
        ),
        Relation(
            name="scorch_temperature",
            meaning="Temperature at which a thin side darkens within a time.",
            inputs=(Input("duration", "time", 10.0, 3600.0),),
            unit="degC",
            formula=scorch_temperature,
            provenance=Provenance.ASSUMED,
            note="nothing published for thin wood; a shop's own records may move it",
            spread=_scorch_spread,
        ),
        Relation(
            name="glow_temperature",
            meaning="Surface temperature from which wood may begin to glow.",
            inputs=(),
            unit="degC",
            formula=lambda: GLOW_C.middle,
            provenance=GLOW_C.provenance,
            source=GLOW_C.source,
        ),
        Relation(
            name="ignition_temperature",
            meaning="Temperature at which wood catches fire when heated for a short time.",
            inputs=(),
            unit="degC",
            formula=lambda: IGNITION_C.middle,
            provenance=IGNITION_C.provenance,
            source=IGNITION_C.source,
            note=IGNITION_C.note,
            spread=lambda: (IGNITION_C.low, IGNITION_C.high),
        ),
        Relation(
            name="stiffness_ratio",
            meaning="Stiffness along the grain of firm wood, over what it is at 12 % and 20 °C.",
            inputs=(_moisture(0.06, 0.25), _temperature(0.0, 65.6)),
            unit="fraction",
            formula=stiffness_ratio,
            provenance=Provenance.PUBLISHED,
            source="WH_TEMPERATURE_STIFFNESS",
            note="Eq. 5-3 (from memory) and Table 5-16; hotter than 66 °C assumed; the range is "
            "woods whose stiffness dry over green is 1.15 to 1.28, ours",
            spread=lambda **of: tuple(sorted(stiffness_ratio(**of, dry_over_green=ratio)
                                             for ratio in (1.15, 1.28))),
        ),
        *(_strength(of) for of in ("bending", "tension", "compression")),
        Relation(
            name="springback_ratio",
            meaning="Share of its curvature that a bent strip keeps when it is let go.",
            inputs=(Input("x", "fraction", 0.0, 0.5),),
            unit="1",
            formula=springback_ratio,
            provenance=Provenance.PUBLISHED,
            source="SHEET_SPRINGBACK",
            note="K = 4x³ − 3x + 1, x = flow stress × radius / (stiffness × thickness)",
        ),
        Relation(
            name="type_k_emf",
            meaning="Voltage of a type K probe whose cold end is at 0 °C.",
            inputs=(_temperature(COLDEST_C, HOTTEST_C),),
            unit="V",
            formula=type_k_emf,
            provenance=Provenance.PUBLISHED,
            source="NIST_SRD60",
            note="ITS-90 reference functions",
        ),
    )
}  # fmt: skip
