"""What runs teach of a blanket: asked of the journal before a run, written into it after."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rimwright.bending.heat_parameters import DEFAULT_HEAT, HeatParameters
from rimwright.errors import RimwrightError
from rimwright.live.run_plan import RunPlan

if TYPE_CHECKING:
    from rimwright.journal.engine import Journal
    from rimwright.live.session import Session


def known_of(journal: Journal, plan: RunPlan) -> HeatParameters:
    """What is known of a run's blanket: learnt in the last run with it, or assumed.

    Practice teaches practice only.

    Raises
    ------
    JournalError
        If the journal does not answer.
    """
    from rimwright.journal.keeping import newest_fit

    fit = newest_fit(journal, plan.blanket, simulated=plan.simulated)
    if fit is None:
        return DEFAULT_HEAT
    from rimwright.live.learnt import next_parameters

    return next_parameters(fit.values)


def keep_learnt(journal: Journal, session: Session) -> None:
    """Write down what a run's heat taught, or why nothing; once the heat has been off a while."""
    fit = session.foresight.fit()
    if fit is None:
        return
    from rimwright.journal.keeping import Fit, keep_fit
    from rimwright.live.learnt import learnt

    told = learnt(
        fit,
        faulty_share=session.hearing.faulty_share,
        slow=session.foresight.slow,
        fast=session.foresight.fast,
    )
    session.say("learnt", told)
    if not told["kept"]:
        return
    try:
        keep_fit(
            journal,
            session.run,
            Fit(
                blanket=session.plan.blanket,
                values={name: tuple(value) for name, value in told["values"].items()},
                rms_k=told["rms_k"],
                points=told["points"],
                wall_s=session.time.wall(),
            ),
        )
    except RimwrightError as error:
        session.say("note", {"words": f"What was learnt is in the log only: {error}"})
