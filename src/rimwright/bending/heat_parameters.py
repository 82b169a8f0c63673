"""The numbers the heat through the stack rests on, each with its range and its source."""

from __future__ import annotations

from dataclasses import dataclass

from rimwright.sources import Provenance, Source, Sourced, register

register(
    Source("HOLMAN", "Holman, Heat Transfer: simplified free convection in air", "memory"),
    Source("EMISSIVITY_TABLES", "Tables of total emissivity", "memory"),
    Source("WAGNER_PRUSS_1993", "Wagner & Pruss 1993, saturation properties of water, J. Phys. "
           "Chem. Ref. Data 22", "memory"),
    Source("TRBDF2", "Bank et al. 1985; Hosea & Shampine 1996, Analysis and implementation of "
           "TR-BDF2, Applied Numerical Mathematics 20", "memory"),
)  # fmt: skip

#: Total emissivity of what the stack may end in (tables, from memory; paper as wood).
EMISSIVITY: dict[str, float] = {
    "spring steel": 0.80,
    "stainless": 0.20,
    "aluminium": 0.09,
    "foil": 0.04,
    "silicone": 0.90,
    "paper": 0.90,
    "wood": 0.90,
    "plywood": 0.90,
}
#: Holman's coefficients of a hot face looking up and one looking down, h = c (dT / L)^¼.
CONVECTION_UP, CONVECTION_DOWN = 1.32, 0.59


def _assumed(low: float, middle: float, high: float, note: str) -> Sourced:
    return Sourced(middle=middle, low=low, high=high, provenance=Provenance.ASSUMED, note=note)


@dataclass(frozen=True, kw_only=True)
class HeatParameters:
    """What is uncertain in the heat; a shop's own curves may replace it by measured ranges."""

    #: A blanket's real power over its plate's.
    power_share: Sourced
    #: Losses over those of two bare faces in still air.
    loss_share: Sourced
    #: Resistance between two layers that lie on each other. [m² K/W]
    contact_m2_k_w: Sourced
    #: Wood's conductivity over the handbook's.
    conductivity_share: Sourced
    #: Steam that leaves the wrapped wood per atmosphere of overpressure. [kg/(m² s)]
    steam_escape_kg_m2_s: Sourced
    #: Share of a bare face's drying in still air that the wrap and slats leave.
    drying_share: Sourced
    #: Time by which the probe trails the place it lies in. [s]
    probe_lag_s: Sourced


#: Assumed, but for the wood's conductivity, before a shop has curves of its own.
DEFAULT_HEAT = HeatParameters(
    power_share=_assumed(
        0.85, 0.95, 1.05, "mains voltage and resistance vary, the rim of a blanket is not heated"
    ),
    loss_share=_assumed(1.1, 1.4, 1.7, "clamps, form edges and ends take heat too"),
    contact_m2_k_w=_assumed(
        1.5e-4, 4e-4, 1.5e-3, "a few hundredths of a millimetre of air; more where clamped badly"
    ),
    conductivity_share=Sourced(
        middle=1.0,
        low=0.8,
        high=1.2,
        provenance=Provenance.PUBLISHED,
        source="WH190_CH4",
        note="actual values within 20 % of the table",
    ),
    steam_escape_kg_m2_s=_assumed(
        5e-5,
        3e-4,
        2e-3,
        "Darcy's law with a permeability across the grain near 1e-17 m² "
        "(hardwoods span decades, from memory), a millimetre to the face",
    ),
    drying_share=_assumed(0.01, 0.03, 0.10, "a side dries on the form in a day or so"),
    probe_lag_s=_assumed(1.0, 4.0, 10.0, "a thin sheathed probe trails by seconds"),
)
#: Vapour conductance of a bare face in still air: Lewis's analogy with 4 W/(m² K), from
#: memory. [kg/(m² s Pa)]
BARE_FACE_VAPOUR = 2.4e-8
