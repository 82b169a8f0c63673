"""Moments, spans and shares as a record says them, alike on paper, page and terminal."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from rimwright.units import time_text


def moment_text(wall_s: float, *, seconds: bool = False) -> str:
    """A moment in the shop's own time: "Wed 25 Nov 2026, 11:40".

    Parameters
    ----------
    wall_s : float
        UTC. [s since 1970]
    seconds : bool, default False
        With seconds.
    """
    moment = _local(wall_s)
    return f"{moment:%a} {moment.day} {moment:%b %Y}, {moment:{'%H:%M:%S' if seconds else '%H:%M'}}"


def date_text(wall_s: float) -> str:
    """The day, to be sorted by: "2026-11-25"."""
    return f"{_local(wall_s):%Y-%m-%d}"


def day_text(wall_s: float) -> str:
    """The day for reading: "25 Nov 2026"."""
    moment = _local(wall_s)
    return f"{moment.day} {moment:%b %Y}"


def clock_text(wall_s: float, *, seconds: bool = True) -> str:
    """The time of day."""
    return f"{_local(wall_s):{'%H:%M:%S' if seconds else '%H:%M'}}"


def time_text_of(wall_s: float, begun_wall_s: float) -> str:
    """The time of day, with the day where it is another than that of the beginning."""
    clock = clock_text(wall_s)
    if date_text(wall_s) == date_text(begun_wall_s):
        return clock
    moment = _local(wall_s)
    return f"{moment:%a} {moment.day}, {clock}"


def zone_text(wall_s: float) -> str:
    """Which time it is that is said: "CET"."""
    return _local(wall_s).tzname() or "UTC"


def span_text(begun_wall_s: float, ended_wall_s: float | None) -> str:
    """From when to when; the second date only where it is another."""
    begun = moment_text(begun_wall_s)
    if ended_wall_s is None:
        return f"begun {begun}"
    same = date_text(begun_wall_s) == date_text(ended_wall_s)
    ended = clock_text(ended_wall_s, seconds=False) if same else moment_text(ended_wall_s)
    return f"{begun} to {ended}"


def since_text(seconds: float) -> str:
    """Time in a run: "0:13:44".

    Examples
    --------
    >>> since_text(824.0), since_text(87_566.4)
    ('0:13:44', '24:19:26')
    """
    hours, rest = divmod(round(seconds), 3600)
    return f"{hours}:{rest // 60:02d}:{rest % 60:02d}"


def ranged_time(low: float, middle: float, high: float) -> str:
    """A time with its range.

    Examples
    --------
    >>> ranged_time(111.0, 132.0, 156.0)
    '2 min 10 s (1 min 50 s to 2 min 40 s)'
    """
    return f"{time_text(middle)} ({time_text(low)} to {time_text(high)})"


def share_text(share: float) -> str:
    """A share in percent.

    Examples
    --------
    >>> share_text(0.4116)
    '41%'
    """
    return f"{100.0 * share:.0f}%"


def counted(number: int, name: str, names: str = "") -> str:
    """A number of things.

    Examples
    --------
    >>> counted(1, "alarm"), counted(0, "alarm"), counted(2, "photograph")
    ('1 alarm', 'no alarm', '2 photographs')
    """
    if number == 0:
        return f"no {name}"
    return f"{number} {name if number == 1 else names or name + 's'}"


def _local(wall_s: Any) -> datetime:
    # A moment of a damaged or strange record must not keep the rest from being read.
    bounded = min(max(float(wall_s), 0.0), 32_000_000_000.0)
    return datetime.fromtimestamp(bounded, UTC).astimezone()
