"""Rows of one table copied around the places that cannot be read."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from rimwright.journal.sqlite_file import Errors

#: Rows that are copied in one go; after an error fewer, down to one.
_ROWS = 10_000

#: How far behind an unreadable place it is tried again.
_JUMPS = tuple(2**power for power in range(23))

#: The same at the beginning of later runs.
_LATER = (0, 2**8, 2**12, 2**16, 2**20)

#: What a run keeps when one of its long texts, the last of its columns, cannot be read: it is
#: then not there.
BLANKED = {
    "run_plan": "'null'",
    "prediction": "'null'",
    "design_text": "NULL",
    "plan_document": "NULL",
}

_Key = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Table:
    """A table of the journal."""

    name: str
    columns: tuple[str, ...]
    #: What numbers its rows.
    key: tuple[str, ...]


def insert_from_bad(table: Table, where: str = "", *, blanked: frozenset[str] = frozenset()) -> str:
    """Take rows from the attached database `bad`; those that are there stay."""
    columns = ", ".join(f'"{name}"' for name in table.columns)
    values = ", ".join(BLANKED[name] if name in blanked else f'"{name}"' for name in table.columns)
    return (
        f'INSERT OR IGNORE INTO main."{table.name}" ({columns}) '
        f'SELECT {values} FROM bad."{table.name}" {where}'
    )


def copy_around(bare: Any, error: Errors, table: Table, seconds: float) -> None:
    """Copy a table of the attached database `bad` from both sides of what cannot be read.

    Parameters
    ----------
    bare : sqlite3.Connection
        On the new journal, outside of a transaction.
    error : tuple of type
        `sqlite_file.errors`.
    table : Table
        Which.
    seconds : float
        Time to look for what stands behind unreadable places; what can be read is copied
        however long it takes. [s]
    """
    copy = _Copy(bare, error, table, seconds)
    at: _Key | None = None
    while True:
        at, ended = copy.onwards(at)
        if ended:
            return
        behind = copy.behind(at)
        if behind is None:
            return
        copy.back(behind, at)
        at = behind


class _Copy:
    def __init__(self, bare: Any, error: Errors, table: Table, seconds: float) -> None:
        self._bare, self._error, self._table, self._left_s = bare, error, table, seconds
        self._names = "(" + ", ".join(f'"{name}"' for name in table.key) + ")"
        self._marks = "(" + ", ".join("?" for _ in table.key) + ")"

    def onwards(self, after: _Key | None) -> tuple[_Key | None, bool]:
        """Copy upwards; the last key that was reached, and whether it was the end."""
        many = _ROWS
        while many:
            try:
                keys = self._keys(">", after, "", many)
                if not keys:
                    return after, True
                self._take(keys[0], keys[-1])
            except self._error:
                many //= 2
                continue
            after, many = keys[-1], min(_ROWS, 2 * many)
        return after, False

    def behind(self, at: _Key | None) -> _Key | None:
        """The first row found behind an unreadable place; it is copied."""
        began = time.monotonic()
        try:
            for candidate in self._candidates(at):
                if time.monotonic() - began > self._left_s:
                    break
                try:
                    keys = self._keys(">=", candidate, "", 1)
                    if keys:
                        self._take(keys[0], keys[0])
                        return keys[0]
                except self._error:
                    continue
            return None
        finally:
            self._left_s -= time.monotonic() - began

    def back(self, below: _Key, down_to: _Key | None) -> None:
        """Copy downwards until what cannot be read, or what was copied."""
        many = _ROWS
        while many:
            try:
                keys = self._keys("<", below, "DESC", many)
                if not keys:
                    return
                self._take(keys[-1], keys[0])
            except self._error:
                many //= 2
                continue
            below = keys[-1]
            if down_to is not None and below <= down_to:
                return

    def _candidates(self, at: _Key | None) -> Iterator[_Key]:
        numbers = [run for (run,) in self._bare.execute("SELECT id FROM main.runs ORDER BY id")]
        runs = len(self._table.key) > 1 and self._table.key[0] == "run_id"
        if at is None:
            at = (numbers[0], 0) if runs and numbers else (0,) * len(self._table.key)
        if not isinstance(at[-1], int):
            return
        for jump in _JUMPS:
            yield (*at[:-1], at[-1] + jump)
        if runs:
            for later in (number for number in numbers if number > at[0]):
                for jump in _LATER:
                    yield (later, jump)

    def _keys(self, than: str, key: _Key | None, order: str, many: int) -> list[_Key]:
        columns = self._names[1:-1]
        ordered = ", ".join(f'"{name}" {order}' for name in self._table.key)
        where = "" if key is None else f"WHERE {self._names} {than} {self._marks}"
        query = (
            f'SELECT {columns} FROM bad."{self._table.name}" NOT INDEXED {where} '
            f"ORDER BY {ordered} LIMIT {many}"
        )
        found: list[_Key] = self._bare.execute(query, key or ()).fetchall()
        return found

    def _take(self, first: _Key, last: _Key) -> None:
        where = f"WHERE {self._names} BETWEEN {self._marks} AND {self._marks}"
        try:
            self._bare.execute(insert_from_bad(self._table, where), (*first, *last))
        except self._error:
            if self._table.name != "runs" or first != last:
                raise
            self._take_run(where, first)

    def _take_run(self, where: str, key: _Key) -> None:
        """A run is not to be lost for one of its long texts: as many as can be read of them."""
        names = list(BLANKED)
        for first in range(len(names) - 1, -1, -1):
            query = insert_from_bad(self._table, where, blanked=frozenset(names[first:]))
            try:
                self._bare.execute(query, (*key, *key))
            except self._error:
                if first == 0:
                    raise
            else:
                return
