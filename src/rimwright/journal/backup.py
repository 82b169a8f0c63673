"""Backups: whole copies of the journal, made while it is written, looked over, then named.

A backup is always a journal file of SQLite, of a server's journal too: it can be opened,
listed and exported like any journal, and restored to either kind.
"""

from __future__ import annotations

import contextlib
import shutil
import time
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rimwright.errors import JournalError
from rimwright.files import made_beside, make_folder
from rimwright.journal.backup_files import (
    Backup,
    backup_folder,
    backups_in,
    named,
    refuse_unsound,
    stem_of,
)
from rimwright.journal.backup_restore import Restored, restore

if TYPE_CHECKING:
    from rimwright.journal.engine import Journal

__all__ = ["Backup", "Restored", "back_up", "backup_folder", "backups", "restore", "size_of"]

#: Backups kept whatever their age; beside them the newest of each month.
NEWEST_KEPT = 10
#: Room that a backup leaves on the disk for the recording. [bytes]
ROOM_LEFT = 200_000_000


def back_up(
    journal: Journal,
    folder: Path | None = None,
    *,
    keep: int = NEWEST_KEPT,
    wall_s: float | None = None,
) -> Path:
    """Copy the whole journal while it is written; old backups make room.

    It holds everything that was committed before this was called. It goes to a temporary
    name, is looked over, and only then gets its own.

    Parameters
    ----------
    journal : Journal
        Of either kind; it may be recorded into meanwhile.
    folder : Path, optional
        `backup_folder` if left out.
    keep : int, default 10
        Newest backups kept, beside the newest of each month.
    wall_s : float, optional
        Now; the computer's clock if left out. [s since 1970]

    Returns
    -------
    Path
        The backup.

    Raises
    ------
    JournalError, OutputError
        If there is too little room, the folder cannot be written, or the copy is not sound.
        Nothing is left of it then, and no older backup was taken away.
    """
    folder = folder or backup_folder(journal)
    make_folder(folder)
    _refuse_without_room(journal, folder)
    path = named(folder, stem_of(journal), time.time() if wall_s is None else wall_s)
    with made_beside(path) as part, _with_its_helpers(part):
        if journal.kind == "sqlite":
            _copy_file(journal, part)
        else:
            _copy_server(journal, part)
        refuse_unsound(part, path.name)
    for old in _worn_out(backups(journal, folder), keep, path):
        with contextlib.suppress(OSError):
            old.path.unlink()
    return path


def backups(journal: Journal, folder: Path | None = None) -> tuple[Backup, ...]:
    """The backups of a journal, newest first."""
    return backups_in(folder or backup_folder(journal), stem_of(journal))


def _copy_file(journal: Journal, part: Path) -> None:
    """SQLite's own backup: one moment of the file, whoever writes meanwhile."""
    from rimwright.journal.engine import journal_error
    from rimwright.journal.sqlite_file import driver

    module: Any = driver()
    target: Any = module.connect(str(part), isolation_level=None)
    try:
        # Put on the disk as a whole before it gets its name.
        target.execute("PRAGMA synchronous = OFF")
        with journal.reading() as connection:
            source: Any = connection.connection.driver_connection
            source.backup(target)
        # A file of its own: without the log that the copied one has beside it.
        target.execute("PRAGMA journal_mode = DELETE").fetchall()
    except module.Error as error:
        raise journal_error(error, str(part.parent)) from error
    finally:
        target.close()


def _copy_server(journal: Journal, part: Path) -> None:
    """One moment of a server's journal as a journal file."""
    from rimwright.journal.backup_rows import copy_all
    from rimwright.journal.making import make_file
    from rimwright.journal.sqlite_file import driver, make_engine

    make_file(part, driver())
    engine = make_engine(part, writes=True, mode="DELETE")
    try:
        # A connection to read with sees one moment, however long it reads.
        with journal.reading() as source, engine.begin() as target:
            copy_all(source, target)
    finally:
        engine.dispose()


@contextlib.contextmanager
def _with_its_helpers(part: Path) -> Iterator[None]:
    """Takes away what SQLite laid beside a copy that failed."""
    try:
        yield
    finally:
        for ending in ("-journal", "-wal", "-shm"):
            part.with_name(part.name + ending).unlink(missing_ok=True)


def _refuse_without_room(journal: Journal, folder: Path) -> None:
    needed = size_of(journal) + ROOM_LEFT
    free = shutil.disk_usage(folder).free
    if free < needed:
        raise JournalError(
            f"{free / 1e6:.0f} MB free on the disk",
            f"{needed / 1e6:.0f} MB for a backup and the recording",
            "make room, or name a folder on another disk",
            where=str(folder),
        )


def size_of(journal: Journal) -> int:
    """What a journal takes on the disk. [bytes]"""
    if journal.path is None:
        with journal.reading() as connection:
            query = "SELECT pg_database_size(current_database())"
            return int(connection.exec_driver_sql(query).scalar_one())
    total = 0
    for ending in ("", "-wal"):
        with contextlib.suppress(OSError):
            total += journal.path.with_name(journal.path.name + ending).stat().st_size
    return total


def _worn_out(found: tuple[Backup, ...], keep: int, newest: Path) -> list[Backup]:
    """Backups, newest first, that are neither among the newest nor the newest of their month."""
    months = set()
    worn = []
    for place, one in enumerate(found):
        month = time.gmtime(one.wall_s)[:2]
        if place >= max(keep, 1) and month in months and one.path != newest:
            worn.append(one)
        months.add(month)
    return worn
