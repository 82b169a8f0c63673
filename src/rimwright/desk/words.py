"""Laying words out for a terminal."""

from __future__ import annotations

import shutil
import textwrap
from collections.abc import Iterable, Sequence


def width() -> int:
    """Columns to write in: the terminal's, within what reads well."""
    return max(60, min(shutil.get_terminal_size((92, 24)).columns, 100))


def items(texts: Iterable[str], bullet: str = "-") -> list[str]:
    """Each text as a wrapped item; "1." as the bullet counts."""
    lines: list[str] = []
    for number, text in enumerate(texts, 1):
        mark = f"{number}." if bullet == "1." else bullet
        indent = " " * (len(mark) + 3)
        lines += textwrap.wrap(
            text, width(), initial_indent=f"  {mark} ", subsequent_indent=indent
        ) or [f"  {mark}"]
    return lines


def table(rows: Sequence[Sequence[str]]) -> list[str]:
    """Rows in columns; the first row is the heading, figures stand to the right."""
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    lines = []
    for row in rows:
        cells = [
            cell.ljust(wide) if i == 0 else cell.rjust(wide)
            for i, (cell, wide) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append("  " + "   ".join(cells).rstrip())
    return lines
