"""Whether anybody has ever said here that the bender has a tested cut-out."""

from __future__ import annotations

from rimwright.journal.engine import Journal


def cut_out_answered(journal: Journal) -> bool:
    """Whether the question of the cut-out was answered with yes, in a run with a real probe."""
    from sqlalchemy import select

    from rimwright.journal.tables import events, runs

    query = (
        select(events.c.data)
        .join(runs, runs.c.id == events.c.run_id)
        .where(events.c.kind == "answered", runs.c.simulated.is_(False))
    )
    with journal.reading() as connection:
        return any(
            data.get("question") == "cut_out" and data.get("answer") == "yes"
            for data in connection.execute(query).scalars()
        )
