"""The register of sources, and a value that knows its range and where it comes from."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from rimwright.errors import UnknownNameError


class Provenance(StrEnum):
    """How far a number can be trusted, in five words."""

    PUBLISHED = "published"
    DERIVED = "derived"
    PRACTICE = "common practice, no source"
    ASSUMED = "assumed"
    MEASURED = "measured in this shop"


@dataclass(frozen=True, slots=True)
class Source:
    """A published text, and whether it was read or is recalled."""

    identity: str
    title: str
    #: "read": the figures stood in a stored text that was looked at. "memory": recalled.
    reached: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sourced:
    """A value with its range; the unit is in the name of the field that holds it.

    Examples
    --------
    >>> capacity = Sourced(middle=0.02, low=0.015, high=0.03, provenance=Provenance.ASSUMED)
    >>> capacity.middle
    0.02
    """

    middle: float
    low: float
    high: float
    provenance: Provenance
    #: Identity in `SOURCES`, or "" where there is none.
    source: str = ""
    note: str = ""


#: Every published source a number of Rimwright rests on, by identity.
SOURCES: dict[str, Source] = {}


def register(*sources: Source) -> None:
    """Add sources to the register; rooms call it beside the numbers that use them."""
    SOURCES.update({source.identity: source for source in sources})


def source(identity: str) -> Source:
    """The registered source of that identity.

    Raises
    ------
    UnknownNameError
        If nothing of that identity is registered.
    """
    try:
        return SOURCES[identity]
    except KeyError:
        raise UnknownNameError(
            f"no source '{identity}'", "a registered source", "add it to rimwright.sources"
        ) from None
