"""All rows of one journal into another: how a server's journal becomes a file, and back."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sqlalchemy import Connection, Table

#: Rows on their way at one time; a photograph's row is a megabyte.
_ROWS = 5000
_LARGE_ROWS = 20


def copy_all(source: Connection, target: Connection) -> dict[str, int]:
    """Copy every row, with its number, into tables that are empty.

    Parameters
    ----------
    source, target : Connection
        Each in a transaction: the source sees one moment, the target is undone as a whole.

    Returns
    -------
    dict of str to int
        How many rows of which table.
    """
    from rimwright.journal.tables import metadata

    counts = {}
    for table in metadata.sorted_tables:
        counts[table.name] = _copy(table, source, target)
    if target.dialect.name == "postgresql":
        _count_on(target)
    return counts


def empty_all(target: Connection) -> None:
    """Take every row out of a journal, within the transaction; nobody else reads or writes it."""
    from rimwright.journal.tables import metadata

    if target.dialect.name == "postgresql":
        names = ", ".join(table.name for table in metadata.sorted_tables)
        target.exec_driver_sql(f"LOCK TABLE {names} IN ACCESS EXCLUSIVE MODE")
    sides = metadata.tables["sides"]
    target.execute(sides.update().values(mate_id=None))
    for table in reversed(metadata.sorted_tables):
        target.execute(table.delete())


def _copy(table: Table, source: Connection, target: Connection) -> int:
    # What refers to its own table is filled in when all of it is there.
    own = [
        column.name
        for column in table.c
        for key in column.foreign_keys
        if key.column.table is table
    ]
    count = 0
    for rows in _pages(table, source):
        target.execute(table.insert(), [{**row, **dict.fromkeys(own)} for row in rows])
        count += len(rows)
    for name in own:
        query = table.select().with_only_columns(table.c.id, table.c[name])
        for number, value in source.execute(query.where(table.c[name].is_not(None))).all():
            target.execute(table.update().where(table.c.id == number).values({name: value}))
    return count


def _pages(table: Table, source: Connection) -> Iterator[list[dict[str, Any]]]:
    size = _LARGE_ROWS if table.name in ("photographs", "runs") else _ROWS
    query = table.select().order_by(*table.primary_key.columns).execution_options(yield_per=size)
    for page in source.execute(query).mappings().partitions(size):
        yield [dict(row) for row in page]


def _count_on(target: Connection) -> None:
    """Let a server number the next record after the last one copied."""
    from rimwright.journal.tables import metadata

    for table in metadata.sorted_tables:
        if "id" in table.c:
            target.exec_driver_sql(
                f"SELECT setval(pg_get_serial_sequence('{table.name}', 'id'), "
                f"coalesce(max(id), 1), max(id) IS NOT NULL) FROM {table.name}"
            )
