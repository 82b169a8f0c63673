"""What the recipe is written from, gathered once."""

from __future__ import annotations

from dataclasses import dataclass

from rimwright.bending.results import BendCheck, TightPlace, WarmUp
from rimwright.bending.schools import School
from rimwright.errors import DesignError
from rimwright.instrument.design import Design
from rimwright.instrument.outline import Outline
from rimwright.instrument.stations import features
from rimwright.sides.pattern import SidePattern
from rimwright.tooling.cauls import MAKES_WAY
from rimwright.tooling.parts import Tooling
from rimwright.units import length_text, temperature_text
from rimwright.wood.species import Wood

#: The bends a maker can put in order, with the feature of the body each one needs.
BENDS: dict[str, str] = {
    "waist-nearly-home": "waist",
    "horn": "horn",
    "scoop": "scoop",
    "lower-bout": "lower bout",
    "upper-bout": "upper bout",
    "waist-home": "waist",
    "tail": "",
}
DEFAULT_ORDER: tuple[str, ...] = tuple(BENDS)


@dataclass(frozen=True, kw_only=True)
class Bench:
    """Design, pieces, check, tooling and heat, with the maker's units at hand."""

    design: Design
    outline: Outline
    sides: tuple[SidePattern, ...]
    check: BendCheck
    tooling: Tooling
    wood: Wood | None
    school: School
    early_alarm_c: float
    target_c: float
    warm_up: WarmUp

    def length(self, length_m: float, *, fine: bool = False) -> str:
        """A length in the maker's units."""
        return length_text(length_m, self.design.show, fine=fine)

    def temperature(self, celsius: float) -> str:
        """A temperature in the maker's degrees."""
        return temperature_text(celsius, self.design.show)

    def pieces_with(self, feature: str) -> tuple[str, ...]:
        """Names of the pieces ("bass side", "treble return") that have that feature."""
        found: dict[str, None] = {}
        for half in self.outline.halves:
            for one in features(half):
                if one.name == feature:
                    kind = "side" if one.piece == "main" else "return"
                    found[f"{half.hand} {kind}"] = None
        return tuple(found)

    def tight(self, feature: str) -> TightPlace | None:
        """The tightest place of that name over all pieces."""
        places = [
            place
            for piece in self.check.pieces
            for place in piece.tight_places
            if place.name == feature
        ]
        return min(places, key=lambda place: place.radius_m, default=None)

    @property
    def caul_makes_way(self) -> bool:
        """Whether the horn's caul must come off before the scoop's ram comes in."""
        return any(MAKES_WAY in note for part in self.tooling.parts for note in part.notes)

    def order(self) -> tuple[str, ...]:
        """The bends in the maker's order, less those this body has no place for.

        Raises
        ------
        DesignError
            If an order is given that names a bend which is not one of `BENDS`, or twice.
        """
        asked = self.design.heating.order or DEFAULT_ORDER
        for name in asked:
            if name not in BENDS or asked.count(name) > 1:
                raise DesignError(
                    f"'{name}' in the order of bends",
                    "each at most once of " + ", ".join(BENDS),
                    "change `order` under [heating]",
                    where="heating.order",
                )
        return tuple(name for name in asked if not BENDS[name] or self.pieces_with(BENDS[name]))
