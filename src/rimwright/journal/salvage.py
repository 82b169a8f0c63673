"""What can be read of a damaged journal file, copied row by row into a new one.

Only what reads back whole is taken: a row of another kind than its columns, or whose sum does
not fit, stays behind. Nothing is filled in.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from rimwright.journal.damage import wrong_rows
from rimwright.journal.salvage_pages import give_schema
from rimwright.journal.salvage_rows import BLANKED, Table, copy_around, insert_from_bad
from rimwright.journal.sqlite_file import Errors, bare_connection, errors


def salvage(damaged: Path, fresh: Path, module: Any, seconds: float) -> frozenset[str]:
    """Copy what can be read into a new journal of the same schema.

    Parameters
    ----------
    damaged : Path
        A copy of the damaged file, with its log beside it; it may be altered.
    fresh : Path
        An empty journal.
    module : module
        The driver.
    seconds : float
        For each table, time to look for what stands behind places that cannot be read. [s]

    Returns
    -------
    frozenset of str
        Tables of which every row was taken.
    """
    give_schema(damaged, fresh, module)
    error = errors(module)
    bare = bare_connection(fresh, module)
    whole = set()
    try:
        # Put on the disk as a whole when all is done. Each piece is a transaction of its own:
        # one that failed must leave nothing behind, not even in memory.
        bare.execute("PRAGMA synchronous = OFF")
        bare.execute("PRAGMA journal_mode = MEMORY").fetchall()
        bare.execute("PRAGMA foreign_keys = OFF")
        bare.execute("ATTACH ? AS bad", (str(damaged),))
        for table in _tables(bare, errors(module)):
            complete = _copy_whole(bare, error, table)
            if not complete:
                copy_around(bare, error, table, seconds)
            if not _leave_behind(bare, table) and complete:
                whole.add(table.name)
    finally:
        bare.close()
    return frozenset(whole)


def fill(base: Path, other: Path, whole: frozenset[str] | None, module: Any) -> None:
    """Take rows that one journal lacks from another of the same origin and schema.

    Tables in `whole` lack nothing: what is not there was taken out on purpose.
    """
    bare = bare_connection(base, module)
    try:
        bare.execute("PRAGMA foreign_keys = OFF")
        bare.execute("ATTACH ? AS bad", (str(other),))
        bare.execute("BEGIN")
        for table in _tables(bare, errors(module)):
            if table.name not in (whole or ()):
                bare.execute(insert_from_bad(table))
        for name in BLANKED:
            # Written as a run begins, and never changed: the other's is the same.
            same = f"SELECT {name} FROM bad.runs AS other WHERE other.uid = runs.uid"
            bare.execute(
                f"UPDATE main.runs SET {name} = ({same}) "
                f"WHERE ({name} IS NULL OR {name} = 'null') AND EXISTS ({same})"
            )
        bare.execute("COMMIT")
    finally:
        bare.close()


def drop_orphans(fresh: Path, module: Any) -> int:
    """Take out rows whose record could not be read; how many."""
    bare = bare_connection(fresh, module)
    dropped = 0
    try:
        bare.execute("PRAGMA foreign_keys = OFF")
        bare.execute("BEGIN")
        # References that may be empty become empty, the others go: with what hangs on them.
        while lost := _references(bare):
            for table, column, parent, needed in lost:
                where = f'"{column}" IS NOT NULL AND "{column}" NOT IN (SELECT id FROM "{parent}")'
                change = "DELETE FROM" if needed else "UPDATE"
                put = "" if needed else f'SET "{column}" = NULL'
                dropped += bare.execute(f'{change} "{table}" {put} WHERE {where}').rowcount
        bare.execute("COMMIT")
    finally:
        bare.close()
    return dropped


def _references(bare: Any) -> list[tuple[str, str, str, bool]]:
    """Table, column, what it refers to and whether it must, of references that are lost."""
    found = []
    names = bare.execute("SELECT name FROM main.sqlite_master WHERE type = 'table'").fetchall()
    for (table,) in names:
        columns = {one[1]: one for one in bare.execute(f'PRAGMA main.table_info("{table}")')}
        for key in bare.execute(f'PRAGMA main.foreign_key_list("{table}")').fetchall():
            parent, column = key[2], key[3]
            query = (
                f'SELECT 1 FROM (SELECT DISTINCT "{column}" AS one FROM "{table}") '
                f'WHERE one IS NOT NULL AND one NOT IN (SELECT id FROM "{parent}") LIMIT 1'
            )
            if bare.execute(query).fetchone():
                needed = bool(columns[column][3] or columns[column][5])
                found.append((table, column, parent, needed))
    return found


def _tables(bare: Any, error: Errors) -> list[Table]:
    names = bare.execute(
        "SELECT name FROM main.sqlite_master WHERE type = 'table' AND name <> 'alembic_version'"
    ).fetchall()
    found = []
    for (name,) in names:
        info = bare.execute(f'PRAGMA main.table_info("{name}")').fetchall()
        try:
            there = {one[1] for one in bare.execute(f'PRAGMA bad.table_info("{name}")')}
        except error:
            there = set()
        columns = tuple(one[1] for one in info if one[1] in there)
        key = tuple(one[1] for one in sorted(info, key=lambda one: one[5]) if one[5])
        if set(key) <= set(columns):
            found.append(Table(name, columns, key))
    return found


def _copy_whole(bare: Any, error: Errors, table: Table) -> bool:
    try:
        bare.execute(insert_from_bad(table, "NOT INDEXED"))
    except error:
        return False
    return True


def _leave_behind(bare: Any, table: Table) -> bool:
    """Take out what no column ever holds; whether there was anything."""
    wrong = wrong_rows(bare, table.name)
    found: int = 0
    if table.name == "runs":
        for name, blank in {**BLANKED, "probe_settings": "'null'"}.items():
            bad = f"typeof({name}) <> 'text' OR NOT readable(CAST({name} AS BLOB))"
            if name != "design_text":
                bad += f" OR NOT json_valid({name})"
            found += bare.execute(
                f"UPDATE main.runs SET {name} = {blank} WHERE {name} IS NOT NULL AND ({bad})"
            ).rowcount
    found += bare.execute(f'DELETE FROM main."{table.name}" WHERE {wrong}').rowcount
    return bool(found)
