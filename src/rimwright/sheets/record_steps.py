"""A run step by step: how long each took, and what was called, said and done in it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Literal, cast

from rimwright.journal.rows import EventRow
from rimwright.live.alarms_table import AlarmState
from rimwright.live.asked import title_of
from rimwright.live.events import Event, EventKind
from rimwright.live.run_plan import RunPlan
from rimwright.live.run_state import CHECK
from rimwright.live.view_log import log_words

Phase = Literal["cold", "check", "hot", "after"]
Kind = Literal["call", "alarm", "note", "other"]
PHASE_TITLES: dict[Phase, str] = {
    "cold": "Cold", "check": "The check", "hot": "Under heat", "after": "After the heat",
}  # fmt: skip
#: Lines of one step that are told; a probe that flaps makes thousands.
MOST_LINES = 24
#: Told by the step itself, elsewhere in the record, or of no use to a reader.
_NOT_LINES = frozenset({"begun", "step_begun", "step_done", "answered", "present", "learnt"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One thing that happened in a step."""

    #: Since the run was begun, and on the wall. [s], [s since 1970]
    at_s: float
    wall_s: float
    kind: Kind
    words: str
    device: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One stay in a step of the recipe."""

    #: Counts the stays of a run, from 1.
    number: int
    key: str
    title: str
    phase: Phase
    at_s: float
    wall_s: float
    #: None while it lasts. [s]
    took_s: float | None = None
    lines: tuple[Line, ...] = ()
    #: Lines left out, where there are too many.
    more: int = 0


@dataclass(slots=True)
class _Stay:
    """A step as its events come."""

    begun: EventRow
    key: str
    ended_s: float | None = None
    lines: list[Line] = field(default_factory=list)
    answered: list[str] = field(default_factory=list)


def steps_of(plan: RunPlan, events: Sequence[EventRow]) -> tuple[Step, ...]:
    """The stays of a run in their order, each with what happened in it.

    Parameters
    ----------
    plan : RunPlan
        What the run followed, for the names of steps and probes.
    events : sequence of EventRow
        All of the run, in order.
    """
    stays: list[_Stay] = []
    early: list[Line] = []
    for event in events:
        here = stays[-1] if stays else None
        if event.kind in ("step_begun", "went_back"):
            if here is not None and here.ended_s is None:
                here.ended_s = event.at_s
            stays.append(_Stay(event, str(event.data.get("step", ""))))
            if event.kind == "went_back":
                stays[-1].lines += _lines(plan, event)
        elif event.kind == "step_done" and here is not None:
            here.ended_s = event.at_s
            if event.data.get("early_s"):
                here.lines += _lines(plan, event)
        elif event.kind == "answered" and event.data.get("answer") == "yes":
            if here is not None:
                how = " (scanned)" if event.data.get("code") else ""
                here.answered.append(f"{event.data.get('question', '')}{how}".replace("_", "-"))
        elif event.kind == "answered" or event.kind not in _NOT_LINES:
            (early if here is None else here.lines).extend(_lines(plan, event))
            if event.kind in ("ended", "abandoned") and here is not None:
                here.ended_s = event.at_s if here.ended_s is None else here.ended_s
    phases: dict[str, Phase] = {step.key: step.phase for step in plan.steps}
    told = [_told(plan, phases, number, stay) for number, stay in enumerate(stays, start=1)]
    if early and told:
        told[0] = replace(told[0], lines=(*early, *told[0].lines))
    return tuple(told)


def _told(plan: RunPlan, phases: dict[str, Phase], number: int, stay: _Stay) -> Step:
    lines = stay.lines
    if stay.answered:
        first = Line(
            at_s=stay.begun.at_s, wall_s=stay.begun.wall_s, kind="other",
            words=f"Answered: {', '.join(dict.fromkeys(stay.answered))}",
        )  # fmt: skip
        lines = [first, *lines]
    most, more = MOST_LINES, max(0, len(lines) - MOST_LINES)
    if more:
        # The beginning says how it came, the end how it was left.
        lines = [*lines[: most - 4], *lines[-4:]]
    return Step(
        number=number,
        key=stay.key,
        title=title_of(plan, stay.key),
        phase="check" if stay.key == CHECK else phases.get(stay.key, "cold"),
        at_s=stay.begun.at_s,
        wall_s=stay.begun.wall_s,
        took_s=None if stay.ended_s is None else max(0.0, stay.ended_s - stay.begun.at_s),
        lines=tuple(lines),
        more=more,
    )


def _lines(plan: RunPlan, event: EventRow) -> list[Line]:
    words = words_of(plan, event)
    if not words:
        return []
    kind: Kind = "other"
    if event.kind == "cue":
        kind = "call"
    elif event.kind == "alarm" and event.data.get("after") == AlarmState.ACTIVE_UNACKNOWLEDGED:
        kind = "alarm"
    elif event.kind == "note":
        kind = "note"
    return [
        Line(
            at_s=event.at_s, wall_s=event.wall_s, kind=kind, words=words,
            device=event.device,
        )
    ]  # fmt: skip


def words_of(plan: RunPlan, event: EventRow) -> str:
    """An event in words; what another version wrote and this one cannot read, by its name."""
    as_live = Event(
        seq=event.seq, at_s=event.at_s, wall_s=event.wall_s,
        kind=cast("EventKind", event.kind), data=event.data, key=event.key, device=event.device,
    )  # fmt: skip
    try:
        return log_words(plan, as_live)
    except (LookupError, TypeError, ValueError, AttributeError):
        return event.kind.replace("_", " ").capitalize()


def first_of(events: Iterable[EventRow], kind: str, **data: Any) -> EventRow | None:
    """The first event of a kind whose data say so."""
    for event in events:
        if event.kind == kind and all(event.data.get(key) == value for key, value in data.items()):
            return event
    return None
