"""What wood in a bend is taken to do: few numbers, each with a meaning, a range and a source.

Along the grain a fibre is a stiff framework in a matrix that softens. The framework is a
spring that never lets go; the matrix three springs that relax, each with its own time. A
stretched framework is drawn straight and carries by itself; a squeezed one leans on the matrix,
so that more of its stiffness relaxes. All times shrink or stretch together with the distance
to softening, T − T_g(M), and relaxing is also driven by every change of moisture under load.
Compression flows at a stress that falls by the same share for each degree nearer to softening
and beyond; tension does not flow.
`docs/virtual-bend.md` says why.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np

from rimwright.curves.piece import FloatArray
from rimwright.sources import Provenance, Source, Sourced, register
from rimwright.wood.softening import IN_SITU_OFFSET_K
from rimwright.wood.species import Wood

register(
    Source("ANGELL_1995", "Angell 1995, Science 267: by convention the glass transition is where "
           "relaxing takes about 100 s", "memory"),
    Source("SALMEN_1984", "Salmén 1984, J. Materials Science 19: viscoelastic properties of in "
           "situ lignin under water-saturated conditions", "memory"),
    Source("NORIMOTO_1989", "Norimoto and colleagues: strain of wet hot wood is frozen by "
           "drying and cooling and comes back on wetting and heating (drying set)", "memory"),
    Source("TORATTI_1992", "Toratti 1992, Creep of timber beams in a variable environment, "
           "Helsinki University of Technology", "memory"),
)  # fmt: skip


def _assumed(low: float, middle: float, high: float, note: str, source: str = "") -> Sourced:
    return Sourced(
        middle=middle,
        low=low,
        high=high,
        provenance=Provenance.ASSUMED,
        source=source,
        note=note,
    )


#: Stiffness along the grain where none is published for the wood. [Pa]
_UNNAMED_STIFFNESS = _assumed(8e9, 11.5e9, 15e9, "middle of the hardwoods listed, at 12 %")
#: Spread of a published mean from piece to piece (Wood Handbook ch. 5 has 22 % as the
#: coefficient of variation of stiffness; from memory): 90 % lie within these shares.
_STIFFNESS_SHARES = (0.64, 1.36)

#: Flow stress in tension of a fibre that does not flow in tension. [Pa]
NEVER = 1e15


@dataclass(frozen=True, slots=True, kw_only=True)
class Law:
    """The constitutive law's numbers; `DEFAULT_LAW` holds the prior set.

    The fields are in the order of the vector that the kernels read.
    """

    #: Along the grain, firm and at once. A named wood brings its own. [Pa]
    stiffness_pa: Sourced
    #: Share of it that no heat and no time relaxes in a squeezed fibre, whose framework of
    #: cellulose leans on the matrix that softens.
    lasting_share: Sourced
    #: The same in a stretched fibre, whose framework is drawn straight and needs no support.
    pulled_lasting_share: Sourced
    #: Compressive flow stress at 20 °C and 12 % moisture. [Pa]
    firm_flow_pa: Sourced
    #: Slope of the flow stress with flow. [Pa]
    hardening_pa: Sourced
    #: In tension; wood breaks before it flows. [Pa]
    tension_flow_pa: Sourced
    #: In-situ softening from isolated lignin's. [K]
    softening_offset_k: Sourced
    #: Share of the flow stress lost for each degree nearer to softening and beyond. [1/K]
    flow_slope_per_k: Sourced
    #: Middle relaxation time at the softening temperature. [s]
    relaxation_s: Sourced
    #: Degrees that shift every time tenfold. [K]
    kelvin_per_decade: Sourced
    #: Decades from the middle branch to the quick and to the slow one.
    spread_decades: Sourced
    #: Relaxing per change of moisture under load, in times of 1/e per unit of moisture.
    sorption_rate: Sourced
    #: Share of the wet-hot strain capacity that firm wood has.
    firm_capacity_share: Sourced
    #: Mean axial stress from slats that rub, tension positive, while on the form. [Pa]
    grip_pa: Sourced

    def vector(self) -> FloatArray:
        """The middles, in the order the kernels read.

        Examples
        --------
        >>> DEFAULT_LAW.vector()[:2].tolist()
        [11500000000.0, 0.12]
        """
        return np.array([getattr(self, name).middle for name in LAW_NAMES])

    def ends(self) -> tuple[tuple[str, FloatArray], ...]:
        """One vector for each low and high that differs from the middle, all else at middle."""
        found = []
        for i, name in enumerate(LAW_NAMES):
            value: Sourced = getattr(self, name)
            for end in (value.low, value.high):
                if end != value.middle:
                    moved = self.vector()
                    moved[i] = end
                    found.append((name, moved))
        return tuple(found)


#: Names of the law's numbers, in the order of its vector.
LAW_NAMES: tuple[str, ...] = tuple(field.name for field in fields(Law))
#: Each in words, with what it is told in and how many of its unit that is.
LAW_WORDS: dict[str, tuple[str, str, float]] = {
    "stiffness_pa": ("stiffness along the grain", "GPa", 1e9),
    "lasting_share": ("share of the stiffness that never relaxes, squeezed", "%", 0.01),
    "pulled_lasting_share": ("share of the stiffness that never relaxes, stretched", "%", 0.01),
    "firm_flow_pa": ("flow stress in compression, cold and dry", "MPa", 1e6),
    "hardening_pa": ("rise of the flow stress with flow", "MPa", 1e6),
    "tension_flow_pa": ("flow stress in tension", "MPa", 1e6),
    "softening_offset_k": ("softening in wood against isolated lignin", "K", 1.0),
    "flow_slope_per_k": ("fall of the flow stress a degree", "%", 0.01),
    "relaxation_s": ("relaxation time at softening", "s", 1.0),
    "kelvin_per_decade": ("degrees that shift it tenfold", "K", 1.0),
    "spread_decades": ("spread of the times either way", "decades", 1.0),
    "sorption_rate": ("relaxing as moisture moves", "1/e per unit of moisture", 1.0),
    "firm_capacity_share": ("share of the capacity that firm wood has", "%", 0.01),
    "grip_pa": ("pull of the rubbing slats", "MPa", 1e6),
}
#: The prior law of a hardwood of which nothing is known.
DEFAULT_LAW = Law(
    stiffness_pa=_UNNAMED_STIFFNESS,
    lasting_share=_assumed(
        0.06,
        0.12,
        0.20,
        "ours: makers' gentle steam bends come back by a fifth to a third, so less lasts",
        "NORIMOTO_1989",
    ),
    pulled_lasting_share=_assumed(
        0.20,
        0.35,
        0.60,
        "the bend check's 4 (2 to 7) GPa near softening, over the stiffness cold",
    ),
    firm_flow_pa=_assumed(
        35e6, 50e6, 70e6, "compressive strength along the grain of hardwoods at 12 %, from memory"
    ),
    hardening_pa=_assumed(0.0, 80e6, 200e6, "trial figure"),
    tension_flow_pa=_assumed(NEVER, NEVER, NEVER, "wood does not flow in tension"),
    softening_offset_k=IN_SITU_OFFSET_K["hardwood"],
    flow_slope_per_k=Sourced(
        middle=0.0165,
        low=0.0096,
        high=0.0246,
        provenance=Provenance.DERIVED,
        source="WH190_CH5",
        note="compressive strength along the grain: 25 % in 30 K of heat (low), 70 % from 6 to "
        "20 % of moisture, which moves softening by 49 K (high); Tables 5-14 and 5-15, memory",
    ),
    relaxation_s=_assumed(
        0.4,
        4.0,
        40.0,
        "between a loss peak at 1 Hz (0.16 s) and the convention of the glass transition (100 s): "
        "the ways in which softening is measured",
        "ANGELL_1995",
    ),
    kelvin_per_decade=_assumed(
        7.0, 11.0, 16.0, "near softening 350 kJ/mol give 8 K, farther below more", "SALMEN_1984"
    ),
    spread_decades=_assumed(1.0, 1.5, 2.2, "wood relaxes over many decades of time; ours"),
    sorption_rate=_assumed(
        2.0,
        6.0,
        15.0,
        "mechano-sorptive creep of timber, hot and thin assumed alike",
        "TORATTI_1992",
    ),
    firm_capacity_share=_assumed(
        0.35, 0.50, 0.70, "1 % cold against 2 % hot and wet (strain limits, low confidence)"
    ),
    grip_pa=_assumed(
        0.0, 0.0, 0.5e6, "slats pressed with 10 kPa over 0.2 m of rubbing at 0.3 friction"
    ),
)


def law_of(wood: Wood | None, law: Law = DEFAULT_LAW) -> Law:
    """The law with what is known of a wood: its stiffness, and whether it is a softwood.

    Examples
    --------
    >>> from rimwright.wood.catalogue import find
    >>> law_of(find("black cherry")).stiffness_pa.middle
    10300000000.0
    """
    if wood is None:
        return law
    if wood.kind == "softwood" and law.softening_offset_k == DEFAULT_LAW.softening_offset_k:
        law = replace(law, softening_offset_k=IN_SITU_OFFSET_K["softwood"])
    published = wood.value("moe 12 %")
    if published is None or law.stiffness_pa != DEFAULT_LAW.stiffness_pa:
        return law
    low, high = _STIFFNESS_SHARES
    stiffness = Sourced(
        middle=1e9 * published.middle,
        low=low * 1e9 * published.low,
        high=high * 1e9 * published.high,
        provenance=published.provenance,
        source=published.source,
        note=f"{published.note}; pieces spread by 22 % about it (WH190 ch. 5, from memory)",
    )
    return replace(law, stiffness_pa=stiffness)
