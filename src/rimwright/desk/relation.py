"""One relation as a maker asks it: what it asks for, what it says, what it rests on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

from rimwright.sources import Provenance

#: What a relation is worked out by: its inputs by name, in SI.
Formula = Callable[..., Any]


@dataclass(frozen=True, slots=True)
class Input:
    """One thing a relation asks for, and between which values its source holds."""

    name: str
    kind: Literal["fraction", "temperature", "time"]
    low: float
    high: float
    #: Taken where the maker gives none; None: it must be given.
    default: float | None = None

    @property
    def key(self) -> str:
        """Its name with the unit, as in JSON: `temperature_c`."""
        return self.name + {"fraction": "", "temperature": "_c", "time": "_s"}[self.kind]

    @property
    def unit(self) -> str:
        """As a maker reads it; empty for fractions and plain numbers."""
        return {"fraction": "", "temperature": "°C", "time": "s"}[self.kind]

    @property
    def example(self) -> str:
        """How it may be written: `temperature=70degF`."""
        middle = f"{0.5 * (self.low + self.high):.2g}"
        written = {"fraction": middle, "temperature": "70degF", "time": "10min"}[self.kind]
        return f"{self.name}={written}"

    @property
    def range_words(self) -> str:
        """Where its source holds, in words."""
        return f"{self.low:g} to {self.high:g} {self.unit}".rstrip()


@dataclass(frozen=True, slots=True, kw_only=True)
class Relation:
    """One relation: what it says, what it asks, how it is worked out, what it rests on."""

    name: str
    #: One sentence a maker understands.
    meaning: str
    inputs: tuple[Input, ...]
    #: Of the value, in SI; "fraction" or "1" where there is none.
    unit: str
    #: Takes the inputs by their keys.
    formula: Formula
    provenance: Provenance
    #: Identity in the register of sources, or "" where nothing is published.
    source: str = ""
    #: Equation number, and what is ours or recalled in it.
    note: str = ""
    #: Lowest and highest value, from the inputs by their keys; None: no range is stated.
    spread: Callable[..., tuple[Any, Any]] | None = None
