"""Is the journal sound, complete and backed up? In words for people."""

from __future__ import annotations

import shutil
import time
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

from rimwright.errors import JournalError
from rimwright.journal.backup import backups, size_of
from rimwright.journal.network import network_here

if TYPE_CHECKING:
    from rimwright.journal.engine import Journal

Level = Literal["fine", "look", "bad"]
#: A run that has been open for longer was most likely forgotten. [s]
LONG_OPEN_S = 7 * 86_400.0
#: A backup older than the newest run by this is an old one. [s]
OLD_BACKUP_S = 7 * 86_400.0
#: Free on the disk: less than the first is looked at, less than the second stops the recording.
LITTLE_ROOM, NO_ROOM = 1_000_000_000, 100_000_000
#: Time to look every row over. [s]
_LOOK_S = 600.0
#: Findings of one kind that are told one by one.
_MOST = 10


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that was looked at."""

    level: Level
    #: What was looked at: "sound", "holes", "open runs", "size", "version", "place", "room",
    #: "backups".
    about: str
    words: str


@dataclass(frozen=True, slots=True)
class Findings:
    """All that was looked at, in its order."""

    found: tuple[Finding, ...]

    @property
    def sound(self) -> bool:
        """Nothing bad was found."""
        return all(one.level != "bad" for one in self.found)

    @property
    def lines(self) -> tuple[str, ...]:
        """For the terminal; what is not fine says so in front."""
        marks = {"fine": "", "look": "Look: ", "bad": "Bad: "}
        return tuple(f"{marks[one.level]}{one.words}" for one in self.found)


def check(journal: Journal, *, wall_s: float | None = None) -> Findings:
    """Look the whole journal over; it may be recorded into meanwhile.

    Parameters
    ----------
    journal : Journal
    wall_s : float, optional
        Now; the computer's clock if left out. [s since 1970]

    Raises
    ------
    JournalError
        If the journal does not answer at all.
    """
    now = time.time() if wall_s is None else wall_s
    return Findings(
        (
            *_version(journal),
            *_sound(journal),
            *_holes(journal, "samples", "reading"),
            *_holes(journal, "events", "event"),
            *_open_runs(journal, now),
            *_place(journal),
            *_backups(journal, now),
        )
    )


def _version(journal: Journal) -> Iterator[Finding]:
    yield Finding("fine", "version", f"Journal {journal.where}: {journal.engine_version}.")
    if journal.kind == "sqlite":
        from rimwright.journal.sqlite_file import driver, log_is_sound

        if not log_is_sound(driver().sqlite_version_info):
            yield Finding(
                "look",
                "version",
                "This SQLite is of the versions whose write-ahead log has a fault (3.7.0 to "
                "3.51.2), so the slower rollback journal is used. Nothing to do; a newer one "
                "is better.",
            )


def _sound(journal: Journal) -> Iterator[Finding]:
    if journal.kind == "postgresql":
        yield Finding("fine", "sound", "References are kept by the server itself.")
        return
    try:
        problems = tuple(_file_problems(journal))
    except JournalError as error:
        problems = (f"it cannot be read to its end ({error.found})",)
    for words in problems[:_MOST]:
        yield Finding("bad", "sound", f"The file is damaged: {words}.")
    if problems:
        words = "Start Rimwright anew: the file is kept, and what can be had is put in its place."
        yield Finding("bad", "sound", words)
    else:
        words = "The file is whole, its references are found, its rows are as they were written."
        yield Finding("fine", "sound", words)


def _file_problems(journal: Journal) -> Iterator[str]:
    from rimwright.journal.damage import find_damage
    from rimwright.journal.sqlite_file import driver, errors

    error = errors(driver())
    with journal.reading() as connection:
        bare: Any = connection.connection.driver_connection
        try:
            said = [row[0] for row in bare.execute(f"PRAGMA integrity_check({_MOST})").fetchall()]
            lost = bare.execute("PRAGMA foreign_key_check").fetchall()
        except error as problem:
            yield f"it cannot be read ({problem})"
            return
        yield from (words for words in said if words != "ok")
        for table, number, of, _ in lost[:_MOST]:
            yield f"row {number} of {table} refers to a row of {of} that is not there"
        if said == ["ok"] and not lost and (words := find_damage(bare, error, _LOOK_S)):
            yield words


def _holes(journal: Journal, name: str, word: str) -> Iterator[Finding]:
    """Rows of a run are counted from 1; what was given up for want of room is told in its log."""
    from sqlalchemy import func, select

    from rimwright.journal.keeping_rows import table_of

    c = table_of(name).c
    query = (
        select(c.run_id, func.count().label("rows"), func.max(c.seq).label("last"))
        .group_by(c.run_id)
        .having((func.count() != func.max(c.seq)) | (func.min(c.seq) != 1))
        .order_by(c.run_id)
    )
    with journal.reading() as connection:
        found = connection.execute(query).all()
    for run, rows, last in found[:_MOST]:
        missing, told = last - rows, _told(journal, run, name)
        several = "" if missing == 1 else "s"
        if missing <= told:
            words = f"Run {run}: {missing} {word}{several} could not be kept, as its log says."
            yield Finding("look", "holes", words)
        else:
            words = f"Run {run} lacks {missing} of {last} {word}s, and its log tells of {told}."
            yield Finding("bad", "holes", words)
    if len(found) > _MOST:
        yield Finding("bad", "holes", f"{len(found) - _MOST} more runs with missing {word}s.")
    if not found:
        yield Finding("fine", "holes", f"No {word} is missing in any run.")


def _told(journal: Journal, run: int, name: str) -> int:
    """How many of them the run's own log says were not recorded."""
    from sqlalchemy import select

    from rimwright.journal.tables import events

    query = select(events.c.data).where(events.c.run_id == run, events.c.kind == "not_recorded")
    with journal.reading() as connection:
        told = [
            data.get(name, 0) for (data,) in connection.execute(query) if isinstance(data, dict)
        ]
    return sum(count for count in told if isinstance(count, int))


def _open_runs(journal: Journal, now: float) -> Iterator[Finding]:
    from sqlalchemy import select

    from rimwright.journal.tables import runs

    query = select(runs.c.id, runs.c.model, runs.c.begun_wall_s).where(runs.c.state == "open")
    with journal.reading() as connection:
        found = connection.execute(query.order_by(runs.c.id)).all()
    long = [row for row in found if now - row.begun_wall_s > LONG_OPEN_S]
    for number, model, begun in long[:_MOST]:
        days = (now - begun) / 86_400.0
        words = f"Run {number} ({model}) has been open for {days:.0f} days: end or abandon it."
        yield Finding("look", "open runs", words)
    if not long:
        words = f"{len(found)} run{'' if len(found) == 1 else 's'} open, none for more than a week."
        yield Finding("fine", "open runs", words)


def _place(journal: Journal) -> Iterator[Finding]:
    size = size_of(journal) / 1e6
    if journal.path is None:
        words = (
            f"It takes {size:.0f} MB on its server. How much is free there only the server knows."
        )
        yield Finding("fine", "size", words)
        return
    yield Finding("fine", "size", f"It takes {size:.1f} MB.")
    folder = journal.path.parent
    if kind := network_here(folder):
        words = (
            f"It is on a network folder ({kind}), where a journal file can be ruined: move it "
            "to this computer's own disk."
        )
        yield Finding("bad", "place", words)
    free = shutil.disk_usage(folder).free
    level: Level = "fine" if free >= LITTLE_ROOM else "look" if free >= NO_ROOM else "bad"
    more = "" if level == "fine" else ": make room, or runs will not be recorded"
    yield Finding(level, "room", f"{free / 1e9:.1f} GB are free on its disk{more}.")


def _backups(journal: Journal, now: float) -> Iterator[Finding]:
    from sqlalchemy import func, select

    from rimwright.journal.tables import runs

    with journal.reading() as connection:
        newest_run = connection.execute(select(func.max(runs.c.begun_wall_s))).scalar_one()
    found = backups(journal)
    if not found:
        level: Level = "fine" if newest_run is None else "look"
        yield Finding(level, "backups", "There is no backup yet: one is made as a run ends.")
        return
    newest = found[0]
    days = (now - newest.wall_s) / 86_400.0
    age = "today" if days < 1.0 else f"{days:.0f} days ago"
    several = "" if len(found) == 1 else "s"
    words = f"{len(found)} backup{several}; the newest, {newest.path.name}, is of {age}."
    if newest_run is not None and newest_run - newest.wall_s > OLD_BACKUP_S:
        yield Finding("look", "backups", f"{words} Runs were begun since: make another.")
    else:
        yield Finding("fine", "backups", words)
