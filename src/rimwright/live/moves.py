"""The commands that move a run: done, back, finish, abandon; and its beginning."""

from __future__ import annotations

from rimwright.errors import RunError
from rimwright.live.asked import Asked
from rimwright.live.drafts import Draft
from rimwright.live.refusals import (
    must_be_checked,
    must_be_on,
    must_be_seen,
    must_not_be_over,
    must_say_early,
)
from rimwright.live.run_plan import RunPlan, RunStep
from rimwright.live.run_state import CHECK
from rimwright.live.run_time import Anchor


def begun(plan: RunPlan, anchor: Anchor, *, device: str = "", key: str = "") -> tuple[Draft, ...]:
    """The first events of a run: it is begun, and so is its first step.

    Parameters
    ----------
    plan : RunPlan
        What it follows.
    anchor : Anchor
        Of `RunTime.begun`: where its time hangs on the clocks.
    device, key : str, optional
        Who began it, by which command.
    """
    wait_s = plan.steps[0].wait_s
    first = Draft(
        at_s=anchor.at_s,
        wall_s=anchor.wall_s,
        kind="begun",
        data={"anchor": anchor.data()},
        key=key,
        device=device,
    )
    step = Draft(
        at_s=anchor.at_s,
        wall_s=anchor.wall_s,
        kind="step_begun",
        data=_stay(
            plan.steps[0],
            1,
            anchor.at_s,
            anchor.wall_s,
            ends_at_s=None if wait_s is None else anchor.at_s + wait_s,
        ),
        key=key,
        device=device,
    )
    return first, step


def done(asked: Asked) -> tuple[Draft, ...]:
    """The step at hand is done: what follows begins."""
    must_be_on(asked)
    must_be_seen(asked)
    return _done(asked)


def _done(asked: Asked) -> tuple[Draft, ...]:
    state, plan, visit = asked.state, asked.plan, asked.state.visit
    if state.phase == CHECK:
        must_be_checked(asked)
        heat = [] if state.heat.on else [asked.draft("heat_on", share=1.0, seen=False)]
        return (
            asked.draft("step_done", step=CHECK, visit=visit),
            _begin(asked, asked.step),
            *heat,
        )
    step = asked.step
    said = {"step": step.key, "visit": visit}
    left_s = state.wait_left_s(asked.at_s)
    if left_s > 0.0:
        must_say_early(asked, step, left_s)
        said |= {"early_s": left_s}
    if step.phase == "after" and step.key != "unplug" and state.heat.on:
        raise RunError(
            "the heat marked on", "heat off from here", "pull the plug, and mark the heat off"
        )
    finished = (asked.draft("step_done", **said), *_heat_of(asked, step))
    if state.step + 1 == len(plan.steps):
        return (*finished, asked.draft("ended", words=asked.words()))
    after = plan.steps[state.step + 1]
    if step.phase == "cold" and after.phase != "cold":
        check = asked.draft(
            "step_begun", step=CHECK, visit=visit + 1, ends_at_s=None, ends_wall_s=None
        )
        return (*finished, check)
    return (*finished, _begin(asked, after))


def back(asked: Asked) -> tuple[Draft, ...]:
    """To the step before; a wait that was begun there ends when it would have ended."""
    must_be_on(asked)
    must_be_seen(asked)
    state, plan = asked.state, asked.plan
    if state.step == 0:
        raise RunError(
            f"the first step, '{asked.here}'", "a step before it", "go on, or abandon the run"
        )
    before = plan.steps[state.step - 1]
    to_check = state.phase not in ("cold", CHECK) and before.phase == "cold"
    if before.phase == "cold" and state.heat.on:
        raise RunError(
            "the heat marked on",
            f"heat off before '{before.title}' is opened again",
            "pull the plug, mark the heat off, let it cool",
        )
    if to_check:
        data = {"step": CHECK, "visit": state.visit + 1, "ends_at_s": None, "ends_wall_s": None}
        return (asked.draft("went_back", **data),)
    data = _stay(before, state.visit + 1, asked.at_s, asked.wall_s, ends_at_s=_ends(asked, before))
    return (asked.draft("went_back", **data),)


def finish(asked: Asked) -> tuple[Draft, ...]:
    """The last step is done, and with it the run."""
    must_be_on(asked)
    if asked.command.visit is not None:
        must_be_seen(asked)
    last = asked.plan.steps[-1]
    if asked.step is not last or asked.state.phase == CHECK:
        raise RunError(
            f"the run at '{asked.here}'",
            f"'{last.title}', the last step",
            "go through the steps, or abandon the run",
        )
    return _done(asked)


def abandon(asked: Asked) -> tuple[Draft, ...]:
    """Given up: always allowed. With the heat marked on, watching goes on until it is off."""
    if asked.state.abandoned is not None:
        return asked.tap
    must_not_be_over(asked)
    return (asked.draft("abandoned", words=asked.words()),)


def _heat_of(asked: Asked, step: RunStep) -> tuple[Draft, ...]:
    """What being done with a step says of the heat."""
    heat = asked.state.heat
    if not heat.on:
        return ()
    if step.key == "unplug":
        return (asked.draft("heat_off", seen=False),)
    if step.key == "hold" and asked.plan.control == "dial" and heat.share == 1.0:
        # Nobody said to what: the recipe did.
        said = asked.number("share", 0.01, 1.0)
        share = asked.plan.predicted.hold_fraction.middle if said is None else said
        if 0.0 < share < 1.0:
            return (asked.draft("turned_down", share=share, assumed=said is None),)
    return ()


def _begin(asked: Asked, step: RunStep) -> Draft:
    wait_s, heat = step.wait_s, asked.state.heat
    ends_at_s = None if wait_s is None else asked.at_s + wait_s
    began_s = max((one.begun_s for one in asked.state.visits if one.step == step.key), default=None)
    off_s = None if heat.on else heat.since_s
    if step.phase == "after" and began_s is not None and off_s is not None and off_s <= began_s:
        # Back from the rest by mistake and here again, never heated between: it goes on.
        ends_at_s = _ends(asked, step)
    data = _stay(step, asked.state.visit + 1, asked.at_s, asked.wall_s, ends_at_s=ends_at_s)
    return asked.draft("step_begun", **data)


def _ends(asked: Asked, step: RunStep) -> float | None:
    """When the wait ends that was begun at the latest stay there. [s in the run]"""
    stays = [one for one in asked.state.visits if one.step == step.key]
    return stays[-1].ends_at_s if stays else None


def _stay(
    step: RunStep, visit: int, at_s: float, wall_s: float, *, ends_at_s: float | None
) -> dict[str, object]:
    """What the beginning of a stay says: a wait has its end on both clocks."""
    ends_wall_s = None if ends_at_s is None else wall_s + ends_at_s - at_s
    return {
        "step": step.key, "visit": visit, "ends_at_s": ends_at_s, "ends_wall_s": ends_wall_s,
    }  # fmt: skip
