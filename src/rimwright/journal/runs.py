"""Runs in the journal: begun and ended here; listed, and their rows read back, next door."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from rimwright.journal.engine import Journal
from rimwright.journal.locking import Tally
from rimwright.journal.rows import (
    EventRow,
    SampleRow,
    Stretch,
    events_of,
    last_sample,
    samples_after,
    stretches_of,
)
from rimwright.journal.run_list import RunFilter, RunLine, run_lines
from rimwright.journal.run_record import RunRecord, run_record, unknown_run

__all__ = [
    "EventRow", "NewRun", "RunFilter", "RunLine", "RunRecord", "SampleRow", "Stretch",
    "begin_run", "end_run", "events_of", "last_sample", "open_runs", "run_lines", "run_record",
    "samples_after", "stretches_of", "unknown_run",
]  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class NewRun:
    """What is kept as a run begins, before any heat."""

    model: str
    plan_code: str
    hand: str
    piece: str
    simulated: bool
    #: [s since 1970]
    begun_wall_s: float
    #: Plain values, see `live.plain`.
    run_plan: Mapping[str, Any]
    #: `plan.json` and the design file as they were.
    plan_document: Mapping[str, Any] | None = None
    design_text: str | None = None
    #: Of Rimwright, and what it predicted.
    model_version: str
    prediction: Mapping[str, Any]
    blanket: str = ""
    #: How the probes are reached; no secrets.
    probe_settings: list[dict[str, Any]] = field(default_factory=list)
    #: Name, place and kind of each probe, in order.
    probes: list[dict[str, Any]] = field(default_factory=list)
    side_id: int | None = None
    #: Name of the computer that records it.
    bench: str = ""


def begin_run(journal: Journal, new: NewRun) -> int:
    """Open a run in the journal.

    Returns
    -------
    int
        Its number.

    Raises
    ------
    JournalError
        If the journal cannot be written; there is no such run then.
    """
    from rimwright.journal import tables

    names = ("number", "name", "place", "kind")
    values = {name: getattr(new, name) for name in _RUN_COLUMNS}
    with journal.writing() as connection:
        statement = tables.runs.insert().values(
            uid=str(uuid.uuid4()), state="open", ended_wall_s=None, **values
        )
        run = int(connection.execute(statement.returning(tables.runs.c.id)).scalar_one())
        probes = [{"number": number, **probe} for number, probe in enumerate(new.probes)]
        if probes:
            connection.execute(
                tables.run_probes.insert(),
                [{"run_id": run, **{name: probe[name] for name in names}} for probe in probes],
            )
    journal.count({run: Tally()})
    return run


_RUN_COLUMNS = (
    "side_id", "model", "plan_code", "hand", "piece", "simulated", "begun_wall_s", "run_plan",
    "plan_document", "design_text", "model_version", "prediction", "blanket", "probe_settings",
    "bench",
)  # fmt: skip


def end_run(
    journal: Journal, run: int, state: Literal["ended", "abandoned"], wall_s: float
) -> None:
    """Close a run.

    Raises
    ------
    JournalError
        If there is no such run, or the journal cannot be written.
    """
    from rimwright.journal.tables import runs

    with journal.writing() as connection:
        done = connection.execute(
            runs.update().where(runs.c.id == run).values(state=state, ended_wall_s=wall_s)
        )
        if done.rowcount != 1:
            raise unknown_run(run, journal)


def open_runs(journal: Journal, bench: str | None = None) -> tuple[int, ...]:
    """Numbers of the runs that were neither ended nor abandoned, oldest first.

    Parameters
    ----------
    journal : Journal
        Where.
    bench : str, optional
        Only those that this computer records; all if left out.
    """
    from sqlalchemy import select

    from rimwright.journal.tables import runs

    query = select(runs.c.id).where(runs.c.state == "open").order_by(runs.c.id)
    if bench is not None:
        query = query.where(runs.c.bench == bench)
    with journal.reading() as connection:
        return tuple(connection.execute(query).scalars())
