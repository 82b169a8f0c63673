"""Moments as a maker writes them: a day, a day with a time, so long ago."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from typing import Literal

from rimwright.errors import JournalError

_FORMS = ("%Y-%m-%d %H:%M", "%Y-%m-%dT%H:%M", "%Y-%m-%d")
_AGO = re.compile(r"^(\d{1,4})\s*(hours?|h|days?|d|weeks?|months?|years?)(\s+ago)?$")
_DAYS = {"d": 1.0, "w": 7.0, "m": 30.0, "y": 365.0}
#: The journal keeps moments to the year 3000.
_LAST_YEAR = 2999


def moment(
    text: str, end: Literal["beginning", "end"], *, now: datetime | None = None, where: str = ""
) -> float:
    """A moment in the shop's own time. [s since 1970]

    Parameters
    ----------
    text : str
        "2026-11-25", "2026-11-25 14:30", "today", "yesterday", "7 days", "2 weeks ago".
    end : {"beginning", "end"}
        Of the day, where only a day is named.
    now : datetime, optional
        With its zone; the computer's clock if left out.
    where : str
        For the message.

    Raises
    ------
    JournalError
        If it is no moment.

    Examples
    --------
    >>> from datetime import timezone
    >>> noon = datetime(2026, 11, 25, 12, 0, tzinfo=timezone.utc)
    >>> moment("24 h", "beginning", now=noon) - noon.timestamp()
    -86400.0
    """
    now = now or datetime.now().astimezone()
    said = " ".join(text.split()).lower()
    if ago := _AGO.match(said):
        number, unit = int(ago[1]), ago[2][0]
        days = number / 24.0 if unit == "h" else number * _DAYS[unit]
        return max(0.0, (now - timedelta(days=days)).timestamp())
    day = {"today": now, "yesterday": now - timedelta(days=1)}.get(said)
    if day is not None:
        return _day(day.replace(tzinfo=None), end)
    for form in _FORMS:
        try:
            found = datetime.strptime(text.strip(), form)  # a wall clock's time
        except ValueError:
            continue
        if 1971 <= found.year <= _LAST_YEAR:
            return _day(found, end) if form == "%Y-%m-%d" else found.astimezone().timestamp()
    raise JournalError(
        f"'{text:.40}'",
        "a day such as 2026-11-25, with a time or without, or so long ago, such as '7 days'",
        "write it so",
        where=where,
    )


def _day(day: datetime, end: Literal["beginning", "end"]) -> float:
    """The first moment of a day, or of the next: days of a clock that is set have 23 or 25 h."""
    first = day.replace(hour=0, minute=0, second=0, microsecond=0)
    return (first + timedelta(days=1) if end == "end" else first).astimezone().timestamp()
