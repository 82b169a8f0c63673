"""Quantities in the design file: text with a unit, held between what can be."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from rimwright.errors import UnitError
from rimwright.units import Kind, parse

if TYPE_CHECKING:
    from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
    from pydantic_core import CoreSchema

_NUMBER = r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+|([0-9]+[ -])?[0-9]+/[0-9]*[1-9])"
#: Units an editor offers; reading takes any unit of the same kind.
_UNITS: dict[Kind, str] = {
    "length": r"mm|cm|m|in|inch|\"|thou|ft|'",
    "temperature": "degC|degF|°C|°F|C|F",
    "time": "s|min|h|day|days",
    "angle": "deg|degrees|rad",
    "power": "W|kW",
    "power density": r"W/in\^2|W/m\^2|kW/m\^2|W/cm\^2",
    "fraction": "%",
    "area": r"mm\^2|cm\^2|m\^2|in\^2|ft\^2",
}
_EXAMPLES: dict[Kind, str] = {
    "length": "2.1 mm",
    "temperature": "230 degF",
    "time": "10 min",
    "angle": "35 deg",
    "power": "600 W",
    "power density": "5 W/in^2",
    "fraction": "45 %",
    "area": "0.1 m^2",
}
#: How a bound is shown: factor from SI, and unit.
_SHOWN: dict[Kind, tuple[float, str]] = {
    "length": (1e3, "mm"),
    "temperature": (1.0, "°C"),
    "time": (1.0 / 3600.0, "h"),
    "angle": (180.0 / math.pi, "°"),
    "power": (1.0, "W"),
    "power density": (1.0, "W/m²"),
    "fraction": (100.0, "%"),
    "area": (1.0, "m²"),
}
#: Longer text is no quantity, and a tower of powers would keep the unit library busy for ever.
_LONGEST = 40
_TOWER = re.compile(r"(\^|\*\*)\D*\d{2}|(\^|\*\*).*(\^|\*\*)")


class RefusedError(ValueError):
    """A value that cannot be, before file and line are known."""

    def __init__(self, found: str, expected: str, next_step: str, *, key: str = "") -> None:
        super().__init__(found, expected, next_step)
        self.found = found
        self.expected = expected
        self.next_step = next_step
        #: Of the value within the table that refused it; dots between tables.
        self.key = key


@dataclass(frozen=True, slots=True)
class Quantity:
    """Marks a field as text with a unit between two bounds, both allowed, in SI."""

    kind: Kind
    low: float
    high: float

    def read(self, value: object) -> float:
        """The SI number of a value of the file.

        Raises
        ------
        RefusedError, UnitError
            If it is no quantity of this kind, or not between the bounds.
        """
        example = f"a {self.kind} such as '{_EXAMPLES[self.kind]}'"
        if self.kind == "fraction" and isinstance(value, int | float) and value is not True:
            value = f"{value}"
        if not isinstance(value, str):
            raise RefusedError(
                f"{short(value)} without a unit" if _is_number(value) else short(value),
                f"{example}, in quotation marks",
                "write the number with its unit in quotation marks",
            )
        if len(value) > _LONGEST or _TOWER.search(value):
            raise RefusedError(short(value), example, "write one number with its unit")
        try:
            number = parse(value, self.kind)
        except UnitError:
            raise
        except Exception as error:  # the unit library raises many kinds
            raise RefusedError(short(value), example, "write one number with its unit") from error
        return self.within(number, f"'{value.strip()}'")

    def within(self, number: float, said: str) -> float:
        """The SI number again, if it lies between the bounds.

        Raises
        ------
        RefusedError
            If it does not.
        """
        slack = 1e-9 * max(abs(self.low), abs(self.high))
        if not self.low - slack <= number <= self.high + slack:
            raise RefusedError(
                said,
                f"{self.show(self.low)} to {self.show(self.high)}",
                "check the number and its unit",
            )
        return number

    def show(self, number: float) -> str:
        """A bound in units a maker reads."""
        if self.kind == "length" and abs(number) >= 2.0:
            return f"{number:.4g} m"
        if self.kind == "time" and 0.0 < abs(number) < 600.0:
            return f"{number:.4g} s"
        factor, unit = _SHOWN[self.kind]
        return f"{number * factor:.5g} {unit}"

    def __get_pydantic_core_schema__(
        self, _source: Any, _handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        from pydantic_core import core_schema

        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, _schema: CoreSchema, _handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return self.json_schema()

    def json_schema(self) -> dict[str, Any]:
        """What an editor may accept: text of this pattern."""
        text = {
            "type": "string",
            "pattern": rf"^\s*{_NUMBER}\s*({_UNITS[self.kind]})\s*$",
            "examples": [_EXAMPLES[self.kind]],
            "maxLength": _LONGEST,
        }
        if self.kind != "fraction":
            return text
        return {"anyOf": [text, {"type": "number", "minimum": self.low, "maximum": self.high}]}


#: What files and the command line are both held to.
BODY_LENGTH = Quantity("length", 0.08, 1.5)
BODY_WIDTH = Quantity("length", 0.03, 1.0)
RIM_DEPTH = Quantity("length", 0.01, 0.4)
DISH_RADIUS = Quantity("length", 0.5, 200.0)
SIDE_THICKNESS = Quantity("length", 0.0003, 0.006)


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def short(value: object) -> str:
    """A value of the file as a message shows it, never longer than a few words."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return f"a list of {len(value)}"
    text = f"'{value}'" if isinstance(value, str) else str(value)
    text = "".join(c if c.isprintable() else "·" for c in text[:80])
    return f"{text[:57]}..." if len(text) > 60 else text
