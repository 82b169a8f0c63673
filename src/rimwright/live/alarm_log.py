"""Alarms in the run's log: their lines as events, and hands on them as commands."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rimwright.errors import RunError
from rimwright.live.alarms import (
    AlarmChange,
    AlarmKey,
    Alarms,
    AlarmState,
    Sounded,
    Told,
    acknowledged,
    put_back,
    shelved,
    taken_out,
    unshelved,
)
from rimwright.live.alarms_hands import LONGEST_SHELF_S
from rimwright.live.asked import Command
from rimwright.live.drafts import Draft
from rimwright.live.events import Event


def draft_of(told: Told, wall_s: float, *, key: str = "", device: str = "") -> Draft:
    """A line of the alarms' log as an event of the run."""
    if isinstance(told, Sounded):
        return Draft(at_s=told.at_s, wall_s=wall_s, kind="sounded", data={"alarm": str(told.alarm)})
    data: dict[str, Any] = {
        "alarm": str(told.alarm),
        "before": str(told.before),
        "after": str(told.after),
        "words": told.words,
        "probe": told.probe,
        "reason": told.reason,
        "until_s": told.until_s,
    }
    return Draft(at_s=told.at_s, wall_s=wall_s, kind="alarm", data=data, key=key, device=device)


def told_in(events: Iterable[Event]) -> list[Told]:
    """The alarms' log out of a run's events."""
    log: list[Told] = []
    for event in events:
        data = event.data
        if event.kind == "sounded":
            log.append(Sounded(alarm=AlarmKey(data["alarm"]), at_s=event.at_s))
        elif event.kind == "alarm":
            log.append(
                AlarmChange(
                    alarm=AlarmKey(data["alarm"]),
                    before=AlarmState(data["before"]),
                    after=AlarmState(data["after"]),
                    at_s=event.at_s,
                    words=data["words"],
                    probe=data["probe"],
                    reason=data["reason"],
                    until_s=data["until_s"],
                )
            )
    return log


def handled(alarms: Alarms, command: Command, at_s: float) -> tuple[Alarms, tuple[Told, ...]]:
    """The alarms after a command that is theirs.

    Raises
    ------
    RunError
        If it names no alarm, or the alarm cannot take it now.
    """
    try:
        key = AlarmKey(command.data.get("alarm", ""))
    except ValueError:
        raise RunError(
            f"no alarm '{command.data.get('alarm', '')!s:.40}'",
            "one of " + ", ".join(AlarmKey),
            "look at the page again",
        ) from None
    words = str(command.data.get("words", ""))
    match command.kind:
        case "acknowledge":
            return acknowledged(alarms, key, at_s)
        case "shelve":
            return shelved(alarms, key, at_s, LONGEST_SHELF_S, words)
        case "unshelve":
            return unshelved(alarms, key, at_s)
        case "out_of_service":
            return taken_out(alarms, key, at_s, words)
    return put_back(alarms, key, at_s)


_SAYS = {
    AlarmState.ACTIVE_UNACKNOWLEDGED: "called",
    AlarmState.ACTIVE_ACKNOWLEDGED: "acknowledged",
    AlarmState.RETURNED_UNACKNOWLEDGED: "gone, not yet acknowledged",
    AlarmState.NORMAL: "over",
    AlarmState.SHELVED: "put aside",
    AlarmState.OUT_OF_SERVICE: "out of service",
}


def alarm_words(event: Event, title: str) -> str:
    """A change of an alarm as a line of the log."""
    data = event.data
    said = f"{title}: {_SAYS[AlarmState(data['after'])]}"
    detail = data["reason"] if data["after"] in ("shelved", "out_of_service") else ""
    if data["after"] == "active_unacknowledged":
        detail = data["words"]
    return f"{said}, {detail}" if detail else said
