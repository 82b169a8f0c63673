"""An export as CSV (RFC 4180): one file a table, UTF-8, a heading line, empty where nothing is."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any, BinaryIO, TextIO

from rimwright.errors import JournalError
from rimwright.journal.exchange_tables import TABLES, ExportedTable
from rimwright.journal.exchange_values import LONGEST_TEXT, from_cell, to_cell

ENDING = "csv"


def write_table(table: ExportedTable, rows: Iterable[Mapping[str, Any]], file: BinaryIO) -> int:
    """Write a table as its rows come; how many there were."""
    text = io.TextIOWrapper(file, "utf-8", newline="")
    writer = csv.writer(text)
    writer.writerow(column.name for column in table.columns)
    count = 0
    for row in rows:
        writer.writerow([to_cell(column, row[column.name]) for column in table.columns])
        count += 1
    text.detach()
    return count


def read_table(table: ExportedTable, path: Path) -> Iterator[tuple[str, dict[str, Any]]]:
    """Rows of a table's file, each looked over, with the place it stood at.

    Raises
    ------
    JournalError
        If a column is missing or unknown, or a cell is not what its column holds.
    """
    # The reader's own limit is too small for a plan in a cell; it has but one for all.
    csv.field_size_limit(LONGEST_TEXT)
    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            lines = csv.reader(_lines(file, path.name), strict=True)
            columns = in_heading(table, next(lines, []), path.name)
            for cells in lines:
                where = f"{path.name}, line {lines.line_num}"
                if len(cells) != len(columns):
                    raise JournalError(
                        f"{len(cells)} cells",
                        f"{len(columns)}, as in the heading",
                        "mend the line, or export again",
                        where=where,
                    )
                pairs = zip(columns, cells, strict=True)
                yield where, {one.name: from_cell(one, cell, where) for one, cell in pairs}
    except (csv.Error, UnicodeDecodeError) as error:
        raise JournalError(
            f"a file that is no CSV ({error})".replace(str(path), path.name),
            "UTF-8, cells between commas, as it was exported",
            "export again",
            where=path.name,
        ) from error


def in_heading(table: ExportedTable, names: list[str], where: str) -> list[Any]:
    """The columns in the order of a heading: all of them, none twice, no other.

    Raises
    ------
    JournalError
        If not.
    """
    wanted = [column.name for column in table.columns]
    strange = [name for name in names if name not in wanted]
    missing = [name for name in wanted if name not in names]
    twice = len(names) != len(set(names))
    if strange or missing or twice:
        found = (
            f"the column {strange[0]!r:.40}"
            if strange
            else f"no column '{missing[0]}'"
            if missing
            else "a column twice"
        )
        raise JournalError(found, f"the columns {', '.join(wanted)}", "export again", where=where)
    return [table.column(name) for name in names]


def _lines(file: TextIO, where: str) -> Iterator[str]:
    """Lines, none of them without end."""
    while line := file.readline(LONGEST_TEXT + 1):
        if len(line) > LONGEST_TEXT:
            found = f"a line of more than {LONGEST_TEXT // 1_000_000} million characters"
            raise JournalError(found, "lines as exported", "export again", where=where)
        yield line


def files(folder: Path) -> dict[str, Path]:
    """The file of each table."""
    return {table.name: folder / f"{table.name}.{ENDING}" for table in TABLES}
