"""The five alarms, one line each: what they ask, how soon, and how they go.

Only what needs a person's act is an alarm; a good bend has none. List, states and words follow
the practice of IEC 62682 and ISA-18.2 (read about, not read). Delays and deadbands are assumed.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal


class AlarmKey(StrEnum):
    """The alarms, highest first."""

    TOO_HOT = "too_hot"
    NO_READING = "no_reading"
    PROBE_DOUBTFUL = "probe_doubtful"
    LEFT_ALONE = "left_alone"
    NOT_RECORDING = "not_recording"


class AlarmState(StrEnum):
    """Where an alarm stands."""

    NORMAL = "normal"
    ACTIVE_UNACKNOWLEDGED = "active_unacknowledged"
    ACTIVE_ACKNOWLEDGED = "active_acknowledged"
    RETURNED_UNACKNOWLEDGED = "returned_unacknowledged"
    SHELVED = "shelved"
    OUT_OF_SERVICE = "out_of_service"


@dataclass(frozen=True, slots=True, kw_only=True)
class Definition:
    """One alarm as it is meant."""

    title: str
    #: What a person does; it says nothing of what this program would do.
    action: str
    #: Fire is in it: it is never silent or hidden while nobody has acknowledged it.
    high: bool
    can_shelve: bool
    can_be_taken_out: bool
    #: Its cause must last so long, and be gone so long. [s]
    on_delay_s: float
    off_delay_s: float
    #: How far under its line the cause is gone. [K]
    deadband_k: float = 0.0
    #: Once its cause is gone: it sounds on until acknowledged, it falls silent and waits to be
    #: acknowledged, or it goes, because the act that ended it was somebody's.
    then: Literal["latches", "waits", "goes"] = "waits"
    #: Acknowledged and still there for so long, it is called again. [s]
    again_s: float | None = None


#: In order of urgency.
DEFINITIONS: dict[AlarmKey, Definition] = {
    AlarmKey.TOO_HOT: Definition(
        title="Too hot",
        action="Heat off now: pull the plug",
        high=True,
        can_shelve=False,
        can_be_taken_out=False,
        on_delay_s=0.2,
        off_delay_s=5.0,
        deadband_k=2.0,
        then="latches",
        again_s=30.0,
    ),
    AlarmKey.NO_READING: Definition(
        title="No reading",
        action="Heat off, then look at the probe, its plug and its board",
        high=True,
        can_shelve=False,
        can_be_taken_out=True,
        on_delay_s=0.0,
        off_delay_s=1.0,
    ),
    AlarmKey.PROBE_DOUBTFUL: Definition(
        title="Probe doubtful",
        action="Heat off, seat the probe again, then acknowledge",
        high=True,
        can_shelve=True,
        can_be_taken_out=True,
        on_delay_s=0.0,
        off_delay_s=0.0,
        then="latches",
    ),
    AlarmKey.LEFT_ALONE: Definition(
        title="Left alone",
        action="Go to the bender and tap, or pull the plug",
        high=True,
        can_shelve=False,
        can_be_taken_out=True,
        on_delay_s=0.0,
        off_delay_s=0.0,
        then="goes",
    ),
    AlarmKey.NOT_RECORDING: Definition(
        title="Not recording",
        action="Make room on the disk or look at the database; the run goes on in memory",
        high=False,
        can_shelve=True,
        can_be_taken_out=True,
        on_delay_s=0.0,
        off_delay_s=0.0,
    ),
}
