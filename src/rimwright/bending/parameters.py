"""The set of numbers that the bend check rests on, each with its range and its source.

Parameters are handed in: the defaults below are published or assumed; a shop's records may
one day yield the same type with ranges of its own. Nothing in this room knows the difference.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from rimwright.bending.law import DEFAULT_LAW, Law
from rimwright.sources import Provenance, Source, Sourced, register

register(
    Source("OPTICAL_STRAIN_2012", "Article doi 10.1179/2042645312Y.0000000017, citing Prodehl "
           "1921: steamed beech bore over 35 % compression; steaming raised tensile strain by 1 %",
           "read in part"),
    Source("WENGERT_RX", "Wengert, Rx for Bending Wood, in The Wood Doctor's Rx", "read"),
    Source("STEVENS_TURNER_1970", "Stevens & Turner 1970, Wood Bending Handbook, HMSO", "memory"),
    Source("HANKINSON_1921", "Hankinson 1921, Air Service Information Circular 3(259); its use in "
           "tension: Kim, A Note on the Hankinson Formula, Wood and Fiber Science",
           "read in abstract"),
    Source("WH190_TABLE_5_1", "Wood Handbook FPL-GTR-190 ch. 5, Table 5-1 and Poisson's ratios",
           "read for sugar maple, the rest from memory"),
)  # fmt: skip


def _assumed(low: float, middle: float, high: float, note: str) -> Sourced:
    return Sourced(middle=middle, low=low, high=high, provenance=Provenance.ASSUMED, note=note)


def _published(low: float, middle: float, high: float, source: str, note: str) -> Sourced:
    return Sourced(
        middle=middle,
        low=low,
        high=high,
        provenance=Provenance.PUBLISHED,
        source=source,
        note=note,
    )


def _radius_by_kind() -> Mapping[str, Sourced]:
    """Radius over thickness at which some 5 % of steamed pieces break, by class of wood.

    Middles of the published woods of a class where there are some. The oily rosewoods have
    none: theirs is set so that what common practice bends (a cutaway at 0.080 in) keeps the
    margin, and so it cannot be held against that practice.
    """
    memory = "around the published woods of the class, Stevens & Turner from memory"
    return MappingProxyType(
        {
            "ring-porous": _assumed(9.6, 12.9, 15.2, memory),
            "diffuse-porous": _assumed(11.2, 14.8, 17.2, memory),
            "tropical": _assumed(18.4, 24.0, 32.4, memory),
            "dense tropical": _assumed(12.0, 18.0, 26.0, "between the rosewoods and iroko"),
            "dense oily": _assumed(
                10.0, 12.7, 18.0, "set by common practice at rounded cutaways, no source"
            ),
            "softwood": _assumed(
                12.0, 18.0, 28.0, "pine bends strapped at 12, unsupported less: taken as 18"
            ),
        }
    )


_MEMORY_RADIUS = "memory: breakages not above about 5 %"
_MAPLE = "sugar maple, cold: LT 0.476, LR 0.424"


@dataclass(frozen=True, kw_only=True)
class BendParameters:
    """What hot, wet wood is taken to do in a bend; `DEFAULT` holds the published set."""

    #: Stiffness along the grain in tension. [Pa]
    tension_modulus_pa: Sourced
    #: Stress at which it begins to flow in compression. [Pa]
    compression_yield_pa: Sourced
    #: Slope of the flow stress in compression, as a share of the stiffness.
    hardening: Sourced
    #: Share of pieces that break at a published bending radius.
    published_breakage: Sourced
    #: Spread from piece to piece: standard deviation of the logarithm of the capacity.
    capacity_spread: Sourced
    #: What is added in quadrature for a wood whose genus, not itself, has a published radius.
    relative_spread: Sourced
    #: Radius over thickness by class, for woods without a published one.
    radius_by_kind: Mapping[str, Sourced]
    #: What figure leaves of the capacity, by how strong it is.
    figure_left: Mapping[str, Sourced]
    #: Strain borne across the grain over that along it, for run-out.
    cross_grain: Sourced
    #: Poisson's ratio: strain across the grain for strain along it.
    poisson_along_across: Sourced
    #: Stiffness across the grain over that along it.
    across_over_along: Sourced
    #: What the virtual bend rests on: softening, relaxation, flow.
    law: Law = DEFAULT_LAW


#: Published and assumed values, before a shop has records of its own.
DEFAULT = BendParameters(
    tension_modulus_pa=_assumed(
        2e9, 4e9, 7e9, "trial figure for wood near softening, about a third of its cold stiffness"
    ),
    compression_yield_pa=_assumed(8e6, 15e6, 25e6, "trial figure for wood near softening"),
    hardening=_assumed(0.0, 0.02, 0.05, "trial figure"),
    published_breakage=_published(0.02, 0.05, 0.10, "STEVENS_TURNER_1970", _MEMORY_RADIUS),
    capacity_spread=_assumed(0.15, 0.20, 0.30, "until a shop knows better"),
    relative_spread=_assumed(0.10, 0.15, 0.25, "ours"),
    radius_by_kind=_radius_by_kind(),
    figure_left=MappingProxyType(
        {
            "plain": _assumed(0.95, 1.00, 1.00, "by definition"),
            "some": _assumed(0.80, 0.90, 0.97, "ours"),
            "strong": _assumed(
                0.60,
                0.75,
                0.90,
                "ours; half of one maker's curly sides cracked, common practice, no source",
            ),
        }
    ),
    cross_grain=_assumed(
        0.1, 0.2, 0.4, "ours: run-out of 30 degrees, which opens at each curl, then leaves half"
    ),
    poisson_along_across=_published(0.37, 0.45, 0.50, "WH190_TABLE_5_1", _MAPLE),
    across_over_along=_published(
        0.05, 0.10, 0.15, "WH190_TABLE_5_1", "sugar maple, cold: T 0.065, R 0.132"
    ),
)
