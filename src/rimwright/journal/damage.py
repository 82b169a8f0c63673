"""Whether a journal file is sound: its pages, its references, and the sums of its rows."""

from __future__ import annotations

import contextlib
import json
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from rimwright.journal.engine import means_damage
from rimwright.journal.sqlite_file import APPLICATION_ID, Errors
from rimwright.journal.sums import SAMPLE_SUM, event_sum

#: The first bytes of every SQLite file.
_HEADER = b"SQLite format 3\0"

#: Looking over ends after so long, however large the journal: `rimwright check` has the time
#: for all of it. [s]
LOOK_S = 1.5

#: Steps of the database between two looks at the clock.
_STEPS = 20_000


class Foreign(Exception):  # noqa: N818  # no error: the finding that there is nothing of ours
    """A sound database that is no journal."""


def looks_like_journal(path: Path) -> bool:
    """Whether a file begins as a SQLite file with our mark does."""
    with path.open("rb") as file:
        page = file.read(100)
    return page.startswith(_HEADER) and page[68:72] == APPLICATION_ID.to_bytes(4, "big")


def find_damage(bare: Any, error: Errors, seconds: float = LOOK_S) -> str:
    """What is wrong with a journal file, in a few words; "" where nothing was found.

    Parameters
    ----------
    bare : sqlite3.Connection
        Of either driver.
    error : tuple of type
        `sqlite_file.errors`.
    seconds : float, default 1.5
        When to stop looking; what was not reached counts as sound. [s]

    Raises
    ------
    Foreign
        If it is sound, but nothing of ours.
    error
        If the disk does not let it be read now.
    """
    until = time.monotonic() + seconds
    with _stopping(bare, until):
        try:
            return _tables(bare) or _pages(bare) or _rows(bare, until)
        except error as problem:
            # A look that the clock ended found nothing wrong so far.
            if time.monotonic() >= until:
                return ""
            if not means_damage(problem):
                raise
            said = "letters that are none" if isinstance(problem, UnicodeError) else problem
            return f"it cannot be read ({said})"


def unsound_rows(bare: Any, run: int) -> tuple[list[int], list[int]]:
    """Numbers of the samples and events of a run that are not as they were written."""
    samples: list[int] = []
    if _summed(bare, "samples"):
        query = f"SELECT seq FROM samples WHERE run_id = ? AND check_sum <> {SAMPLE_SUM}"
        samples = [seq for (seq,) in bare.execute(query, (run,))]
    events: list[int] = []
    if _summed(bare, "events"):
        _teach(bare)
        query = f"SELECT seq FROM events WHERE run_id = ? AND check_sum <> {EVENT_SUM}"
        events = [seq for (seq,) in bare.execute(query, (run,))]
    return samples, events


def wrong_rows(bare: Any, table: str) -> str:
    """SQL condition for rows that hold what their columns never hold.

    The connection is taught the functions that it uses.
    """
    _teach(bare)
    summed = _summed(bare, table)
    wrong = []
    for _, name, kind, needed, _, _ in bare.execute(f'PRAGMA main.table_info("{table}")'):
        declared = kind.partition("(")[0].upper()
        wanted = _KINDS.get(declared, "text")
        empty = "" if needed else ", 'null'"
        wrong.append(f"typeof(\"{name}\") NOT IN ('{wanted}'{empty})")
        if declared == "JSON":
            wrong.append(f'("{name}" IS NOT NULL AND NOT json_valid("{name}"))')
        if wanted == "text" and not summed:
            wrong.append(f'NOT readable(CAST("{name}" AS BLOB))')
        if name == "uid":
            wrong.append("length(uid) <> 36")
    if summed:
        wrong.append(f"check_sum <> {SAMPLE_SUM if table == 'samples' else EVENT_SUM}")
    return " OR ".join(wrong)


#: Kinds of values in a column of a declared type; the others hold text.
_KINDS = {
    "INTEGER": "integer",
    "SMALLINT": "integer",
    "BIGINT": "integer",
    "BOOLEAN": "integer",
    "FLOAT": "real",
    "BLOB": "blob",
}

#: `sums.event_sum` of a row.
EVENT_SUM = "event_sum(seq, at_s, wall_s, kind, data, key)"


def _teach(bare: Any) -> None:
    def of_row(  # noqa: PLR0917  # a function of the database has only places
        seq: int, at_s: float, wall_s: float, kind: str, data: str, key: str | None
    ) -> int:
        try:
            return event_sum(seq, at_s, wall_s, kind=kind, data=json.loads(data), key=key)
        except (ValueError, TypeError, RecursionError):
            return -1

    def readable(letters: bytes | None) -> bool:
        try:
            (letters or b"").decode()
        except UnicodeDecodeError:
            return False
        return True

    bare.create_function("event_sum", 6, of_row, deterministic=True)
    bare.create_function("readable", 1, readable, deterministic=True)


def _tables(bare: Any) -> str:
    names = {name for (name,) in bare.execute("SELECT name FROM sqlite_master")}
    if not names:
        return "it is empty"
    if not names & {"alembic_version", "runs", "samples", "events"}:
        raise Foreign
    if "alembic_version" not in names or "runs" not in names:
        return "tables are missing"
    return "" if bare.execute("SELECT version_num FROM alembic_version").fetchone() else "no schema"


def _pages(bare: Any) -> str:
    # Not the quick one: it passes pages of two moments that fit together by chance.
    said = bare.execute("PRAGMA integrity_check(1)").fetchone()[0]
    return "" if said == "ok" else "pages do not fit together"


def _rows(bare: Any, until: float) -> str:
    runs = [run for (run,) in bare.execute("SELECT id FROM runs ORDER BY id DESC")]
    for table in ("samples", "events"):
        orphans = set(_runs_in(bare, table)) - set(runs)
        if orphans:
            return f"{table} belong to no run"
    for (name,) in bare.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall():
        if name in ("samples", "events"):
            continue
        if bare.execute(f'PRAGMA foreign_key_check("{name}")').fetchone() is not None:
            return f"{name} refer to what is not there"
        if (
            name not in ("alembic_version", "photographs")
            and bare.execute(
                f'SELECT 1 FROM "{name}" WHERE {wrong_rows(bare, name)} LIMIT 1'
            ).fetchone()
        ):
            return f"altered rows in {name}"
    # The newest first: they are the ones that somebody goes on with.
    for run in runs:
        if time.monotonic() > until:
            break
        altered = unsound_rows(bare, run)
        if altered[0] or altered[1]:
            return f"altered rows in run {run}"
    return ""


def _runs_in(bare: Any, table: str) -> Iterator[int]:
    """Runs that have rows in a table, without going through all of its rows."""
    run = None
    while True:
        query = f"SELECT min(run_id) FROM {table} WHERE run_id > ?"
        (run,) = bare.execute(query, (-(2**63) if run is None else run,)).fetchone()
        if run is None:
            return
        yield run


def _summed(bare: Any, table: str) -> bool:
    columns = bare.execute(f"PRAGMA table_info({table})").fetchall()
    return "check_sum" in {column[1] for column in columns}


@contextlib.contextmanager
def _stopping(bare: Any, until: float) -> Iterator[None]:
    bare.set_progress_handler(lambda: int(time.monotonic() > until), _STEPS)
    try:
        yield
    finally:
        bare.set_progress_handler(None, 0)
