"""The list of runs, and what narrows it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from rimwright.journal.engine import Journal

if TYPE_CHECKING:
    from sqlalchemy import ColumnElement, Select

#: `live.alarms`: what an alarm turns to as it calls.
_CALLING = "active_unacknowledged"


@dataclass(frozen=True, kw_only=True)
class RunFilter:
    """Which runs; what is None does not matter."""

    #: Any part of the name, in any case.
    model: str | None = None
    hand: str | None = None
    #: "open", "ended", "abandoned".
    state: str | None = None
    #: Kind of an outcome: "sound", "cracked", ...; "none" where none was recorded.
    outcome: str | None = None
    #: Key of an alarm that called in the run; "any" where one did.
    alarm: str | None = None
    #: Begun not before, and before. [s since 1970]
    since: float | None = None
    until: float | None = None
    simulated: bool | None = None
    #: Only the newest so many.
    limit: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RunLine:
    """A run as one line of the list."""

    id: int
    model: str
    plan_code: str
    hand: str
    piece: str
    simulated: bool
    state: str
    #: [s since 1970]
    begun_wall_s: float
    ended_wall_s: float | None
    #: Kinds of its outcomes, joined: "hairline, scorched"; "" where none was recorded.
    outcome: str
    #: How often an alarm called.
    alarms: int
    samples: int
    blanket: str


def run_lines(journal: Journal, filters: RunFilter | None = None) -> tuple[RunLine, ...]:
    """Runs, newest first.

    Parameters
    ----------
    journal : Journal
        Where.
    filters : RunFilter, optional
        Which; all if left out.

    Raises
    ------
    JournalError
        If the journal does not answer.
    """
    from sqlalchemy import func, select

    from rimwright.journal.tables import events, outcomes, runs, samples

    # The highest number, not a count: samples are numbered without a hole, and days of them
    # are not gone through for a list.
    newest = select(func.max(samples.c.seq)).where(samples.c.run_id == runs.c.id).scalar_subquery()
    c = runs.c
    query = _narrowed(
        select(
            c.id, c.model, c.plan_code, c.hand, c.piece, c.simulated, c.state,
            c.begun_wall_s, c.ended_wall_s, c.blanket, func.coalesce(newest, 0).label("samples"),
        ),
        filters or RunFilter(),
    ).order_by(c.begun_wall_s.desc(), c.id.desc())  # fmt: skip
    with journal.reading() as connection:
        found = connection.execute(query).mappings().all()
        of_them = [row["id"] for row in found]
        kinds: dict[int, dict[str, None]] = {}
        called: dict[int, int] = {}
        for some in _pieces(of_them):
            o = outcomes.c
            for run, kind in connection.execute(
                select(o.run_id, o.kind).where(o.run_id.in_(some)).order_by(o.id)
            ):
                kinds.setdefault(run, {})[kind] = None
            called.update(
                (run, count)
                for run, count in connection.execute(
                    select(events.c.run_id, func.count())
                    .where(events.c.run_id.in_(some), _called())
                    .group_by(events.c.run_id)
                )
            )
    return tuple(
        RunLine(**row, outcome=", ".join(kinds.get(row["id"], ())), alarms=called.get(row["id"], 0))
        for row in found
    )


def _narrowed(query: Select[Any], filters: RunFilter) -> Select[Any]:
    from sqlalchemy import exists, func

    from rimwright.journal.tables import events, outcomes, runs

    c = runs.c
    if filters.model is not None:
        query = query.where(func.lower(c.model).contains(filters.model.lower(), autoescape=True))
    for column, value in ((c.hand, filters.hand), (c.state, filters.state)):
        if value is not None:
            query = query.where(column == value)
    if filters.simulated is not None:
        query = query.where(c.simulated.is_(filters.simulated))
    if filters.since is not None:
        query = query.where(c.begun_wall_s >= filters.since)
    if filters.until is not None:
        query = query.where(c.begun_wall_s < filters.until)
    of_run = outcomes.c.run_id == c.id
    if filters.outcome == "none":
        query = query.where(~exists().where(of_run))
    elif filters.outcome is not None:
        query = query.where(exists().where(of_run, outcomes.c.kind == filters.outcome))
    if filters.alarm is not None:
        called = [events.c.run_id == c.id, _called()]
        if filters.alarm != "any":
            called.append(events.c.data["alarm"].as_string() == filters.alarm)
        query = query.where(exists().where(*called))
    return query if filters.limit is None else query.limit(filters.limit)


def _called() -> ColumnElement[bool]:
    from sqlalchemy import and_

    from rimwright.journal.tables import events

    return and_(events.c.kind == "alarm", events.c.data["after"].as_string() == _CALLING)


def _pieces(numbers: list[int], most: int = 10_000) -> list[list[int]]:
    """Lists short enough for one statement."""
    return [numbers[first : first + most] for first in range(0, len(numbers), most)]
