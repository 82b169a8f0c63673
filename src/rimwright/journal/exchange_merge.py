"""A staged import into the journal: what is there already is left, the rest is linked anew."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from rimwright.errors import JournalError
from rimwright.journal.exchange_import import Imported
from rimwright.journal.exchange_tables import BY_NAME, OF_RUNS
from rimwright.journal.keeping_outcomes import SUBJECT_TABLES
from rimwright.journal.keeping_rows import table_of

if TYPE_CHECKING:
    from sqlalchemy import ColumnElement, Connection

    from rimwright.journal.engine import Journal

_PIECE = 5000
_LARGE_PIECE = 20


def merge(stage: Connection, journal: Journal) -> Imported:
    """Take the staged records in: the shop's in one transaction, each run in its own.

    Raises
    ------
    JournalError
        If the journal cannot be written; runs taken in before stay.
    """
    from sqlalchemy import exc

    merging = _Merging(stage)
    runs = table_of("runs")
    try:
        with journal.writing() as target:
            merging.shop(target)
        for number, state in stage.execute(
            runs.select().with_only_columns(runs.c.id, runs.c.state).order_by(runs.c.id)
        ).all():
            if state == "open":
                merging.still_open += 1
                continue
            with journal.writing() as target:
                merging.run(target, number)
    except (JournalError, exc.IntegrityError) as error:
        taken = merging.added["runs"]
        found = (
            error.found if isinstance(error, JournalError) else "records coming in from two places"
        )
        raise JournalError(
            f"{found}, after {taken} run{'' if taken == 1 else 's'} taken in whole",
            "a journal that can be written",
            "see to that, then import again: what is there is left",
            where=journal.where,
        ) from error
    return Imported(
        added=dict(merging.added), there=dict(merging.there), still_open=merging.still_open
    )


class _Merging:
    def __init__(self, stage: Connection) -> None:
        self._stage = stage
        #: By table: number in the journal of each staged number.
        self._numbers: dict[str, dict[int, int]] = {}
        self.added: Counter[str] = Counter()
        self.there: Counter[str] = Counter()
        self.still_open = 0

    def shop(self, target: Connection) -> None:
        """Woods, boards, instruments and sides, and notes about them."""
        for name in ("woods", "board_sets", "boards", "instruments", "sides"):
            fresh = self._records(target, name)
        self._measured(target, fresh)
        notes = table_of("notes")
        self._records(target, "notes", notes.c.subject != "run")

    def run(self, target: Connection, number: int) -> None:
        """One run with all that belongs to it."""
        runs, notes = table_of("runs"), table_of("notes")
        if self._records(target, "runs", runs.c.id == number):
            for name in ("run_probes", "samples", "events"):
                self._rows(target, name, number)
        for name in OF_RUNS:
            if "uid" in table_of(name).c:
                self._records(target, name, table_of(name).c.run_id == number)
        self._records(target, "notes", notes.c.subject == "run", notes.c.subject_id == number)

    def _records(self, target: Connection, name: str, *conditions: ColumnElement[bool]) -> set[int]:
        """Staged records whose uid the journal has not; staged numbers of those taken in."""
        table = table_of(name)
        numbers = self._numbers.setdefault(name, {})
        fresh = set()
        for rows in self._staged(name, *conditions):
            uids = [row["uid"] for row in rows]
            known = table.select().with_only_columns(table.c.uid, table.c.id)
            found = target.execute(known.where(table.c.uid.in_(uids))).all()
            there = {row.uid: row.id for row in found}
            for row in rows:
                staged = row.pop("id")
                if row["uid"] in there:
                    numbers[staged] = there[row["uid"]]
                    self.there[name] += 1
                    continue
                added = target.execute(table.insert().values(self._linked(name, row)))
                numbers[staged] = int(added.inserted_primary_key[0])  # type: ignore[index]  # a row was inserted
                self.added[name] += 1
                fresh.add(staged)
        return fresh

    def _rows(self, target: Connection, name: str, run: int) -> None:
        """Rows of a run that have no uid of their own."""
        table = table_of(name)
        for rows in self._staged(name, table.c.run_id == run):
            linked = [{**row, "run_id": self._numbers["runs"][run]} for row in rows]
            target.execute(table.insert(), linked)
            self.added[name] += len(linked)

    def _measured(self, target: Connection, fresh: set[int]) -> None:
        """Thicknesses and mates of the sides that were taken in."""
        numbers = self._numbers["sides"]
        for rows in self._staged("side_thicknesses"):
            linked = [
                {**row, "side_id": numbers[row["side_id"]]}
                for row in rows
                if row["side_id"] in fresh
            ]
            if linked:
                target.execute(table_of("side_thicknesses").insert(), linked)
        sides = table_of("sides")
        for rows in self._staged("sides", sides.c.mate_id.is_not(None)):
            for row in rows:
                side, mate = numbers[row["id"]], numbers[row["mate_id"]]
                # A side that was there keeps the mate it has.
                if row["id"] in fresh or row["mate_id"] in fresh:
                    free = sides.update().where(sides.c.id == side, sides.c.mate_id.is_(None))
                    target.execute(free.values(mate_id=mate))

    def _linked(self, name: str, row: dict[str, Any]) -> dict[str, Any]:
        """A staged row with the journal's numbers of what it refers to."""
        for column in BY_NAME[name].columns:
            if column.of:
                number = row[column.inside]
                later = number is None or column.name == "mate_uid"
                row[column.inside] = None if later else self._numbers[column.of][number]
        if name == "notes":
            row["subject_id"] = self._numbers[SUBJECT_TABLES[row["subject"]]][row["subject_id"]]
        return row

    def _staged(
        self, name: str, *conditions: ColumnElement[bool]
    ) -> Iterator[list[dict[str, Any]]]:
        """Staged rows, piece by piece."""
        table = table_of(name)
        size = _LARGE_PIECE if name in ("photographs", "runs") else _PIECE
        query = table.select().where(*conditions).order_by(*table.primary_key.columns)
        found = self._stage.execute(query.execution_options(yield_per=size))
        for page in found.mappings().partitions(size):
            yield [dict(row) for row in page]
