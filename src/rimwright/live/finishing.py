"""What is written down beside samples and events, as a run goes on and ends."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rimwright.errors import RimwrightError

if TYPE_CHECKING:
    from rimwright.journal.engine import Journal
    from rimwright.live.session import Session


def keep_outcome(journal: Journal, session: Session) -> None:
    """The latest outcome that was said on a page, beside its event, so that it can be looked for.

    A journal that cannot be written now loses nothing: the event is written when it can be.
    """
    from rimwright.journal.keeping import Outcome, record_outcome

    said = session.state.outcomes[-1]
    fields = {name: said[name] for name in ("kind", "place", "s_m", "face", "words")
              if said.get(name) is not None}  # fmt: skip
    try:
        outcome = Outcome(**fields, wall_s=session.state.wall_s)
        record_outcome(journal, session.run, outcome)
    except RimwrightError as error:
        session.say("note", {"words": f"The outcome is in the log only: {error}"})


def wind_up(journal: Journal, session: Session) -> None:
    """Close the run's record, and copy the journal while it is fresh."""
    from rimwright.journal.backup import back_up
    from rimwright.journal.runs import end_run

    state = session.state
    try:
        end_run(
            journal,
            session.run,
            "ended" if state.ended is not None else "abandoned",
            state.wall_s,
        )
        if not session.plan.simulated:
            back_up(journal)
    except RimwrightError as error:
        session.notices.append(f"Not wound up: {error}")
