"""Opening a journal file: looked over first, mended or brought up to date where need be."""

from __future__ import annotations

import glob
import shutil
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rimwright.errors import JournalError
from rimwright.files import made_beside, make_folder
from rimwright.journal import migrating
from rimwright.journal.backup_files import backups_in
from rimwright.journal.damage import Foreign, find_damage, lacking, looks_like_journal
from rimwright.journal.engine import Journal, journal_error
from rimwright.journal.locking import LockFile, Mark
from rimwright.journal.mending import Beside, keep_copy_aside, mend, newest_backup, reach
from rimwright.journal.mending_words import lacking_words
from rimwright.journal.network import refuse_network
from rimwright.journal.sqlite_file import (
    APPLICATION_ID,
    driver,
    empty_log,
    make_engine,
    sqlite_journal,
)

if TYPE_CHECKING:
    from sqlalchemy import Engine


def open_file(path: Path, migrations: Path | None = None) -> tuple[Journal, tuple[str, ...]]:
    """Open, make, mend or bring up to date a journal file. See `opening.open_journal`."""
    try:
        return _opened(path, migrations)
    except OSError as error:
        raise JournalError(
            f"no way to read or write there ({error.strerror})",
            "a folder of your own",
            "choose another place with RIMWRIGHT_JOURNAL",
            where=str(path),
        ) from error


def _opened(path: Path, migrations: Path | None) -> tuple[Journal, tuple[str, ...]]:
    if path.is_dir():
        raise JournalError(
            "a folder of that name", "a file name", "choose another name", where=str(path)
        )
    refuse_network(path)
    _refuse_foreign(path)
    make_folder(path.parent)
    lock = LockFile(path)
    if not lock.take_to_look():
        return _only_to_read(path, lock, migrations)
    try:
        notices = _Start(path, lock, migrations).look_over()
        journal = sqlite_journal(path, lock)
    finally:
        # Taken again, and kept, with the first write.
        lock.release()
    return journal, notices


def make_file(
    path: Path, module: Any, migrations: Path | None = None, target: str = "head"
) -> None:
    """A new empty journal, whole or not at all.

    Raises
    ------
    OutputError
        If it cannot be written there.
    """
    with made_beside(path) as part:
        engine = make_engine(part, writes=True, module=module, mode="MEMORY")
        try:
            with engine.begin() as connection:
                connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
                migrating.upgrade(connection, migrations, target)
        finally:
            engine.dispose()


class _Start:
    """A journal file as it is found, by the process that holds its lock."""

    def __init__(self, path: Path, lock: LockFile, migrations: Path | None) -> None:
        self.path, self.lock, self.migrations = path, lock, migrations
        self.module, self.now = driver(), time.time()
        #: What the one before had said, and what it left beside the file.
        self.mark, self.beside = lock.mark, Beside.of(path)

    def look_over(self) -> tuple[str, ...]:
        """Leave a sound journal of this schema; what had to be done, in words."""
        path = self.path
        there = path.exists() and path.stat().st_size > 0
        self.lock.say("checking")
        # What a start that was cut off had begun to mend.
        for begun in path.parent.glob(f".{glob.escape(path.name)}.mending-*"):
            shutil.rmtree(begun, ignore_errors=True)
        notices: list[str] = []
        if not there and not _was_here(path, self.mark):
            make_file(path, self.module, self.migrations)
        elif not there:
            notices.append(self._mend("the file is empty" if path.exists() else "the file is gone"))
        elif reason := _damage(path, self.module):
            notices.append(self._mend(reason))
        else:
            notices += self._lacking()
        engine = make_engine(path, writes=True, module=self.module)
        try:
            notices += self._up_to_date(engine)
            if empty_log(engine):
                self.lock.say("closed")
        finally:
            engine.dispose()
        return tuple(notices)

    def _mend(self, reason: str) -> str:
        words = mend(
            self.path, reason, self.mark, self.beside,
            module=self.module, now=self.now, migrations=self.migrations,
        )  # fmt: skip
        self.lock.forget()
        return words

    def _lacking(self) -> list[str]:
        """A file that is sound, but has less than had been kept: its log was cut or taken away."""
        bare = self.module.connect(str(self.path), isolation_level=None)
        try:
            found = lacking(bare, self.lock.mark.runs)
        finally:
            bare.close()
        if not found:
            return []
        lost = "; ".join(lacking_words(found))
        backup = newest_backup(self.path, self.module, self.migrations)
        if backup and reach(backup[0].path, self.module) > reach(self.path, self.module):
            return [self._mend(f"it lacks {lost}")]
        kept = keep_copy_aside(self.path, self.beside, self.now)
        self.lock.forget()
        return [
            f"The journal lacks what had been kept in it, as if its log had been cut or taken "
            f"away. Lost: {lost}. As it was found, it is kept in {kept}."
        ]

    def _up_to_date(self, engine: Engine) -> list[str]:
        path = self.path
        with engine.begin() as connection:
            revision = migrating.revision_of(connection)
        newest = migrating.newest(self.migrations)
        if revision == newest:
            return []
        if revision is None:
            raise _no_journal(path)
        if not migrating.knows(revision, self.migrations):
            raise migrating.refuse_newer(revision, str(path))
        copy = migrating.keep_copy(path, revision, self.module, self.now)
        connection = engine.connect()
        try:
            # Outside of the transaction, or it has no effect: a table made anew would take
            # its rows' children along.
            connection.exec_driver_sql("COMMIT")
            connection.exec_driver_sql("PRAGMA foreign_keys = OFF")
            connection.exec_driver_sql("BEGIN IMMEDIATE")
            migrating.upgrade(connection, self.migrations)
            if connection.exec_driver_sql("PRAGMA foreign_key_check").first() is not None:
                raise JournalError(
                    "records that would lose what they belong to",
                    "a journal that can be brought up to date",
                    f"go on with the older Rimwright, and report this; the copy is {copy.name}",
                    where=str(path),
                )
            connection.commit()
        finally:
            connection.close()
            # The next connection has its foreign keys again.
            engine.dispose()
        return [
            f"The journal was brought from schema {revision} to {newest}; "
            f"as it was before, it is kept in {copy}."
        ]


def _was_here(path: Path, mark: Mark) -> bool:
    """Whether a journal of this name was written before, whatever is left of it."""
    backups = backups_in(path.parent / "backups", path.stem)
    return bool(mark.file or backups or Beside.of(path).files)


def _refuse_foreign(path: Path) -> None:
    """Refuse a file of somebody else; a journal too damaged to be known is known by its lock."""
    if path.exists() and path.stat().st_size and not looks_like_journal(path):
        if not _was_here(path, LockFile(path).mark):
            raise _no_journal(path)


def _damage(path: Path, module: Any) -> str:
    """What is wrong with a file; "" where nothing was found."""
    try:
        bare = module.connect(str(path), isolation_level=None)
    except module.Error as error:
        raise journal_error(error, str(path)) from error
    try:
        bare.execute("PRAGMA cell_size_check = ON")
        return find_damage(bare, module.DatabaseError)
    except Foreign:
        raise _no_journal(path) from None
    finally:
        bare.close()


def _no_journal(path: Path) -> JournalError:
    return JournalError(
        "a file that is no journal",
        "a journal of Rimwright, or a name that no file has",
        "name another file",
        where=str(path),
    )


def _only_to_read(
    path: Path, lock: LockFile, migrations: Path | None
) -> tuple[Journal, tuple[str, ...]]:
    """While another process records into it."""
    journal = sqlite_journal(path, lock)
    with journal.reading() as connection:
        revision = migrating.revision_of(connection)
    if revision != migrating.newest(migrations):
        journal.close()
        raise JournalError(
            f"a journal of schema {revision} that another process records into",
            "one Rimwright for all that use a journal",
            "end the other one, or use the same version",
            where=str(path),
        )
    return journal, ()
