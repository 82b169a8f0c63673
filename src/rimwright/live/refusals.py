"""What a run cannot take now, each in one line that says what is so instead."""

from __future__ import annotations

from rimwright.errors import RunError
from rimwright.live.asked import Asked, title_of
from rimwright.live.questions import mismatch, open_questions
from rimwright.live.run_plan import RunStep
from rimwright.units import time_text

_LOOK = "look at the page again, and press once more if it is still wanted"


def must_not_be_over(asked: Asked) -> None:
    """Refuse what a run that is over cannot take.

    Raises
    ------
    RunError
        If it has ended or was abandoned.
    """
    said = asked.state.ended or asked.state.abandoned
    if said is None:
        return
    how = "ended" if asked.state.ended is not None else "was abandoned"
    raise RunError(
        f"a run that {how} {_by(said.device)}, {_ago(asked.at_s - said.at_s)}",
        "one that is on",
        "begin another run; outcomes and notes go into the record",
    )


def must_be_on(asked: Asked) -> None:
    """Neither over nor held."""
    must_not_be_over(asked)
    held = asked.state.held
    if held is not None:
        why = f": {held.words}" if held.words else ""
        raise RunError(
            f"the run held {_by(held.device)}, {_ago(asked.at_s - held.at_s)}{why}",
            "a run that goes on",
            "press Go on first",
        )


def must_be_seen(asked: Asked) -> None:
    """The move is for where the run is now, not for where somebody else moved it from."""
    state, visit = asked.state, asked.command.visit
    if visit == state.visit:
        return
    stay = next((one for one in state.visits if one.number == visit), None)
    if stay is None or stay.left_s is None:
        raise RunError(
            "a move that does not say from which step", f"one from '{asked.here}'", _LOOK
        )
    title = title_of(asked.plan, stay.step)
    what = "gone back from" if stay.how == "back" else "marked done"
    raise RunError(
        f"'{title}' {what} already {_by(stay.device)}, {_ago(asked.at_s - stay.left_s)}; now at "
        f"'{asked.here}'",
        f"a move from '{asked.here}'",
        _LOOK,
    )


def must_be_checked(asked: Asked) -> None:
    """All that blocks is answered, and nothing is amiss."""
    plan, answers = asked.plan, asked.state.answers
    wrong = mismatch(plan, answers)
    if wrong is not None:
        raise RunError(wrong.rstrip("."), "the check passed", "put it right and answer it again")
    missing = open_questions(plan, answers)
    if missing:
        raise RunError(
            f"no answer yet on {', '.join(one.key.replace('_', '-') for one in missing)}",
            "each of them seen and answered",
            "look, then answer or scan the label",
        )


def must_say_early(asked: Asked, step: RunStep, left_s: float) -> None:
    """A wait is cut short only by somebody who says so."""
    if asked.command.data.get("early") is True:
        return
    raise RunError(
        f"{time_text(left_s)} of '{step.title}' still to go",
        f"the whole {time_text(step.wait_s or 0.0)}",
        "wait, or say that it ends early",
    )


def _by(device: str) -> str:
    return f"by {device}" if device else "by somebody"


def _ago(seconds: float) -> str:
    return "just now" if seconds < 1.5 else f"{time_text(seconds)} ago"
