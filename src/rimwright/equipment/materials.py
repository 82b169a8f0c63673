"""What slats, wrap and blankets are made of: heat, stiffness and when a strip takes a set."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches

from rimwright.errors import UnknownNameError
from rimwright.sources import Provenance, Source, Sourced, register

register(
    Source("ISO10456_HT", "Building materials of ISO 10456, as the open package ht has them",
           "read; the standard's number from memory"),
    Source("METALS_HANDBOOK", "Metals handbooks in general", "memory"),
    Source("HEATER_NOTE", "Engineering notes of heater manufacturers", "read"),
    Source("POLYMER_GENERAL", "Paper and silicone rubber in general tables", "memory"),
)  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Material:
    """One material of the stack, in one temper."""

    name: str
    #: "" where tempers do not apply.
    temper: str
    density_kg_m3: Sourced
    specific_heat_j_kg_k: Sourced
    conductivity_w_m_k: Sourced
    #: None for what is not bent as a spring: paper, foil, silicone.
    stiffness_pa: Sourced | None = None
    #: Stress at which a strip takes a set; None likewise.
    yield_pa: Sourced | None = None

    def least_radius_m(self, thickness_m: float) -> float | None:
        r"""Smallest radius of its middle line that a strip bears before it takes a set. [m]

        Elementary bending: the face strain t/(2R) reaches yield over stiffness. A strip
        much wider than thick bends as a plate, which this leaves out (the plate takes its
        set at a radius some tenth larger or smaller by the yield rule chosen).

        Examples
        --------
        A quarter-millimetre spring steel slat takes a set below some 20 mm.

        >>> round(material("spring steel").least_radius_m(0.25e-3) * 1e3, 1)  # [mm]
        19.7
        """
        if self.stiffness_pa is None or self.yield_pa is None:
            return None
        return 0.5 * thickness_m * self.stiffness_pa.middle / self.yield_pa.middle


def _read(value: float, *, spread: float = 0.03, source: str = "ISO10456_HT") -> Sourced:
    return Sourced(
        middle=value,
        low=value * (1.0 - spread),
        high=value * (1.0 + spread),
        provenance=Provenance.PUBLISHED,
        source=source,
    )


def _recalled(low: float, value: float, high: float, source: str, note: str = "") -> Sourced:
    note = "; ".join(filter(None, ("memory", note)))
    return Sourced(
        middle=value,
        low=low,
        high=high,
        provenance=Provenance.PUBLISHED,
        source=source,
        note=note,
    )


def _metal(
    name: str,
    temper: str,
    heat: tuple[float, float, float],
    stiffness: Sourced,
    yields: Sourced,
) -> Material:
    density, capacity, conductivity = heat
    return Material(
        name=name,
        temper=temper,
        density_kg_m3=_read(density),
        specific_heat_j_kg_k=_read(capacity, spread=0.05),
        conductivity_w_m_k=_read(conductivity, spread=0.15),
        stiffness_pa=stiffness,
        yield_pa=yields,
    )


_STEEL, _STAINLESS, _ALUMINIUM = (7800, 450, 50), (7900, 460, 17), (2800, 880, 160)
_STEEL_E = _recalled(200e9, 205e9, 210e9, "METALS_HANDBOOK")
_STAINLESS_E = _recalled(187e9, 193e9, 200e9, "METALS_HANDBOOK")
_ALUMINIUM_E = _recalled(68e9, 69e9, 71e9, "METALS_HANDBOOK")


def _yield(low: float, middle: float, high: float, note: str = "") -> Sourced:
    return _recalled(low * 1e6, middle * 1e6, high * 1e6, "METALS_HANDBOOK", note)


#: The first of each name is what is meant when no temper is given.
_MATERIALS: tuple[Material, ...] = (
    _metal("spring steel", "blue tempered", _STEEL, _STEEL_E,
           _yield(1100, 1300, 1500, "1095 steel, by temper")),
    _metal("spring steel", "annealed", _STEEL, _STEEL_E, _yield(330, 380, 500, "1095 steel")),
    _metal("stainless", "half hard", _STAINLESS, _STAINLESS_E,
           _yield(690, 760, 860, "301 stainless")),
    _metal("stainless", "annealed", _STAINLESS, _STAINLESS_E,
           _yield(205, 215, 290, "304 stainless")),
    _metal("stainless", "full hard", _STAINLESS, _STAINLESS_E,
           _yield(900, 965, 1200, "301 stainless")),
    _metal("aluminium", "half hard", _ALUMINIUM, _ALUMINIUM_E,
           _yield(100, 140, 190, "thin sheet of 3000 and 5000 series")),
    _metal("aluminium", "annealed", _ALUMINIUM, _ALUMINIUM_E,
           _yield(30, 40, 60, "thin sheet of 1000 and 3000 series")),
    _metal("aluminium", "T6", _ALUMINIUM, _ALUMINIUM_E, _yield(240, 270, 300, "6061-T6")),
    Material(
        name="paper", temper="",
        density_kg_m3=_recalled(600, 800, 1000, "POLYMER_GENERAL"),
        specific_heat_j_kg_k=_recalled(1300, 1400, 1600, "POLYMER_GENERAL"),
        conductivity_w_m_k=_recalled(0.05, 0.10, 0.18, "POLYMER_GENERAL"),
    ),
    Material(
        name="foil", temper="",
        density_kg_m3=_read(2800), specific_heat_j_kg_k=_read(880, spread=0.05),
        conductivity_w_m_k=_read(160, spread=0.4),
    ),
    Material(
        name="silicone", temper="",
        density_kg_m3=_recalled(1100, 1250, 1400, "POLYMER_GENERAL", "rubber with glass cloth"),
        specific_heat_j_kg_k=_recalled(1100, 1300, 1500, "POLYMER_GENERAL"),
        conductivity_w_m_k=_recalled(0.18, 0.25, 0.35, "POLYMER_GENERAL"),
    ),
)  # fmt: skip
_ALSO = {
    "steel": "spring steel", "1095": "spring steel", "stainless steel": "stainless",
    "aluminum": "aluminium", "kraft paper": "paper", "aluminium foil": "foil",
    "aluminum foil": "foil", "silicone rubber": "silicone",
}  # fmt: skip


def material(name: str, temper: str | None = None) -> Material:
    """The material of that name and temper; without a temper, its usual one for slats.

    Raises
    ------
    UnknownNameError
        If there is no such material, or not in that temper.

    Examples
    --------
    >>> material("spring steel").temper
    'blue tempered'
    """
    wanted = " ".join(name.lower().split())
    wanted = _ALSO.get(wanted, wanted)
    of_name = [item for item in _MATERIALS if item.name == wanted]
    if not of_name:
        names = list(dict.fromkeys(item.name for item in _MATERIALS))
        near = get_close_matches(wanted, names, n=1)
        raise UnknownNameError(
            f"material '{name}'",
            f"one of {', '.join(names)}",
            f"write '{near[0]}'" if near else "name the nearest of them",
        )
    if temper is None or not of_name[0].temper:
        return of_name[0]
    for item in of_name:
        if item.temper.lower() == " ".join(temper.lower().split()):
            return item
    raise UnknownNameError(
        f"{wanted} '{temper}'",
        f"one of {', '.join(item.temper for item in of_name)}",
        "name one of these tempers",
    )
