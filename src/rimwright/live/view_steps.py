"""Steps and check as pages show them."""

from __future__ import annotations

from typing import Any

from rimwright.live.asked import CHECK_TITLE
from rimwright.live.questions import mismatch, ready
from rimwright.live.run_plan import RunPlan
from rimwright.live.run_state import CHECK, RunState
from rimwright.live.session_facts import next_step


def step_view(plan: RunPlan, state: RunState, at_s: float) -> dict[str, Any]:
    """The step at hand, or the check."""
    step = state.step_of(plan)
    place = {
        "number": state.step + 1,
        "of": len(plan.steps),
        "since_s": state.step_begun_s,
        "ends_s": state.ends_at_s,
        "ends_wall_s": state.ends_wall_s,
        "overdue_s": None if step is None else step.overdue_s,
        "in_step_s": round(state.in_step_s(at_s), 3),
        "waits": state.wait_left_s(at_s) > 0.0,
    }
    if step is None:
        return {
            **place,
            "key": CHECK,
            "title": CHECK_TITLE,
            "do": "Look along the bench and answer. Then plug in and begin the heat.",
            "watch": "",
            "why": "a slip found now costs a minute",
            "cautions": [],
            "target_c": None,
            "phase": CHECK,
            "button": "Heat is on, go on",
        }
    last = state.step + 1 == len(plan.steps)
    return {
        **place,
        "key": step.key,
        "title": step.title,
        "do": step.do,
        "watch": step.watch,
        "why": step.why,
        "cautions": list(step.cautions),
        "target_c": step.target_c,
        "phase": step.phase,
        "button": "Finish the run" if last else f"{step.title}: done",
    }


def next_view(plan: RunPlan, state: RunState) -> dict[str, Any] | None:
    """What comes after; None at the end."""
    step = state.step_of(plan)
    following = next_step(plan, state)
    if following is None:
        return None
    if step is not None and step.phase == "cold" and following.phase != "cold":
        return {"key": CHECK, "title": CHECK_TITLE, "do": "Four things to answer before the heat."}
    return {"key": following.key, "title": following.title, "do": following.do}


def steps_view(plan: RunPlan, state: RunState) -> list[dict[str, Any]]:
    """All steps in a few words."""
    return [
        {
            "key": step.key,
            "title": step.title,
            "phase": step.phase,
            "done": state.ended is not None or place < state.step,
            "now": place == state.step and state.phase != CHECK,
        }
        for place, step in enumerate(plan.steps)
    ]


def check_view(plan: RunPlan, state: RunState) -> dict[str, Any] | None:
    """The questions before the heat; None elsewhere."""
    if state.phase != CHECK:
        return None
    questions = []
    for question in plan.questions:
        answer = state.answers.get(question.key)
        questions.append(
            {
                "key": question.key,
                "words": question.words,
                "blocking": question.blocking,
                "expects": question.expected_kind,
                "answer": None if answer is None else answer.answer,
            }
        )
    return {
        "questions": questions,
        "ready": ready(plan, state.answers),
        "mismatch": mismatch(plan, state.answers),
        "stack": list(plan.stack),
    }
