"""What happened, in lines for people; and the cues that were called."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from rimwright.live.alarm_log import alarm_words
from rimwright.live.alarms import DEFINITIONS, AlarmKey
from rimwright.live.cues import CUE_TITLES, CueKey
from rimwright.live.events import Event
from rimwright.live.readings import FAULT_WORDS, Fault
from rimwright.live.run_plan import RunPlan
from rimwright.live.run_words import line_of

_LOG_LINES = 12


def cue_view(event: Event) -> dict[str, Any]:
    """A cue as it was called."""
    key = event.data["cue"]
    return {
        "number": event.seq,
        "key": key,
        "title": CUE_TITLES[CueKey(key)],
        "words": event.data["words"],
        "at_s": event.at_s,
    }


def log_view(plan: RunPlan, events: Sequence[Event]) -> list[dict[str, Any]]:
    """The latest lines, newest last."""
    lines: list[dict[str, Any]] = []
    for event in reversed(events):
        words = log_words(plan, event)
        if words:
            lines.append(
                {
                    "at_s": event.at_s,
                    "wall_s": event.wall_s,
                    "words": words,
                    "device": event.device,
                }
            )
        if len(lines) == _LOG_LINES:
            break
    return lines[::-1]


def log_words(plan: RunPlan, event: Event) -> str:
    """Any event as a line of the log; "" for those that say nothing to people."""
    data: Mapping[str, Any] = event.data
    said = ""
    match event.kind:
        case "step_begun" | "sounded":
            pass
        case "alarm":
            said = alarm_words(event, DEFINITIONS[AlarmKey(data["alarm"])].title)
        case "cue":
            said = f"{CUE_TITLES[CueKey(data['cue'])]}: {data['words']}"
        case "probe_fault":
            said = f"{plan.probes[data['probe']].name}: {FAULT_WORDS[Fault(data['fault'])]}"
        case "probe_back":
            said = f"{plan.probes[data['probe']].name}: reads again"
        case "not_recorded":
            said = f"{data['samples']} samples could not be kept"
        case "learnt":
            said = str(data["words"])
        case _:
            said = line_of(plan, event)
    return said
