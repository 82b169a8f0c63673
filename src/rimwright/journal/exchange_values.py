"""Values of an export, looked over one by one as they come in."""

from __future__ import annotations

import json
import math
import re
from typing import Any, NoReturn

from rimwright.errors import JournalError
from rimwright.journal.exchange_tables import Column

#: Of a cell or a line, whatever is in it. [characters]
LONGEST_TEXT = 8_000_000
_UID = re.compile(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}")
#: Only the figures 0 to 9: other alphabets have their own, which Python would read too.
_INTEGER = re.compile(r"-?[0-9]{1,18}")
_NUMBER = re.compile(r"-?[0-9]{1,400}(?:\.[0-9]{1,400})?(?:[eE][+-]?[0-9]{1,3})?")
_EXPECTED = {
    "uid": "a uid such as 1b4e28ba-2fa1-11d2-883f-0016d3cca427",
    "text": "text of moderate length",
    "integer": "a whole number",
    "number": "an ordinary number",
    "truth": "true or false",
    "values": "plain JSON without NaN, of moderate length",
}


def refuse(column: Column, value: object, where: str) -> NoReturn:
    """Say that a value is not what its column holds."""
    raise JournalError(
        f"{column.name} {value!r:.40}",
        _EXPECTED[column.kind] + (", or nothing" if column.optional else ""),
        "mend the line, or export again",
        where=where,
    )


def checked(column: Column, value: Any, where: str) -> Any:
    """A value as its column holds it; None where it may be empty and is.

    Raises
    ------
    JournalError
        If it is of another kind, not finite, too long, or not there.
    """
    if value is None or (value == "" and column.optional):
        if column.optional:
            return None
        refuse(column, value, where)
    good = False
    match column.kind:
        case "uid":
            good = isinstance(value, str) and _UID.fullmatch(value) is not None
        case "text":
            good = isinstance(value, str) and len(value) <= column.most and _storable(value)
        case "integer":
            good = isinstance(value, int) and not isinstance(value, bool) and abs(value) < 2**62
        case "number":
            good = isinstance(value, int | float) and not isinstance(value, bool)
            # A whole number may be too large to be one with a point.
            good = good and abs(value) < 1e300 and math.isfinite(value)
            value = float(value) if good else value
        case "truth":
            good = isinstance(value, bool)
        case "values":
            good = isinstance(value, dict | list) and _plain(column, value)
    return value if good else refuse(column, value, where)


def _storable(text: str) -> bool:
    """Neither NUL nor halves of letters, which not every store keeps."""
    return "\0" not in text and not any("\ud800" <= letter <= "\udfff" for letter in text)


def _plain(column: Column, value: Any) -> bool:
    """1e999 reads as infinity, which nothing can write again."""
    try:
        return len(to_json(value)) <= column.most
    except (ValueError, RecursionError):
        return False


def from_cell(column: Column, cell: str, where: str) -> Any:
    """A value from the text of a CSV's cell.

    Raises
    ------
    JournalError
        As `checked`.
    """
    if cell == "" and column.optional:
        return None
    value: Any = cell
    match column.kind:
        case "integer":
            value = int(cell) if _INTEGER.fullmatch(cell) else refuse(column, cell, where)
        case "number":
            value = float(cell) if _NUMBER.fullmatch(cell) else refuse(column, cell, where)
        case "truth":
            value = {"true": True, "false": False}.get(cell, cell)
        case "values":
            value = from_json(column, cell, where)
    return checked(column, value, where)


def to_cell(column: Column, value: Any) -> Any:
    """A value as the CSV's writer takes it; numbers it writes by itself, to the last digit."""
    if column.kind == "truth":
        return "true" if value else "false"
    if column.kind == "values" and value is not None:
        return to_json(value)
    return value


def from_json(column: Column, text: str, where: str) -> Any:
    """Plain values from JSON text.

    Raises
    ------
    JournalError
        If it is none, too long, nested too deeply, or has NaN in it.
    """
    try:
        return json.loads(text, parse_constant=_no_constant) if len(text) <= column.most else None
    except (ValueError, RecursionError):
        return refuse(column, text, where)


def to_json(value: Any) -> str:
    """Plain values as JSON text without spaces."""
    return json.dumps(value, separators=(",", ":"), allow_nan=False)


def _no_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} is no plain value")
