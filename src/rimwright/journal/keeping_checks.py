"""What a record may say: each check hands the value back, or refuses it in one line."""

from __future__ import annotations

import json
import math
import unicodedata
from collections.abc import Collection, Mapping
from typing import Any

from rimwright.errors import JournalError

#: Names stand on one line of a list.
LONGEST_NAME = 120
#: A note of two pages.
LONGEST_WORDS = 4000
#: From 1970 to the year 3000. [s since 1970]
WALL_S = (0.0, 32_503_680_000.0)
#: The largest number of a row that both kinds of store know.
MOST = 2**31 - 1


def one_line(text: object, what: str, *, where: str, empty: bool = False) -> str:
    """A name: one line without control characters, 120 characters at most."""
    expected = f"{what} of {LONGEST_NAME} characters at most, on one line"
    if not isinstance(text, str):
        raise JournalError(f"{text!r:.40}", expected, "write it as text", where=where)
    text = text.strip()
    if not text and not empty:
        raise JournalError(f"no {what}", expected, f"give the {what}", where=where)
    if len(text) > LONGEST_NAME:
        found = f"{what} of {len(text)} characters"
        raise JournalError(found, expected, "shorten it, and put the rest in words", where=where)
    return _printable(text, what, "", where)


def some_words(text: object, what: str = "words", *, where: str, empty: bool = True) -> str:
    """What somebody wrote: several lines, 4,000 characters at most."""
    expected = f"{LONGEST_WORDS} characters at most"
    if not isinstance(text, str):
        raise JournalError(f"{text!r:.40} as {what}", "text", "write it as text", where=where)
    text = text.replace("\r\n", "\n").replace("\r", "\n").strip()
    if not text and not empty:
        raise JournalError(f"no {what}", expected, "write a word or two", where=where)
    if len(text) > LONGEST_WORDS:
        found = f"{what} of {len(text)} characters"
        raise JournalError(found, expected, "shorten it", where=where)
    return _printable(text, what, "\n\t", where)


def _printable(text: str, what: str, also: str, where: str) -> str:
    for letter in text:
        # Neither store keeps halves of a letter, and one of them no NUL.
        if letter not in also and unicodedata.category(letter) in ("Cc", "Cs", "Zl", "Zp"):
            raise JournalError(
                f"{what} with the control character U+{ord(letter):04X}",
                "letters, figures and signs",
                "take it out",
                where=where,
            )
    return text


def one_of(value: object, allowed: Collection[str], what: str, *, where: str) -> str:
    """One of a few words."""
    if not isinstance(value, str) or value not in allowed:
        choices = ", ".join(repr(one) for one in allowed)
        raise JournalError(f"{what} {value!r:.40}", f"one of {choices}", "choose one", where=where)
    return value


def within(
    value: object, limits: tuple[float, float], what: str, *, unit: str, where: str
) -> float:
    """A number within its limits."""
    low, high = limits
    expected = f"{what} from {low:g} to {high:g} {unit}".rstrip()
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise JournalError(f"{value!r:.40}", expected, "give a number", where=where)
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not low <= number <= high:
        found = f"{what} of {number:g} {unit}".rstrip()
        raise JournalError(found, expected, "look at the figure and its unit", where=where)
    return number


def if_given(
    value: object, limits: tuple[float, float], what: str, *, unit: str, where: str
) -> float | None:
    """A number within its limits, or None."""
    return None if value is None else within(value, limits, what, unit=unit, where=where)


def moment(value: object, *, where: str) -> float:
    """Seconds since 1970."""
    return within(value, WALL_S, "a moment", unit="s since 1970", where=where)


def plain_values(value: object, what: str, *, where: str, most: int = 64_000) -> dict[str, Any]:
    """A mapping of plain values that JSON can hold, without NaN, of moderate size."""
    expected = f"{what} as plain names and values, {most // 1000} kB at most"
    try:
        text = json.dumps(dict(value) if isinstance(value, Mapping) else None, allow_nan=False)
    except (TypeError, ValueError, RecursionError) as error:
        found = f"{what} that JSON cannot hold"
        raise JournalError(found, expected, "use text and ordinary numbers", where=where) from error
    if not isinstance(value, Mapping):
        raise JournalError(f"{value!r:.40}", expected, "give names with values", where=where)
    if len(text) > most:
        found = f"{what} of {len(text) // 1000} kB"
        raise JournalError(found, expected, "leave out what is not needed", where=where)
    kept: dict[str, Any] = json.loads(text)
    return kept
