"""The run folded from its events: the same events give the same state."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import Any

from rimwright.errors import RunError
from rimwright.live.events import Event, EventKind
from rimwright.live.run_heat import turned_off, turned_on, turned_to
from rimwright.live.run_plan import RunPlan
from rimwright.live.run_state import CHECK, Answer, Phase, RunState, Said, Visit
from rimwright.live.run_time import Anchor

__all__ = ["CHECK", "Answer", "Phase", "RunState", "Said", "Visit", "applied", "folded"]


def folded(plan: RunPlan, events: Iterable[Event]) -> RunState:
    """The state after all these events.

    Raises
    ------
    RunError
        If an event names a step that the plan does not have.
    """
    state, keys = RunState(), set()
    for event in events:
        state = _moved_on(plan, state, event)
        # All at once in the end: a set for each of thousands of taps would take its time.
        keys |= {event.key} - {""}
    return replace(state, keys=frozenset(keys))


def applied(plan: RunPlan, state: RunState, event: Event) -> RunState:
    """The state after one more event; one that is in it already changes nothing.

    Parameters
    ----------
    plan : RunPlan
        What the run follows.
    state : RunState
        Before.
    event : Event
        The next; kinds that do not touch the run move only its number and time.

    Raises
    ------
    RunError
        If it names a step that the plan does not have.

    Notes
    -----
    An event with a command's key is a tap by a person: somebody is there.
    """
    after = _moved_on(plan, state, event)
    if after is state or not event.key:
        return after
    return replace(after, keys=state.keys | {event.key})


def _moved_on(plan: RunPlan, state: RunState, event: Event) -> RunState:
    """The state after one more event, all but its key."""
    if event.seq <= state.seq:
        return state
    state = replace(
        state,
        seq=event.seq,
        at_s=max(state.at_s, event.at_s),
        wall_s=event.wall_s,
        anchor=Anchor.of_event(event) or state.anchor,
    )
    if event.key:
        state = replace(state, present_s=event.at_s)
    fold = _FOLDS.get(event.kind)
    return state if fold is None else fold(plan, state, event)


def _begun(plan: RunPlan, state: RunState, event: Event) -> RunState:
    return replace(state, begun=True, begun_wall_s=event.wall_s, present_s=event.at_s)


def _step_begun(plan: RunPlan, state: RunState, event: Event) -> RunState:
    """A stay begins, by going on or by going back."""
    step, ends = str(event.data["step"]), _number(event.data, "ends_at_s")
    visit = int(event.data["visit"])
    if step == CHECK:
        number = next((i for i, one in enumerate(plan.steps) if one.phase != "cold"), None)
        phase: Phase = "check"
    else:
        number = next((i for i, one in enumerate(plan.steps) if one.key == step), None)
        phase = "cold" if number is None else plan.steps[number].phase
    if number is None:
        raise RunError(
            f"'{step}' in the record of a run",
            "one of the steps of its plan",
            "look at the record: plan and run do not belong together",
        )
    return replace(
        state,
        step=number,
        phase=phase,
        visit=visit,
        visits=(
            *state.visits,
            Visit(number=visit, step=step, begun_s=event.at_s, ends_at_s=ends),
        ),
        step_begun_s=event.at_s,
        held_before_s=0.0,
        ends_at_s=ends,
        ends_wall_s=_number(event.data, "ends_wall_s"),
        # What was seen before may have been touched since.
        answers={} if phase == CHECK else state.answers,
    )


def _left(state: RunState, event: Event, how: str) -> RunState:
    """The present stay is over."""
    last = replace(
        state.visits[-1],
        left_s=event.at_s,
        how="back" if how == "back" else "done",
        device=event.device,
        early_s=_number(event.data, "early_s") or 0.0,
    )
    return replace(state, visits=(*state.visits[:-1], last), ends_at_s=None, ends_wall_s=None)


def _step_done(plan: RunPlan, state: RunState, event: Event) -> RunState:
    return _left(state, event, "done")


def _went_back(plan: RunPlan, state: RunState, event: Event) -> RunState:
    return _step_begun(plan, _left(state, event, "back"), event)


def _held(plan: RunPlan, state: RunState, event: Event) -> RunState:
    return replace(state, held=_said(event))


def _resumed(plan: RunPlan, state: RunState, event: Event) -> RunState:
    if state.held is None:
        return state
    held_s = state.held_before_s + event.at_s - state.held.at_s
    return replace(state, held=None, held_before_s=held_s)


def _heat_on(plan: RunPlan, state: RunState, event: Event) -> RunState:
    share = _number(event.data, "share")
    heat = turned_on(state.heat, event.at_s, 1.0 if share is None else share)
    return replace(state, heat=heat)


def _heat_off(plan: RunPlan, state: RunState, event: Event) -> RunState:
    return replace(state, heat=turned_off(state.heat, event.at_s))


def _turned_down(plan: RunPlan, state: RunState, event: Event) -> RunState:
    return replace(state, heat=turned_to(state.heat, event.at_s, float(event.data["share"])))


def _answered(plan: RunPlan, state: RunState, event: Event) -> RunState:
    answer = Answer(
        answer="yes" if event.data.get("answer") == "yes" else "no",
        code=str(event.data.get("code") or ""),
        words=str(event.data.get("words") or ""),
        at_s=event.at_s,
        device=event.device,
    )
    return replace(state, answers={**state.answers, str(event.data["question"]): answer})


def _present(plan: RunPlan, state: RunState, event: Event) -> RunState:
    return replace(state, present_s=event.at_s)


def _note(plan: RunPlan, state: RunState, event: Event) -> RunState:
    return replace(state, notes=(*state.notes, _said(event)))


def _outcome(plan: RunPlan, state: RunState, event: Event) -> RunState:
    return replace(state, outcomes=(*state.outcomes, dict(event.data)))


def _clock_set(plan: RunPlan, state: RunState, event: Event) -> RunState:
    """Ends on the wall are told anew; those in the run stay."""
    if state.ends_wall_s is None:
        return state
    return replace(state, ends_wall_s=state.ends_wall_s + float(event.data["by_s"]))


def _ended(plan: RunPlan, state: RunState, event: Event) -> RunState:
    return replace(state, ended=_said(event), held=None)


def _abandoned(plan: RunPlan, state: RunState, event: Event) -> RunState:
    return replace(state, abandoned=_said(event), held=None)


def _said(event: Event) -> Said:
    return Said(
        at_s=event.at_s,
        wall_s=event.wall_s,
        words=str(event.data.get("words") or ""),
        device=event.device,
    )


def _number(data: Mapping[str, Any], key: str) -> float | None:
    value = data.get(key)
    return None if value is None else float(value)


_FOLDS: dict[EventKind, Callable[[RunPlan, RunState, Event], RunState]] = {
    "begun": _begun,
    "step_begun": _step_begun,
    "step_done": _step_done,
    "went_back": _went_back,
    "held": _held,
    "resumed": _resumed,
    "heat_on": _heat_on,
    "heat_off": _heat_off,
    "turned_down": _turned_down,
    "answered": _answered,
    "present": _present,
    "note": _note,
    "outcome": _outcome,
    "clock_set": _clock_set,
    "ended": _ended,
    "abandoned": _abandoned,
}
