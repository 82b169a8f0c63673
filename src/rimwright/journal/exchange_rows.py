"""The journal's rows as an export writes them: uids for numbers, read in short pieces."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from rimwright.journal.exchange_tables import BY_NAME, SHOP, ExportedTable
from rimwright.journal.keeping_outcomes import SUBJECT_TABLES
from rimwright.journal.keeping_rows import needed, table_of

if TYPE_CHECKING:
    from sqlalchemy import ColumnElement, Select

    from rimwright.journal.engine import Journal

#: Rows read at one time: nothing is written meanwhile where the journal is no log's. A run's
#: row has its plan, of half a megabyte.
PIECE = 20_000
_RUNS = 20
_Row = Mapping[str, Any]


@dataclass(frozen=True)
class Choice:
    """What of a journal is exported: numbers and uids of its records, by table."""

    uids: Mapping[str, Mapping[int, str]] = field(default_factory=dict)

    @property
    def runs(self) -> Mapping[int, str]:
        """Runs, oldest first."""
        return self.uids["runs"]

    def has(self, table: str) -> Collection[int]:
        """Numbers of the chosen records of a table."""
        return self.uids[table].keys()


def choose(journal: Journal, runs: Sequence[int] | None) -> Choice:
    """All records, or some runs with all that they rest on.

    Raises
    ------
    JournalError
        If there is no such run.
    """
    from sqlalchemy import select

    columns = {
        "runs": ("side_id",),
        "sides": ("mate_id", "instrument_id", "board_id"),
        "boards": ("set_id", "wood_id"),
        "board_sets": ("wood_id",),
        "woods": (),
        "instruments": (),
    }
    with journal.reading() as connection:
        for run in runs or ():
            needed(connection, "runs", run)
        found = {}
        # Runs first: what a run refers to was there before it.
        for name, refers in columns.items():
            c = table_of(name).c
            query = select(c.id, c.uid, *(c[one] for one in refers)).order_by(c.id)
            found[name] = {row["id"]: row for row in connection.execute(query).mappings()}
    if runs is None:
        wanted = {name: set(rows) for name, rows in found.items()}
    else:
        wanted = {"runs": set(runs)}
        sides = _named(found, wanted, "runs", "side_id")
        wanted["sides"] = sides | {found["sides"][one]["mate_id"] for one in sides} - {None}
        wanted["instruments"] = _named(found, wanted, "sides", "instrument_id")
        wanted["boards"] = _named(found, wanted, "sides", "board_id")
        wanted["board_sets"] = _named(found, wanted, "boards", "set_id")
        wanted["woods"] = _named(found, wanted, "boards", "wood_id")
        wanted["woods"] |= _named(found, wanted, "board_sets", "wood_id")
    return Choice(
        {
            name: {number: row["uid"] for number, row in rows.items() if number in wanted[name]}
            for name, rows in found.items()
        }
    )


def _named(
    found: Mapping[str, Mapping[int, Any]], wanted: Mapping[str, set[int]], table: str, column: str
) -> set[int]:
    return {found[table][number][column] for number in wanted[table]} - {None}


def rows_of(
    journal: Journal, choice: Choice, name: str, run: int | None = None
) -> Iterator[dict[str, Any]]:
    """Rows of a table as an export writes them, in the order they were kept.

    Parameters
    ----------
    journal : Journal
    choice : Choice
        Only rows of what is chosen.
    name : str
        One of `exchange_tables.TABLES`.
    run : int, optional
        Only what belongs to this run.
    """
    exported = BY_NAME[name]
    rows: Iterator[_Row]
    if name == "notes":
        rows = _notes(journal, choice, run)
    elif name in SHOP or name == "runs":
        rows = _shop(journal, choice, name, run)
    else:
        rows = _of_runs(journal, choice.runs if run is None else (run,), name)
    for row in rows:
        yield _outside(exported, choice, row)


def _outside(exported: ExportedTable, choice: Choice, row: _Row) -> dict[str, Any]:
    values = {}
    for column in exported.columns:
        if column.of:
            number = row[column.inside]
            # A mate that was not chosen is no reason to take its run along.
            values[column.name] = choice.uids[column.of].get(number)
        elif column.name == "number" and exported.name == "runs":
            values[column.name] = row["id"]
        else:
            values[column.name] = row[column.inside]
    return values


def _shop(journal: Journal, choice: Choice, name: str, run: int | None) -> Iterator[_Row]:
    table = table_of(name)
    owner = table.c.side_id if name == "side_thicknesses" else table.c.id
    numbers = list(choice.has("sides" if name == "side_thicknesses" else name))
    if run is not None:
        numbers = [run]
    order = tuple(table.primary_key.columns)
    for place in range(0, len(numbers), _RUNS):
        wanted = owner.in_(numbers[place : place + _RUNS])
        yield from _read(journal, table.select().where(wanted).order_by(*order))


def _of_runs(journal: Journal, runs: Collection[int], name: str) -> Iterator[_Row]:
    table = table_of(name)
    columns = [column for column in table.c if column.name not in ("data", "check_sum")]
    if name == "events":
        columns = [column for column in table.c if column.name != "check_sum"]
    key = table.primary_key.columns.values()[-1]
    for run in runs:
        last = -1
        while True:
            query = table.select().with_only_columns(*columns)
            after: ColumnElement[bool] = key > last
            query = query.where(table.c.run_id == run, after).order_by(key).limit(PIECE)
            rows = _read(journal, query)
            yield from rows
            if len(rows) < PIECE:
                break
            last = rows[-1][key.name]


def _notes(journal: Journal, choice: Choice, run: int | None) -> Iterator[dict[str, Any]]:
    c = table_of("notes").c
    query = table_of("notes").select().order_by(c.id)
    if run is not None:
        query = query.where(c.subject == "run", c.subject_id == run)
    for row in _read(journal, query):
        uid = choice.uids[SUBJECT_TABLES[row["subject"]]].get(row["subject_id"])
        if uid is not None:
            yield {**row, "subject_uid": uid}


def _read(journal: Journal, query: Select[Any]) -> Sequence[_Row]:
    with journal.reading() as connection:
        return [dict(row) for row in connection.execute(query).mappings()]


def picture_of(journal: Journal, uid: str) -> bytes:
    """The JPEG of a photograph."""
    table = table_of("photographs")
    query = table.select().with_only_columns(table.c.data).where(table.c.uid == uid)
    with journal.reading() as connection:
        return bytes(connection.execute(query).scalar_one())
