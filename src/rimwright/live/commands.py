"""What people ask of a run, decided: the events it causes, or why not, in one line.

========== ========================================================================
kind       what its data say
========== ========================================================================
done       `visit`; early: true to cut a wait short; share: to which a dial was turned
back       `visit`
finish     words; `visit` if it was seen
hold       words
resume
abandon    words
answer     question and answer ("yes", "no"), or code as it was scanned
heat_on    share of full power, 1 if left out
heat_off
turned_down share
present
note       words
outcome    outcome: kind, place, s_m, face, words
========== ========================================================================
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from rimwright.errors import RunError
from rimwright.live import moves, said
from rimwright.live.asked import Asked, Command
from rimwright.live.drafts import Draft, numbered
from rimwright.live.moves import begun
from rimwright.live.run_plan import RunPlan
from rimwright.live.run_state import RunState

__all__ = [
    "ALARM_KINDS",
    "RUN_KINDS",
    "Command",
    "Done",
    "Draft",
    "already",
    "begun",
    "decide",
    "numbered",
]

_KINDS: dict[str, Callable[[Asked], tuple[Draft, ...]]] = {
    "done": moves.done,
    "back": moves.back,
    "finish": moves.finish,
    "abandon": moves.abandon,
    "hold": said.hold,
    "resume": said.resume,
    "answer": said.answer,
    "heat_on": said.heat_on,
    "heat_off": said.heat_off,
    "turned_down": said.turned_down,
    "present": said.present,
    "note": said.note,
    "outcome": said.outcome,
}
#: Decided here, and those that are the alarms' own.
RUN_KINDS = frozenset(_KINDS)
ALARM_KINDS = frozenset({"acknowledge", "shelve", "unshelve", "out_of_service", "in_service"})
_KEY = re.compile(r"[\x21-\x7e]{1,64}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """What a command came to."""

    words: str
    #: It was done before: the same tap, sent again.
    again: bool = False


def already(state: RunState, command: Command) -> bool:
    """Whether this very tap was done before, here or before a restart."""
    return command.key in state.keys


def decide(
    plan: RunPlan, state: RunState, command: Command, at_s: float, wall_s: float
) -> tuple[Draft, ...]:
    """The events a command causes, to be numbered and kept together.

    Parameters
    ----------
    plan : RunPlan
        What the run follows.
    state : RunState
        Where it is.
    command : Command
        What somebody asks.
    at_s, wall_s : float
        Now, in the run and on the wall. [s], [s since 1970]

    Returns
    -------
    tuple of Draft
        None at all if its key was done before.

    Raises
    ------
    RunError
        If the run cannot take it now; nothing is changed.
    """
    if not _KEY.fullmatch(command.key):
        raise RunError(
            f"the key {command.key!r:.40} of a command",
            "1 to 64 plain characters",
            "give each tap a key of its own",
        )
    if already(state, command):
        return ()
    kind = _KINDS.get(command.kind)
    if kind is None or not state.begun:
        what = f"'{command.kind:.40}'" if state.begun else "a run that is not begun"
        raise RunError(what, f"one of {', '.join(_KINDS)}, in a run", "look at the page again")
    return kind(Asked(plan=plan, state=state, command=command, at_s=at_s, wall_s=wall_s))
