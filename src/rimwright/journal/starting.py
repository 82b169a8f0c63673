"""A journal file at the start: looked over, mended or brought up to date where need be."""

from __future__ import annotations

import glob
import shutil
import time
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from rimwright.errors import JournalError
from rimwright.journal import migrating
from rimwright.journal.backup_files import backups_in
from rimwright.journal.damage import Foreign, find_damage, looks_like_journal
from rimwright.journal.engine import journal_error, means_damage
from rimwright.journal.lacking import lacking, tally_of
from rimwright.journal.locking import LockFile, Mark
from rimwright.journal.making import make_file
from rimwright.journal.mending import Beside, keep_copy_aside, mend, newest_backup, reach
from rimwright.journal.mending_words import lacking_words
from rimwright.journal.sqlite_file import bare_connection, driver, empty_log, errors, make_engine

if TYPE_CHECKING:
    from sqlalchemy import Engine

#: What SQLite lays beside a file as it opens it, and some more. [bytes]
_ROOM = 200_000


class Start:
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
        elif reason := self._damage():
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

    def _damage(self) -> str:
        """What is wrong with the file; "" where nothing was found."""
        # Left as it is, should it have to be kept; but what was cut off is undone first.
        only_look = "-journal" not in self.beside.files
        try:
            bare = bare_connection(self.path, self.module, only_look=only_look)
            try:
                return find_damage(bare, errors(self.module))
            finally:
                bare.close()
        except Foreign:
            raise _no_journal(self.path) from None
        except errors(self.module) as error:
            if means_damage(error):
                return f"it cannot be read ({error})"
            raise

    def _mend(self, reason: str) -> str:
        words = mend(
            self.path, reason, self.mark, self.beside,
            module=self.module, now=self.now, migrations=self.migrations,
        )  # fmt: skip
        self._count_anew(self.mark.runs)
        return words

    def _lacking(self) -> list[str]:
        """A file that is sound, but has less than had been kept: its log was cut or taken away."""
        bare = bare_connection(self.path, self.module)
        try:
            # Gone through only where the last one was cut off.
            holes = self.mark.state != "closed"
            found = lacking(bare, self.lock.mark.runs, holes=holes)
        finally:
            bare.close()
        if not found:
            return []
        lost = "; ".join(lacking_words(found))
        backup = newest_backup(self.path, self.module, self.migrations)
        if backup and reach(backup[0].path, self.module) > reach(self.path, self.module):
            return [self._mend(f"it lacks {lost}")]
        kept = keep_copy_aside(self.path, self.beside, self.now)
        self._count_anew(self.lock.mark.runs)
        return [
            f"The journal lacks what had been kept in it, as if its log had been cut or taken "
            f"away. Lost: {lost}. As it was found, it is kept in {kept}."
        ]

    def _count_anew(self, runs: Iterable[int]) -> None:
        """What is missing was said; from now on it is known."""
        bare = bare_connection(self.path, self.module)
        try:
            there = {run for (run,) in bare.execute("SELECT id FROM runs")}
            self.lock.count_anew(
                {run: tally_of(bare, run, holes=True) for run in runs if run in there}
            )
        finally:
            bare.close()

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


def refuse_foreign(path: Path) -> None:
    """Refuse a file of somebody else; a journal too damaged to be known is known by its lock."""
    there = path.exists() and path.stat().st_size > 0
    if there and not looks_like_journal(path) and not _was_here(path, LockFile(path).mark):
        raise _no_journal(path)


def not_now(path: Path, error: Exception) -> JournalError:
    """Why a file that may well be sound cannot be opened."""
    if shutil.disk_usage(path.parent).free < _ROOM:
        # The database calls it an error of the disk.
        error = OSError("database or disk is full")
    return journal_error(error, str(path))


def _no_journal(path: Path) -> JournalError:
    return JournalError(
        "a file that is no journal",
        "a journal of Rimwright, or a name that no file has",
        "name another file",
        where=str(path),
    )
