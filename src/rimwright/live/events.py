"""What happened in a run, as the journal keeps it; the run's state is folded from these."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

EventKind = Literal[
    "begun",  # the first of every run; data: anchor (see `live.run_time`)
    "answered",  # a question before the heat; data: question, answer, code, words (what is wrong)
    "step_begun",  # data: step, visit, ends_at_s (or None), ends_wall_s (or None)
    "step_done",  # data: step, visit, early_s (where a wait was cut short)
    "held",  # somebody said wait; data: words
    "resumed",
    "went_back",  # data: as step_begun
    "heat_on",  # data: share, seen (true where the probe told it and nobody marked it)
    "heat_off",  # data: seen
    "turned_down",  # data: share, assumed (true where nobody said it but the recipe)
    "present",  # a tap that says somebody is there
    "cue",  # data: cue, words, visit
    "alarm",  # data: alarm, before, after, words, probe, reason, until_s (of a shelf)
    "sounded",  # an alarm called out; data: alarm
    "note",  # data: words
    "outcome",  # data: kind, place, s_m, face, words
    "gap",  # nothing was watched; data: seconds, why, perhaps behind_s, perhaps anchor
    "clock_set",  # the wall clock was stepped; data: by_s, anchor
    "probe_fault",  # data: probe, fault, heard
    "probe_back",  # data: probe
    "not_recorded",  # what could not be kept; data: samples, events
    "learnt",  # of the blanket; data: as a fit
    "ended",  # data: words
    "abandoned",  # data: words
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One thing that happened."""

    #: Counts all events of a run, from 1, without a hole.
    seq: int
    #: Since the run was begun. [s]
    at_s: float
    #: UTC, for people. [s since 1970]
    wall_s: float
    kind: EventKind
    #: Plain values only.
    data: Mapping[str, Any] = field(default_factory=dict)
    #: Of the command that caused it; "" where none did.
    key: str = ""
    #: The device it came from: "this computer", "tablet", "foot switch", "terminal".
    device: str = ""
