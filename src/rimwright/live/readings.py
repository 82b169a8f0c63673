"""What a probe delivers: a temperature, or in words why there is none."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Fault(StrEnum):
    """Why a reading is no temperature. A fault is never shown as a number."""

    UNPLUGGED = "unplugged"
    GARBLED = "garbled"
    OPEN = "open"
    SHORT = "short"
    OUT_OF_RANGE = "out of range"
    STUCK = "stuck"
    JUMPED = "jumped"
    DETACHED = "detached"
    REVERSED = "reversed"
    SILENT = "silent"


#: What each means, and what to look at.
FAULT_WORDS: dict[Fault, str] = {
    Fault.UNPLUGGED: "no link to the probe's board: look at its plug",
    Fault.GARBLED: "the board sends what is no number: look at its cable and settings",
    Fault.OPEN: "probe wire open: look at its plug and wire",
    Fault.SHORT: "probe wire shorted: look where it is pinched",
    Fault.OUT_OF_RANGE: "a value no bender reaches: look at probe and settings",
    Fault.STUCK: "the same figure to the last digit for half a minute: the board may hang",
    Fault.JUMPED: "a jump no slat can make: look at plug and wire",
    Fault.DETACHED: "falling while the heat is on: the probe may have slipped out",
    Fault.REVERSED: "falling as the heat comes on: the probe's wires may be swapped",
    Fault.SILENT: "nothing heard from the probe: look at board and link",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class RawReading:
    """As a source delivers it: a value or a fault, never both."""

    #: Number of the probe within the run, from 0.
    probe: int
    #: [degC]; None with a fault.
    celsius: float | None
    fault: Fault | None = None
    #: What was heard, for the record of faults; cut to 80 characters.
    heard: str = ""
    #: On the source's clock, when it was heard. [s]
    heard_at_s: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """A reading in the run: judged, numbered, in the run's own time."""

    #: Counts all samples of a run, from 1, without a hole.
    seq: int
    #: Since the run was begun. [s]
    at_s: float
    probe: int
    #: [degC]; None where there is no temperature.
    celsius: float | None
    fault: Fault | None = None
