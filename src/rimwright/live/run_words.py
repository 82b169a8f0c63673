"""The run in words: what a command came to, and each event as a line of the log."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from rimwright.live.asked import title_of
from rimwright.live.drafts import Draft
from rimwright.live.events import Event
from rimwright.live.run_plan import RunPlan
from rimwright.live.run_state import CHECK, RunState
from rimwright.units import time_text

_WHY_GAP = {
    "off": "Nothing was watched for {time}: program or computer was off",
    "slept": "Nothing was watched for {time}: the computer slept or was busy",
    "found": "The wall clock was set right: {time} more have passed than were counted",
}


def here_words(plan: RunPlan, state: RunState) -> str:
    """Where a run is, as a title."""
    if state.state in ("ended", "abandoned"):
        return state.state.capitalize()
    return title_of(plan, CHECK if state.phase == CHECK else plan.steps[state.step].key)


def done_words(plan: RunPlan, after: RunState, drafts: Sequence[Draft]) -> str:
    """What a command came to, for whoever gave it.

    Parameters
    ----------
    plan : RunPlan
        What the run follows.
    after : RunState
        With the command's events in it.
    drafts : sequence of Draft
        Those events.
    """
    if after.abandoned is not None and after.heat.on:
        return "Abandoned. Pull the plug, then mark the heat off: until then it is watched on."
    kinds = {one.kind for one in drafts}
    if kinds & {"step_done", "went_back"} and not kinds & {"ended"}:
        return f"Now: {here_words(plan, after)}"
    if not drafts:
        return "Done before"
    last = drafts[-1]
    return event_words(plan, last.kind, last.data)


def line_of(plan: RunPlan, event: Event) -> str:
    """An event as a line of the log; "" for one that says nothing to people."""
    return event_words(plan, event.kind, event.data)


def event_words(plan: RunPlan, kind: str, data: Mapping[str, Any]) -> str:
    """What an event of the run says; "" for kinds that are told elsewhere.

    Examples
    --------
    >>> event_words(None, "turned_down", {"share": 0.41})
    'Power to 41 %'
    """
    tell = _TELL.get(kind)
    return "" if tell is None else tell(plan, data)


def wall_text(wall_s: float) -> str:
    """A moment on the wall clock of the shop, in its own time of the year.

    Parameters
    ----------
    wall_s : float
        UTC. [s since 1970]
    """
    moment = datetime.datetime.fromtimestamp(wall_s, datetime.UTC).astimezone()
    return f"{moment:%a} {moment.day} {moment:%b}, {moment:%H:%M}"


def _with(words: str, data: Mapping[str, Any]) -> str:
    """What is said, with what somebody added."""
    more = str(data.get("words") or "")
    return f"{words}: {more}" if more else words


def _begun(plan: RunPlan, data: Mapping[str, Any]) -> str:
    return f"Begun: {plan.model}, {plan.side_words}"


def _step_begun(plan: RunPlan, data: Mapping[str, Any]) -> str:
    return f"{title_of(plan, str(data['step']))}: begun"


def _step_done(plan: RunPlan, data: Mapping[str, Any]) -> str:
    title, early_s = title_of(plan, str(data["step"])), data.get("early_s")
    if early_s:
        return f"{title}: ended early, {time_text(float(early_s))} were left"
    return f"{title}: done"


def _answered(plan: RunPlan, data: Mapping[str, Any]) -> str:
    how = "scanned" if data.get("code") else "seen"
    if data.get("answer") == "yes":
        return f"Check, {str(data['question']).replace('_', '-')}: {how}"
    return _with("Check", data)


def _heat_on(plan: RunPlan, data: Mapping[str, Any]) -> str:
    return "Heat on, by the probe" if data.get("seen") else "Heat on"


def _heat_off(plan: RunPlan, data: Mapping[str, Any]) -> str:
    return "Heat off, by the probe" if data.get("seen") else "Heat off"


def _turned_down(plan: RunPlan, data: Mapping[str, Any]) -> str:
    told = ", as the recipe says" if data.get("assumed") else ""
    return f"Power to {100.0 * float(data['share']):.0f} %{told}"


def _outcome(plan: RunPlan, data: Mapping[str, Any]) -> str:
    place, face = str(data.get("place") or ""), str(data.get("face") or "")
    where = ", ".join(filter(None, (place, face and f"face {face}")))
    said = str(data["kind"]).capitalize()
    return _with(f"{said}, {where}" if where else said, data)


def _gap(plan: RunPlan, data: Mapping[str, Any]) -> str:
    words = _WHY_GAP.get(str(data.get("why")), "Nothing was watched for {time}")
    words = words.format(time=time_text(float(data["seconds"])))
    behind_s = data.get("behind_s")
    if behind_s:
        words += (
            f"; the wall clock stands {time_text(float(behind_s))} behind the record, so no time "
            "is counted: set it right"
        )
    return words


def _clock_set(plan: RunPlan, data: Mapping[str, Any]) -> str:
    by_s = float(data["by_s"])
    way = "ahead" if by_s > 0.0 else "back"
    return f"The wall clock was set {way} by {time_text(abs(by_s))}; waits do not move"


_TELL: dict[str, Callable[[RunPlan, Mapping[str, Any]], str]] = {
    "begun": _begun,
    "step_begun": _step_begun,
    "step_done": _step_done,
    "went_back": lambda plan, data: f"Back to {title_of(plan, str(data['step']))}",
    "answered": _answered,
    "held": lambda plan, data: _with("Held", data),
    "resumed": lambda plan, data: "Goes on",
    "heat_on": _heat_on,
    "heat_off": _heat_off,
    "turned_down": _turned_down,
    "present": lambda plan, data: "Somebody is there",
    "note": lambda plan, data: _with("Note", data),
    "outcome": _outcome,
    "gap": _gap,
    "clock_set": _clock_set,
    "ended": lambda plan, data: _with("Ended", data),
    "abandoned": lambda plan, data: _with("Abandoned", data),
}
