"""What the cues ask of a run, gathered."""

from __future__ import annotations

from rimwright.live.asked import CHECK_TITLE
from rimwright.live.cues import CueFacts
from rimwright.live.foresight import Foresight
from rimwright.live.run_plan import RunPlan, RunStep
from rimwright.live.run_state import CHECK, RunState
from rimwright.live.watching import Watch


def next_step(plan: RunPlan, state: RunState) -> RunStep | None:
    """What comes after the step at hand; after the check, the step it opens."""
    if state.phase == CHECK:
        return plan.steps[state.step]
    following = state.step + 1
    return plan.steps[following] if following < len(plan.steps) else None


def left_s(value_s: float, told_at_s: float, at_s: float) -> float:
    """A time that was told a moment ago, as it is now. [s]"""
    return max(0.0, value_s - (at_s - told_at_s))


def cue_facts(
    plan: RunPlan, state: RunState, watch: Watch, foresight: Foresight, at_s: float
) -> CueFacts:
    """Everything a cue depends on, at a moment."""
    step, following, told = state.step_of(plan), next_step(plan, state), foresight.latest
    to_target = None if told is None else told.to_target_s
    held = plan.predicted.hold_fraction if told is None else told.hold_fraction
    return CueFacts(
        at_s=at_s,
        step_key=CHECK if step is None else step.key,
        step_title=CHECK_TITLE if step is None else step.title,
        phase=state.phase,
        visit=state.visit,
        in_step_s=state.in_step_s(at_s),
        overdue_s=None if step is None else step.overdue_s,
        ends_s=state.ends_at_s,
        lead_c=watch.level_c(at_s),
        early_c=plan.early_alarm_c,
        target_c=plan.target_c,
        to_target_s=None
        if to_target is None
        else left_s(to_target.middle, foresight.latest_at_s, at_s),
        control=plan.control,
        heat_on=state.heat.on,
        heat_since_s=state.heat.begun_s,
        share=state.heat.share,
        hold_fraction=None if held is None else held.middle,
        next_title="" if following is None else following.title,
        show=plan.show,
    )
