"""Rows of the journal's tables by name: put, found, listed."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from rimwright.errors import JournalError
from rimwright.journal.keeping_checks import MOST

if TYPE_CHECKING:
    from sqlalchemy import ColumnElement, Connection, Table

#: What a table's rows are called, in the singular.
NAMES = {
    "instruments": "instrument",
    "woods": "wood",
    "board_sets": "set of boards",
    "boards": "board",
    "sides": "side",
    "runs": "run",
    "outcomes": "outcome",
    "photographs": "photograph",
    "notes": "note",
    "heat_fits": "fit",
    "devices": "device",
}


def table_of(name: str) -> Table:
    """The table of that name."""
    from rimwright.journal.tables import metadata

    return metadata.tables[name]


def fresh_uid() -> str:
    """A name for a record that no other record anywhere has."""
    return str(uuid.uuid4())


def put(connection: Connection, name: str, number: int | None, values: Mapping[str, Any]) -> int:
    """Keep a new row, or change the one of that number; its number.

    Raises
    ------
    JournalError
        If there is none of that number.
    """
    table = table_of(name)
    if number is None:
        added = connection.execute(table.insert().values(uid=fresh_uid(), **values))
        return int(added.inserted_primary_key[0])  # type: ignore[index]  # a row was inserted
    needed(connection, name, number)
    connection.execute(table.update().where(table.c.id == number).values(**values))
    return number


def needed(connection: Connection, name: str, number: object, *, where: str = "") -> int:
    """The number of a row that must be there.

    Raises
    ------
    JournalError
        If it is not.
    """
    return int(one(connection, name, number, where=where)["id"])


def one(connection: Connection, name: str, number: object, *, where: str = "") -> Mapping[str, Any]:
    """The row of that number.

    Raises
    ------
    JournalError
        If there is none.
    """
    table = table_of(name)
    row = None
    # A number past what the columns hold is in no row; a store may choke on it instead.
    if isinstance(number, int) and not isinstance(number, bool) and 0 < number <= MOST:
        row = connection.execute(table.select().where(table.c.id == number)).mappings().first()
    if row is None:
        raise JournalError(
            f"no {NAMES[name]} {number!r:.40}",
            f"the number of a {NAMES[name]} in this journal",
            "look it up in the list",
            where=where,
        )
    return dict(row)


def listed(
    connection: Connection, name: str, *conditions: ColumnElement[bool]
) -> list[Mapping[str, Any]]:
    """Rows that fulfil all conditions, by their number."""
    table = table_of(name)
    found = connection.execute(table.select().where(*conditions).order_by(table.c.id))
    return [dict(row) for row in found.mappings()]


def matching(name: str, **wanted: object) -> list[ColumnElement[bool]]:
    """Conditions of a list: columns equal to what is wanted; None asks nothing."""
    columns = table_of(name).c
    return [columns[key] == value for key, value in wanted.items() if value is not None]


def containing(name: str, part: str | None) -> list[ColumnElement[bool]]:
    """The condition that a row's name has this part, in capitals or not."""
    from sqlalchemy import func

    if not part:
        return []
    column = table_of(name).c.name
    return [func.lower(column).contains(part.lower(), autoescape=True)]
