"""A batch of rows into its tables, once, however often it is tried."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from rimwright.journal.engine import Journal
from rimwright.journal.locking import Tally
from rimwright.journal.row_values import event_values, sample_values
from rimwright.journal.rows import EventRow, SampleRow

if TYPE_CHECKING:
    from collections.abc import Callable

    from sqlalchemy import Insert, Table


@dataclass(frozen=True, slots=True)
class Batch:
    """Rows that are committed together."""

    #: When the oldest was handed in, on the monotonic clock. [s]
    oldest_s: float
    samples: list[tuple[int, SampleRow]]
    events: list[tuple[int, EventRow]]

    def __len__(self) -> int:
        return len(self.samples) + len(self.events)

    def tallies(self, holes: Mapping[int, int]) -> dict[int, Tally]:
        """The last rows of each run, and what was given up of it so far."""
        found: dict[int, Tally] = {}
        for run, sample in self.samples:
            last = found.get(run, _NOTHING)
            if sample.seq > last.sample:
                found[run] = Tally(sample.seq, sample.at_ms, last.event)
        for run, event in self.events:
            last = found.get(run, _NOTHING)
            if event.seq > last.event:
                found[run] = Tally(last.sample, last.at_ms, event.seq)
        return {run: replace(tally, holes=holes.get(run, 0)) for run, tally in found.items()}


_NOTHING = Tally()


def keep_batch(journal: Journal, batch: Batch) -> None:
    """Insert a batch in one transaction.

    A row that is there already is left as it is: the answer to an earlier commit may have
    been lost on its way.

    Raises
    ------
    JournalError
        If the journal cannot be written now.
    """
    with journal.writing() as connection:
        for table, values, rows in _parts(batch):
            made = [values(run, row) for run, row in rows]
            connection.execute(_insert(journal, table), made)


def keep_one_by_one(journal: Journal, batch: Batch) -> int:
    """Insert what can be inserted of a batch; how many rows no database takes.

    Raises
    ------
    JournalError
        If the journal cannot be written now.
    """
    from sqlalchemy import exc

    refused = 0
    with journal.writing() as connection:
        for table, values, rows in _parts(batch):
            statement = _insert(journal, table)
            for run, row in rows:
                try:
                    with connection.begin_nested():
                        connection.execute(statement, values(run, row))
                except (exc.OperationalError, exc.InterfaceError):
                    raise
                except (exc.StatementError, TypeError, ValueError):
                    refused += 1
    return refused


def _parts(batch: Batch) -> list[tuple[Table, Callable[[int, Any], dict[str, Any]], list[Any]]]:
    from rimwright.journal.tables import events, samples

    parts: list[tuple[Table, Callable[[int, Any], dict[str, Any]], list[Any]]] = [
        (samples, sample_values, batch.samples),
        (events, event_values, batch.events),
    ]
    return [part for part in parts if part[2]]


def _insert(journal: Journal, table: Table) -> Insert:
    if journal.kind == "sqlite":
        from sqlalchemy.dialects import sqlite

        return sqlite.insert(table).on_conflict_do_nothing()
    from sqlalchemy.dialects import postgresql

    return postgresql.insert(table).on_conflict_do_nothing()
