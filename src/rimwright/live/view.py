"""What a run shows, as plain values: page, terminal and practice read the same."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from rimwright.live.alarms import can_shelve
from rimwright.live.run_plan import Ranged, RunPlan
from rimwright.live.run_state import RunState
from rimwright.live.session_facts import left_s
from rimwright.live.view_log import cue_view, log_view
from rimwright.live.view_steps import check_view, next_view, step_view, steps_view

if TYPE_CHECKING:
    from rimwright.live.session import Session

FORMAT = "rimwright-live/1"
_CUES = 5


def view_of(session: Session) -> dict[str, Any]:
    """Everything a page shows of a run, at this moment; the session's lock is held."""
    plan, state = session.plan, session.state
    at_s, wall_s = session.now()
    health = session.around.recorder.health()
    return {
        "format": FORMAT,
        "at_s": round(at_s, 3),
        "wall_s": round(wall_s, 3),
        "run": {
            "id": session.run,
            "model": plan.model,
            "plan": plan.plan_code,
            "hand": plan.hand,
            "piece": plan.piece,
            "side": plan.side_words,
            "player": plan.player,
            "simulated": plan.simulated,
            "speed": plan.speed,
            "show": plan.show,
            "control": plan.control,
            "blanket": plan.blanket,
        },
        "visit": state.visit,
        "state": state.state,
        "phase": state.phase,
        "held": None
        if state.held is None
        else {"since_s": state.held.at_s, "words": state.held.words},
        "step": step_view(plan, state, at_s),
        "next": next_view(plan, state),
        "steps": steps_view(plan, state),
        "check": check_view(plan, state),
        "heat": {"on": state.heat.on, "since_s": state.heat.since_s, "share": state.heat.share},
        "probes": _probes(session, at_s),
        "lead": _lead(session, at_s),
        "lines": {
            "early_c": plan.early_alarm_c,
            "target_c": plan.target_c,
            "limit_c": plan.limit_c,
        },
        "forecast": _forecast(session, at_s),
        "minutes_left": _minutes_left(session, at_s),
        "alarms": _alarms(session),
        "cues": [cue_view(event) for event in session.events if event.kind == "cue"][-_CUES:],
        "sound": {"alarm": session.alarms.sounding, "host": session.around.sound.hearing},
        "recording": {
            "ok": health.ok,
            "words": health.words,
            "waiting": health.waiting,
            "dropped": health.dropped,
        },
        "notices": _notices(session),
        "rest": _rest(plan, state),
        "outcomes": [dict(one) for one in state.outcomes],
        "log": log_view(plan, session.events),
    }


def _probes(session: Session, at_s: float) -> list[dict[str, Any]]:
    probes = []
    for number, probe in enumerate(session.plan.probes):
        celsius, fault, words, heard_s = session.hearing.watch.probe_now(number, at_s)
        probes.append(
            {
                "number": number,
                "name": probe.name,
                "place": probe.place,
                "kind": probe.kind,
                "celsius": celsius,
                "fault": None if fault is None else str(fault),
                "words": words,
                "heard_s": heard_s,
            }
        )
    return probes


def _lead(session: Session, at_s: float) -> dict[str, Any] | None:
    lead = session.hearing.watch.lead(at_s)
    if lead is None:
        return None
    rate = session.hearing.watch.rate_k_s(at_s)
    return {
        "celsius": lead[1],
        "probe": lead[0],
        "rate_k_s": None if rate is None else round(rate, 3),
    }


def _ranged(told: Ranged | None, told_at_s: float, at_s: float) -> dict[str, float] | None:
    if told is None:
        return None
    return {name: round(left_s(value, told_at_s, at_s), 1) for name, value in asdict(told).items()}


def _forecast(session: Session, at_s: float) -> dict[str, Any] | None:
    told, told_at_s = session.foresight.latest, session.foresight.latest_at_s
    if told is None:
        return None
    to_limit = session.hearing.watch.to_limit_s(at_s, session.heat_context())
    return {
        "to_early_s": _ranged(told.to_early_s, told_at_s, at_s),
        "to_target_s": _ranged(told.to_target_s, told_at_s, at_s),
        "to_limit_s": None if to_limit is None else round(to_limit, 1),
        "hold_fraction": None if told.hold_fraction is None else asdict(told.hold_fraction),
        "settles_c": None if told.settles_c is None else asdict(told.settles_c),
        "settled": round(told.settled, 3),
        "stall": told.stall,
        "words": list(told.words),
    }


def _minutes_left(session: Session, at_s: float) -> dict[str, Any] | None:
    """What the large clock counts down: a wait, the way to the target, a bend's usual time."""
    plan, state = session.plan, session.state
    step = state.step_of(plan)
    if step is None or state.over:
        return None
    if state.ends_at_s is not None:
        left = max(0.0, state.ends_at_s - at_s)
        to = "left of the rest" if step.phase == "after" else "left to stand"
        return {"seconds": left, "low_s": left, "high_s": left, "to": to}
    told, told_at_s = session.foresight.latest, session.foresight.latest_at_s
    if step.key == "warm-up" and told is not None and told.to_target_s is not None:
        ranged = _ranged(told.to_target_s, told_at_s, at_s)
        assert ranged is not None
        return {
            "seconds": ranged["middle"],
            "low_s": ranged["low"],
            "high_s": ranged["high"],
            "to": "to the target",
        }
    if step.phase == "hot" and step.usual_s is not None and step.key != "warm-up":
        usual = step.usual_s - state.in_step_s(at_s)
        most = (step.overdue_s or step.usual_s) - state.in_step_s(at_s)
        if usual > 0.0:
            return {"seconds": usual, "low_s": usual, "high_s": most, "to": "usual for this bend"}
    return None


def _alarms(session: Session) -> list[dict[str, Any]]:
    return [
        {
            "key": str(alarm.key),
            "title": alarm.definition.title,
            "words": alarm.words,
            "action": alarm.definition.action,
            "state": str(alarm.state),
            "since_s": alarm.since_s,
            "high": alarm.definition.high,
            "sounding": alarm.sounding,
            "can_shelve": can_shelve(session.alarms, alarm.key),
            "reason": alarm.reason,
            "until_s": alarm.until_s,
        }
        for alarm in session.alarms.shown
    ]


def _notices(session: Session) -> list[str]:
    """Calm advice: what the forecast says, a probe of several that is not heard."""
    told = session.foresight.latest
    said = [*session.notices, *(() if told is None else told.words)]
    if session.state.abandoned is not None and session.state.heat.on:
        said.insert(0, "Abandoned, and the heat is marked on: pull the plug, then mark it off.")
    return said


def _rest(plan: RunPlan, state: RunState) -> dict[str, Any] | None:
    step = state.step_of(plan)
    if step is None or step.phase != "after" or state.ends_at_s is None:
        return None
    return {"ends_s": state.ends_at_s, "ends_wall_s": state.ends_wall_s}
