"""Timing a call or a command: several runs after a warm-up, the median told."""

from __future__ import annotations

import statistics
import subprocess
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Figure:
    """One measured figure."""

    name: str
    value: float
    unit: str
    #: What was promised, if anything was.
    limit: float | None = None
    #: The spread of the runs: least and greatest.
    least: float | None = None
    greatest: float | None = None
    #: What it stands beside, if it is that.
    beside: str = ""


def runs_of(call: Callable[[], object], runs: int) -> list[float]:
    """Seconds of each run after one warm-up."""
    call()
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        call()
        times.append(time.perf_counter() - start)
    return times


def timed(
    name: str,
    call: Callable[[], object],
    *,
    runs: int = 7,
    limit_ms: float | None = None,
    beside: str = "",
) -> Figure:
    """Median of several runs in this process, in milliseconds."""
    times = [1e3 * seconds for seconds in runs_of(call, runs)]
    return Figure(
        name=name,
        value=statistics.median(times),
        unit="ms",
        limit=limit_ms,
        least=min(times),
        greatest=max(times),
        beside=beside,
    )


def commanded(
    name: str, command: Sequence[str], *, runs: int = 5, limit_ms: float | None = None
) -> Figure:
    """Median of several runs of a whole command, in milliseconds."""

    def run() -> None:
        subprocess.run(command, check=True, capture_output=True)

    return timed(name, run, runs=runs, limit_ms=limit_ms)
