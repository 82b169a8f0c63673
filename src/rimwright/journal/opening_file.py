"""Opening a journal file: looked over first, mended or brought up to date where need be."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rimwright.errors import JournalError
from rimwright.files import make_folder
from rimwright.journal import migrating
from rimwright.journal.engine import Journal
from rimwright.journal.locking import LockFile
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
    if path.is_dir():
        raise JournalError(
            "a folder of that name", "a file name", "choose another name", where=str(path)
        )
    refuse_network(path)
    make_folder(path.parent)
    lock = LockFile(path)
    before = lock.says()
    if not lock.take_to_look():
        return _only_to_read(path, lock, migrations)
    try:
        notices = _look_over(path, lock, before, migrations)
        journal = sqlite_journal(path, lock)
    finally:
        # Taken again, and kept, with the first write.
        lock.release()
    return journal, notices


def make_file(
    path: Path, module: Any, migrations: Path | None = None, target: str = "head"
) -> None:
    """A new empty journal, whole or not at all."""
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    part.unlink(missing_ok=True)
    engine = make_engine(part, writes=True, module=module, mode="TRUNCATE")
    try:
        with engine.begin() as connection:
            connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
            migrating.upgrade(connection, migrations, target)
        engine.dispose()
        part.replace(path)
        _sync_folder(path.parent)
    finally:
        engine.dispose()
        part.unlink(missing_ok=True)
        part.with_name(f"{part.name}-journal").unlink(missing_ok=True)


def _look_over(path: Path, lock: LockFile, before: str, migrations: Path | None) -> tuple[str, ...]:
    module = driver()
    lock.say("checking")
    notices: list[str] = []
    if not path.exists():
        make_file(path, module, migrations)
    engine = make_engine(path, writes=True, module=module)
    try:
        notices += _up_to_date(path, engine, module, migrations)
        if empty_log(engine):
            lock.say("closed")
    finally:
        engine.dispose()
    return tuple(notices)


def _up_to_date(
    path: Path, engine: Engine, module: Any, migrations: Path | None
) -> tuple[str, ...]:
    with engine.begin() as connection:
        revision = migrating.revision_of(connection)
    newest = migrating.newest(migrations)
    if revision == newest:
        return ()
    if revision is None:
        raise JournalError(
            "a database that is no journal",
            "a journal of Rimwright",
            "name another file",
            where=str(path),
        )
    if not migrating.knows(revision, migrations):
        raise migrating.refuse_newer(revision, str(path))
    copy = migrating.keep_copy(path, revision, module)
    connection = engine.connect()
    try:
        # Outside of the transaction, or it has no effect: a table made anew would take its
        # rows' children along.
        connection.exec_driver_sql("COMMIT")
        connection.exec_driver_sql("PRAGMA foreign_keys = OFF")
        connection.exec_driver_sql("BEGIN IMMEDIATE")
        migrating.upgrade(connection, migrations)
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
    return (
        f"The journal was brought from schema {revision} to {newest}; "
        f"as it was it is kept in {copy}.",
    )


def _only_to_read(
    path: Path, lock: LockFile, migrations: Path | None
) -> tuple[Journal, tuple[str, ...]]:
    journal = sqlite_journal(path, lock)
    with journal.reading() as connection:
        revision = migrating.revision_of(connection)
    if revision != migrating.newest(migrations):
        journal.close()
        raise JournalError(
            f"a journal of schema {revision} that another process records into",
            "one Rimwright on all programs that use a journal",
            "end the other one, or use the same version",
            where=str(path),
        )
    return journal, ()


def _sync_folder(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
