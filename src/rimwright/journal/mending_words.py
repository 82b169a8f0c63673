"""What was lost, in plain words: runs and minutes."""

from __future__ import annotations

import contextlib
import json
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from rimwright.journal.damage import lacking
from rimwright.journal.locking import Tally

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
    bare = module.connect(str(path), isolation_level=None)
    try:
        parts = lacking_words(lacking(bare, tallies))
        parts += _holes(bare)
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
    """Runs and minutes of `damage.lacking`.

    Examples
    --------
    >>> lacking_words({3: (Tally(900, 90_000, 7), Tally(300, 30_000, 7)), 4: (Tally(), None)})
    ['the last 1.0 minutes of run 3 (600 samples)', 'run 4 as a whole']
    """
    words = []
    for run, (had, left) in sorted(found.items()):
        if left is None:
            length = f" ({had.at_ms / 60e3:.1f} minutes)" if had.at_ms else ""
            words.append(f"run {run} as a whole{length}")
            continue
        samples, events = had.sample - left.sample, had.event - left.event
        counts = [
            f"{count} {name}"
            for count, name in ((samples, "samples"), (events, "events"))
            if count > 0
        ]
        minutes = max(0, had.at_ms - left.at_ms) / 60e3
        words.append(f"the last {minutes:.1f} minutes of run {run} ({', '.join(counts)})")
    return words


def _holes(bare: Any) -> list[str]:
    """Samples that are missing between others, less those that could never be kept."""
    words = []
    for (run,) in bare.execute("SELECT id FROM runs ORDER BY id").fetchall():
        last, count, first_ms, last_ms = bare.execute(
            "SELECT max(seq), count(*), min(at_ms), max(at_ms) FROM samples WHERE run_id = ?",
            (run,),
        ).fetchone()
        missing = (last or 0) - count - _never_kept(bare, run)
        if missing > 0:
            minutes = missing * (last_ms - first_ms) / max(1, last) / 60e3
            words.append(f"{missing} samples within run {run} ({minutes:.1f} minutes)")
    return words


def _never_kept(bare: Any, run: int) -> int:
    total = 0
    query = "SELECT data FROM events WHERE run_id = ? AND kind = 'not_recorded'"
    for (data,) in bare.execute(query, (run,)):
        with contextlib.suppress(ValueError, TypeError, AttributeError):
            total += int(json.loads(data).get("samples") or 0)
    return total
