"""Opening a journal file: by the one that may write it, or only to read it."""

from __future__ import annotations

from pathlib import Path

from rimwright.errors import JournalError
from rimwright.files import make_folder
from rimwright.journal import migrating
from rimwright.journal.engine import Journal
from rimwright.journal.locking import LockFile
from rimwright.journal.network import refuse_network
from rimwright.journal.sqlite_file import driver, errors, sqlite_journal
from rimwright.journal.starting import Start, not_now, refuse_foreign


def open_file(path: Path, migrations: Path | None = None) -> tuple[Journal, tuple[str, ...]]:
    """Open, make, mend or bring up to date a journal file. See `opening.open_journal`."""
    from sqlalchemy.exc import DBAPIError

    try:
        return _opened(path, migrations)
    except DBAPIError as error:
        raise not_now(path, error) from error
    except errors(driver()) as error:
        raise not_now(path, error) from error
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
    refuse_foreign(path)
    make_folder(path.parent)
    lock = LockFile(path)
    if not lock.take_to_look():
        return _only_to_read(path, lock, migrations)
    try:
        notices = Start(path, lock, migrations).look_over()
        journal = sqlite_journal(path, lock)
    finally:
        # Taken again, and kept, with the first write.
        lock.release()
    return journal, notices


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
