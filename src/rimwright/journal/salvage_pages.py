"""The list of tables of a damaged journal file, from a new journal of the same schema."""

from __future__ import annotations

import contextlib
from pathlib import Path
from typing import Any

from rimwright.journal.sqlite_file import bare_connection, errors

#: "Database File Format" (sqlite.org): where things stand in the first page. [bytes]
_HEADER, _PAGES, _FREE = 100, slice(28, 32), slice(32, 40)

#: Kind of a page that only points to others, and of one with rows.
_INTERIOR = 5


def give_schema(damaged: Path, fresh: Path, module: Any) -> None:
    """Lay the pages that list the tables over those of a file that has lost them.

    Journals of one schema are made by the same steps, so their tables begin at the same pages.
    Should that not hold for a file, what is read as a row of the wrong table has the wrong
    kinds of values, and is left behind.
    """
    if _names(fresh, module) <= _names(damaged, module):
        return
    with fresh.open("rb") as source, damaged.open("rb+") as target:
        size = _size(source.read(_HEADER))
        for number in _schema_pages(source, size):
            source.seek((number - 1) * size)
            page = bytearray(source.read(size))
            if number == 1:
                pages = max(1, damaged.stat().st_size // size)
                page[_PAGES] = pages.to_bytes(4, "big")
                # The list of free pages cannot be known.
                page[_FREE] = bytes(8)
            target.seek((number - 1) * size)
            target.write(page)


def _names(path: Path, module: Any) -> set[str]:
    """Names of the tables, as far as they can be read."""
    with contextlib.suppress(*errors(module)):
        bare = bare_connection(path, module)
        try:
            query = "SELECT name FROM sqlite_master WHERE type = 'table'"
            return {name for (name,) in bare.execute(query)}
        finally:
            bare.close()
    return set()


def _size(header: bytes) -> int:
    size = int.from_bytes(header[16:18], "big")
    return 65536 if size == 1 else size


def _schema_pages(file: Any, size: int) -> list[int]:
    """The first page, and those that it leads to."""
    found, waiting = [], [1]
    while waiting:
        number = waiting.pop()
        found.append(number)
        file.seek((number - 1) * size)
        page = file.read(size)
        begin = _HEADER if number == 1 else 0
        if page[begin] != _INTERIOR:
            continue
        cells = int.from_bytes(page[begin + 3 : begin + 5], "big")
        waiting.append(int.from_bytes(page[begin + 8 : begin + 12], "big"))
        for cell in range(cells):
            pointer = begin + 12 + 2 * cell
            place = int.from_bytes(page[pointer : pointer + 2], "big")
            waiting.append(int.from_bytes(page[place : place + 4], "big"))
    return found
