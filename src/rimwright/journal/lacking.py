"""What a sound journal file lacks of what had been kept in it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from rimwright.journal.locking import Tally


def lacking(
    bare: Any, tallies: Mapping[int, Tally], *, holes: bool, others: Iterable[int] = ()
) -> dict[int, tuple[Tally, Tally | None]]:
    """Runs that had more than a file has.

    Parameters
    ----------
    bare : sqlite3.Connection
        On a sound journal.
    tallies : mapping of int to Tally
        What had been kept of each run.
    holes : bool
        Whether to look for rows that are missing before the last too.
    others : iterable of int
        More runs to look through for such rows.

    Returns
    -------
    dict
        Of each such run, what it had and what is left; None where there is no such run.
    """
    found: dict[int, tuple[Tally, Tally | None]] = {}
    for run, had in tallies.items():
        there = bare.execute("SELECT 1 FROM runs WHERE id = ?", (run,)).fetchone()
        left = tally_of(bare, run, holes=holes) if there else None
        if (
            left is None
            or left.sample < had.sample
            or left.event < had.event
            or left.holes > had.holes
        ):
            found[run] = (had, left)
    for run in set(others) - set(tallies):
        left = tally_of(bare, run, holes=holes, from_one=False)
        if left.holes:
            found[run] = (replace(left, holes=0), left)
    return found


def tally_of(bare: Any, run: int, *, holes: bool, from_one: bool = True) -> Tally:
    """The last rows of a run in a file, and how many are missing before them.

    With `from_one` the first is number 1, as in every run that was recorded here; of one that
    came from elsewhere a part may have come.
    """

    def ask(query: str) -> int:
        return int(bare.execute(query, {"run": run}).fetchone()[0] or 0)

    sample = ask("SELECT max(seq) FROM samples WHERE run_id = :run")
    event = ask("SELECT max(seq) FROM events WHERE run_id = :run")
    query = f"SELECT sum(at_ms) FROM samples WHERE run_id = :run AND seq = {sample}"
    missing = 0
    if holes:
        for table in ("samples", "events"):
            first = "1" if from_one else "min(seq)"
            missing += ask(
                f"SELECT max(seq) - {first} + 1 - count(*) FROM {table} WHERE run_id = :run"
            )
    return Tally(sample, ask(query), event, missing)
