"""A backup put in the journal's place; what was there is set aside, never deleted."""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from rimwright.errors import JournalError
from rimwright.files import made_beside, make_folder
from rimwright.journal.backup_files import backup_folder, named, refuse_unsound, stem_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Restored:
    """What a restore did."""

    #: The journal, as `engine.Journal.where`.
    where: str
    #: What was there before; None where there was nothing.
    aside: Path | None
    #: In plain words, for the terminal.
    words: str


def restore(where: str | Path, backup: Path, *, wall_s: float | None = None) -> Restored:
    """Put a backup in the journal's place.

    A journal file that is there is moved aside under another name. A server's journal is
    first written to a file aside, then its rows are exchanged in one transaction.

    Parameters
    ----------
    where : str or Path
        A journal file or a `postgresql://` address. Nobody may be recording into it.
    backup : Path
        As `back_up` made it, from either kind of journal.
    wall_s : float, optional
        Now; the computer's clock if left out. [s since 1970]

    Raises
    ------
    JournalError, OutputError
        If the backup is not sound or of a newer Rimwright, or the journal is in use; the
        journal is as it was then.
    """
    backup = Path(backup)
    if not backup.is_file():
        raise JournalError(
            "no such file", "a backup of a journal", "see the list of backups", where=str(backup)
        )
    refuse_unsound(backup, backup.name)
    now = time.time() if wall_s is None else wall_s
    if "://" in str(where):
        return _into_server(str(where), backup, now)
    return _into_file(Path(where).expanduser().resolve(), backup, now)


def _into_file(path: Path, backup: Path, now: float) -> Restored:
    from rimwright.journal.locking import LockFile
    from rimwright.journal.opening import open_journal

    if backup.resolve() == path:
        raise JournalError(
            "the journal itself", "one of its backups", "name another file", where=str(backup)
        )
    make_folder(path.parent)
    lock = LockFile(path)
    lock.take_to_write()
    try:
        aside = None
        with made_beside(path) as part:
            shutil.copyfile(backup, part)
            _refuse_newer(part, backup)
            if path.exists():
                aside = _set_aside(path, now)
        lock.say("closed")
    finally:
        lock.release()
    journal, notices = open_journal(path)
    journal.close()
    kept = f" What was there before is kept in {aside}." if aside else ""
    words = f"The journal is as it was in {backup.name}.{kept}"
    return Restored(where=str(path), aside=aside, words=" ".join((words, *notices)))


def _set_aside(path: Path, now: float) -> Path:
    """Give the journal file a second name; its own is free for another file then.

    Its log goes into the file first, or beside it where it cannot: a log left behind would be
    taken for one of the file that comes.
    """
    from sqlalchemy import exc

    from rimwright.journal.sqlite_file import driver, empty_log, make_engine

    engine = make_engine(path, writes=True)
    try:
        with contextlib.suppress(driver().Error, exc.DBAPIError):
            empty_log(engine)
    finally:
        engine.dispose()
    aside = named(path.parent, path.stem, now, "-aside")
    for ending in ("-wal", "-journal", "-shm"):
        beside = path.with_name(path.name + ending)
        if beside.exists():
            beside.replace(aside.with_name(aside.name + ending))
    try:
        os.link(path, aside)
    except OSError:  # a file system without second names
        path.replace(aside)
    return aside


def _refuse_newer(part: Path, backup: Path) -> None:
    """A backup of a newer Rimwright is refused before anything is moved."""
    from rimwright.journal import migrating
    from rimwright.journal.sqlite_file import make_engine

    engine = make_engine(part, writes=False)
    try:
        with engine.begin() as connection:
            revision = migrating.revision_of(connection)
    finally:
        engine.dispose()
    if revision is None or not migrating.knows(revision):
        raise migrating.refuse_newer(str(revision), backup.name)


def _into_server(address: str, backup: Path, now: float) -> Restored:
    from rimwright.journal.backup import back_up
    from rimwright.journal.backup_rows import copy_all, empty_all
    from rimwright.journal.opening import open_journal

    target, _ = open_journal(address)
    try:
        with tempfile.TemporaryDirectory(prefix="rimwright-restore-") as folder:
            copy = Path(folder) / "journal.sqlite"
            shutil.copyfile(backup, copy)
            # Opened as a journal: an older one is brought up to date on the way.
            source, _ = open_journal(copy)
            try:
                aside = named(backup_folder(target), stem_of(target), now, "-aside")
                made = back_up(target, Path(folder), wall_s=now)
                make_folder(aside.parent)
                with made_beside(aside) as part:
                    shutil.copyfile(made, part)
                with source.reading() as rows, target.writing() as connection:
                    empty_all(connection)
                    copy_all(rows, connection)
            finally:
                source.close()
        where = target.where
    finally:
        target.close()
    words = f"The journal is as it was in {backup.name}. What was there before is kept in {aside}."
    return Restored(where=where, aside=aside, words=words)
