"""Time, handed in: a night passes in a test in a second."""

from __future__ import annotations

import time
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

#: Changes with every start of the computer; a file of the system where there is one.
_BOOT_ID = Path("/proc/sys/kernel/random/boot_id")


class Clock(Protocol):
    """Two clocks: one that only ever runs on, and one that people read."""

    #: Which start of the computer `now` belongs to; "" where nobody can tell.
    boot: str

    def now(self) -> float:
        """Seconds since some moment; never steps, goes on while the computer sleeps. [s]"""
        ...

    def wall(self) -> float:
        """Seconds since 1970 in UTC, for labels and across restarts; may be set. [s]"""
        ...


class SystemClock:
    """The computer's own clocks."""

    def __init__(self) -> None:
        try:
            self.boot = _BOOT_ID.read_text().strip()
        except OSError:
            self.boot = ""
        # Plain monotonic time stands still while Linux sleeps; a rest does not.
        self._source = getattr(time, "CLOCK_BOOTTIME", None)

    def now(self) -> float:
        return time.monotonic() if self._source is None else time.clock_gettime(self._source)

    def wall(self) -> float:
        return time.time()


class FastClock:
    """A clock that runs faster than another, for practice.

    Parameters
    ----------
    speed : float
        How much faster.
    of : Clock, optional
        The computer's if left out.
    wall_s : float, optional
        Where its wall clock starts, if later than the real one: a run that goes on after a
        restart was ahead of the world. [s since 1970]
    """

    #: Nothing it told before a restart can be compared with what it tells after.
    boot = ""

    def __init__(self, speed: float, of: Clock | None = None, *, wall_s: float = 0.0) -> None:
        self.speed = speed
        self._of = of or SystemClock()
        self._start, self._wall = self._of.now(), max(self._of.wall(), wall_s)

    def now(self) -> float:
        return self._start + self.speed * (self._of.now() - self._start)

    def wall(self) -> float:
        return self._wall + self.now() - self._start


@dataclass
class HandClock:
    """A clock that stands until it is moved on.

    Examples
    --------
    >>> clock = HandClock()
    >>> clock.advance(86_400.0)
    >>> clock.now()
    86400.0
    """

    seconds: float = 0.0
    wall_s: float = 1_764_000_000.0
    boot: str = "hand"

    def now(self) -> float:
        return self.seconds

    def wall(self) -> float:
        return self.wall_s

    def advance(self, seconds: float) -> None:
        """Let time pass on both clocks."""
        self.seconds += seconds
        self.wall_s += seconds

    def set_wall(self, wall_s: float) -> None:
        """Somebody sets the clock on the wall."""
        self.wall_s = wall_s
