"""What was lost, in plain words: runs and minutes."""

from __future__ import annotations

import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from rimwright.journal.lacking import lacking
from rimwright.journal.locking import Tally
from rimwright.journal.sqlite_file import bare_connection

#: More runs than this are only counted.
_NAMED = 6


def moment_words(wall_s: float) -> str:
    """A moment as people say it.

    Examples
    --------
    >>> moment_words(1764067712.0).endswith("November 2025")
    True
    """
    moment = time.localtime(wall_s)
    return f"{time.strftime('%H:%M', moment)} on {moment.tm_mday} {time.strftime('%B %Y', moment)}"


def lost_words(path: Path, tallies: Mapping[int, Tally], module: Any) -> str:
    """What a journal file lacks of what had been kept.

    Parameters
    ----------
    path : Path
        A sound journal.
    tallies : mapping of int to Tally
        What its lock file remembers of each run.
    module : module
        The driver.
    """
    bare = bare_connection(path, module)
    try:
        runs = [run for (run,) in bare.execute("SELECT id FROM runs ORDER BY id DESC LIMIT 100")]
        parts = lacking_words(lacking(bare, tallies, holes=True, others=runs))
    finally:
        bare.close()
    if not tallies:
        parts.append("what was recorded last, if anything: nobody counted it")
    if not parts:
        return "Nothing that was known to be kept is missing."
    if len(parts) > _NAMED:
        parts = [*parts[:_NAMED], f"parts of {len(parts) - _NAMED} more runs"]
    return f"Lost: {'; '.join(parts)}."


def lacking_words(found: Mapping[int, tuple[Tally, Tally | None]]) -> list[str]:
    """Runs and minutes of `lacking.lacking`.

    Examples
    --------
    >>> lacking_words({3: (Tally(900, 150_000, 7), Tally(300, 30_000, 6)), 4: (Tally(), None)})
    ['the last 2.0 minutes of run 3 (600 samples, 1 event)', 'run 4 as a whole']
    """
    words = []
    for run, (had, left) in sorted(found.items()):
        if left is None:
            words.append(f"run {run} as a whole" + (f" ({_time(had.at_ms)})" if had.at_ms else ""))
            continue
        samples, events = had.sample - left.sample, had.event - left.event
        counts = [
            f"{count} {name}{'s' if count > 1 else ''}"
            for count, name in ((samples, "sample"), (events, "event"))
            if count > 0
        ]
        if counts:
            last = _time(max(0, had.at_ms - left.at_ms))
            words.append(f"the last {last} of run {run} ({', '.join(counts)})")
        holes = left.holes - had.holes
        if holes > 0:
            long = _time(round(holes * left.at_ms / max(1, left.sample)))
            words.append(f"{holes} row{'s' if holes > 1 else ''} within run {run} ({long})")
    return words


def _time(ms: int) -> str:
    seconds = ms / 1000
    return f"{seconds / 60:.1f} minutes" if seconds >= 90 else f"{seconds:.1f} seconds"
