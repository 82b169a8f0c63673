"""One wood as the other rooms use it: values with range, source and how far to trust them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from rimwright.errors import UnknownNameError
from rimwright.sources import Provenance, Sourced
from rimwright.wood.relations import density, gravity_12_from_basic

Kind = Literal[
    "ring-porous", "diffuse-porous", "tropical", "dense tropical", "dense oily", "softwood"
]

#: Gravity at 12 % moisture of a wood of which none is published: low, middle, high. Ours.
_GRAVITY_BY_KIND: dict[Kind, tuple[float, float, float]] = {
    "ring-porous": (0.50, 0.62, 0.75),
    "diffuse-porous": (0.44, 0.58, 0.72),
    "tropical": (0.42, 0.58, 0.68),
    "dense tropical": (0.72, 0.82, 0.95),
    "dense oily": (0.75, 0.88, 1.05),
    "softwood": (0.35, 0.45, 0.60),
}


@dataclass(frozen=True, slots=True)
class WoodValue:
    """One published figure of one wood, as its source has it."""

    #: "gravity 12 %", "moe 12 %" (GPa), "mor 12 %" (MPa), "shrinkage radial" (%), ...
    quantity: str
    value: float
    low: float
    high: float
    #: "read", "memory", or "shop" for a wood of the maker's own.
    reached: str
    #: "high", "medium" or "low".
    confidence: str
    #: Identity in the register of sources.
    source: str
    note: str = ""


@dataclass(frozen=True)
class Wood:
    """A wood for sides or bindings.

    Examples
    --------
    >>> from rimwright.wood.catalogue import find
    >>> walnut = find("american walnut")
    >>> walnut.name, walnut.gravity_12.middle
    ('black walnut', 0.55)
    """

    name: str
    botanical: str
    aliases: tuple[str, ...]
    kind: Kind
    oily: bool
    #: What its dust does: "", "irritant", "sensitiser" or "strong sensitiser".
    dust: str
    #: How makers find it to bend; common practice, no source.
    ease: str
    #: What figure does to it; common practice, no source.
    figure: str
    #: Every published figure, conflicts included.
    values: tuple[WoodValue, ...]

    def value(self, quantity: str) -> Sourced | None:
        """The middle of everything published for a quantity, its range the conflict.

        Returns
        -------
        Sourced or None
            In the unit of the quantity's name; None where nothing is published.
        """
        rows = [row for row in self.values if row.quantity == quantity]
        if not rows:
            return None
        identities = list(dict.fromkeys(row.source for row in rows))
        trust = ", ".join(dict.fromkeys(f"{row.reached}, {row.confidence}" for row in rows))
        conflict = f"; {len(rows)} figures, sources {', '.join(identities)}" if rows[1:] else ""
        shop = rows[0].reached == "shop"
        if shop:
            trust = rows[0].note
        return Sourced(
            middle=sum(row.value for row in rows) / len(rows),
            low=min(row.low for row in rows),
            high=max(row.high for row in rows),
            provenance=Provenance.MEASURED if shop else Provenance.PUBLISHED,
            source=identities[0],
            note=trust + conflict,
        )

    @cached_property
    def gravity_12(self) -> Sourced:
        """Oven-dry mass over volume at 12 % moisture; by class where none is published."""
        published = self.value("gravity 12 %")
        if published is not None:
            return published
        basic = self.value("gravity basic")
        if basic is not None:
            return Sourced(
                middle=float(gravity_12_from_basic(basic.middle)),
                low=float(gravity_12_from_basic(basic.low)),
                high=float(gravity_12_from_basic(basic.high)),
                provenance=Provenance.DERIVED,
                source=basic.source,
                note=f"from gravity on green volume; {basic.note}",
            )
        low, middle, high = _GRAVITY_BY_KIND[self.kind]
        return Sourced(
            middle=middle,
            low=low,
            high=high,
            provenance=Provenance.ASSUMED,
            note=f"no gravity published here; by class, {self.kind}",
        )

    @property
    def density_kg_m3(self) -> float:
        """Mass over volume at 12 % moisture, water included. [kg/m³]"""
        return float(density(self.gravity_12.middle, 0.12))

    @property
    def unsupported_radius(self) -> Sourced | None:
        """Published radius over thickness of steamed stock bent without a strap, or None."""
        return self.value("radius per thickness unsupported")

    @property
    def relative_radius(self) -> Sourced | None:
        """The same published for another wood of its genus, or None."""
        return self.value("radius per thickness relative")

    @property
    def sensitiser(self) -> str:
        """The caution for its dust where it sensitises, else empty."""
        if "sensitiser" not in self.dust:
            return ""
        rosewood = self.botanical.startswith("Dalbergia")
        text = "Botanical Dermatology Database" if rosewood else "Hausen 1981, from memory"
        return (
            f"{self.name}: dust is a {self.dust} of skin and lungs; extraction, mask and gloves "
            f"({text})"
        )


def kind_of(text: str, *, where: str = "") -> Kind:
    """The class of that name.

    Raises
    ------
    UnknownNameError
        If there is no such class.
    """
    for kind in _GRAVITY_BY_KIND:
        if kind == text.strip().lower():
            return kind
    raise UnknownNameError(
        f"class '{text}'", f"one of {', '.join(_GRAVITY_BY_KIND)}", "name the class", where=where
    )
