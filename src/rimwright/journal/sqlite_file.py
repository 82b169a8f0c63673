"""A journal in a SQLite file: which library, which way of writing, how careful."""

from __future__ import annotations

import contextlib
import importlib
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rimwright.journal.locking import LockFile

if TYPE_CHECKING:
    from sqlalchemy import Engine

    from rimwright.journal.engine import Journal

#: "RIMW": marks a SQLite file as a journal of Rimwright.
APPLICATION_ID = 0x52494D57

#: A write-ahead log that has grown past this is put into the file. [bytes]
_LOG_BYTES = 4_000_000

#: How long a reader and the writer wait for each other. [s]
_READER_WAITS_S = 5.0
_WRITER_WAITS_S = 1.0


def driver() -> Any:
    """The newest SQLite there is: the one that comes with us, or Python's own."""
    try:
        return importlib.import_module("pysqlite3")
    except ImportError:
        return importlib.import_module("sqlite3")


Errors = tuple[type[Exception], ...]


def errors(module: Any) -> Errors:
    """What the driver raises on a damaged file: its message may quote letters that are none."""
    return (module.Error, UnicodeDecodeError)


def bare_connection(path: Path, module: Any, *, only_look: bool = False) -> Any:
    """A connection of the driver itself, to look over a file of which nothing can be believed.

    With `only_look` the file stays as it is, to the byte; a rollback journal beside it cannot
    be undone then.
    """
    mode = "ro" if only_look else "rw"
    bare = module.connect(f"{path.as_uri()}?mode={mode}", uri=True, isolation_level=None)
    bare.text_factory = lambda letters: letters.decode("utf-8", "replace")
    bare.execute("PRAGMA cell_size_check = ON")
    return bare


def log_is_sound(version: tuple[int, ...]) -> bool:
    """Whether this SQLite's write-ahead log can be trusted.

    From 3.7.0 to 3.51.2 a rare race of two connections can lose a log that was just begun
    anew; the release notes of SQLite 3.51.3 name the fault and where it was mended.

    Examples
    --------
    >>> log_is_sound((3, 40, 1)), log_is_sound((3, 50, 7)), log_is_sound((3, 53, 4))
    (False, True, True)
    """
    mended = (3, 44, 6) <= version < (3, 45) or (3, 50, 7) <= version < (3, 51)
    return mended or version >= (3, 51, 3)


def journal_mode(version: tuple[int, ...]) -> str:
    """ "WAL", or "TRUNCATE" where the log has the fault."""
    return "WAL" if log_is_sound(version) else "TRUNCATE"


def make_engine(path: Path, *, writes: bool, module: Any = None, mode: str | None = None) -> Engine:
    """An engine on a file; the writing one has a single connection.

    Parameters
    ----------
    path : Path
        The file.
    writes : bool
        Whether it may change anything.
    module : module, optional
        Driver; `driver()` if left out.
    mode : str, optional
        "WAL" or "TRUNCATE"; what the version asks for if left out.
    """
    from sqlalchemy import URL, QueuePool, create_engine, event

    module = module or driver()
    mode = mode or journal_mode(module.sqlite_version_info)
    engine = create_engine(
        URL.create("sqlite", database=str(path)),
        module=module,
        poolclass=QueuePool,
        pool_size=1 if writes else 4,
        max_overflow=0 if writes else 36,
        connect_args={
            "check_same_thread": False,
            "timeout": _WRITER_WAITS_S if writes else _READER_WAITS_S,
        },
    )

    @event.listens_for(engine, "connect")
    def careful(connection: Any, _record: Any) -> None:
        # The driver must not begin or end transactions by itself: not even around a change
        # of the tables.
        connection.isolation_level = None
        prepare(connection, writes=writes, mode=mode)

    @event.listens_for(engine, "begin")
    def begin(connection: Any) -> None:
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def prepare(connection: Any, *, writes: bool, mode: str) -> None:
    """Set a bare connection of the driver up: full sync, foreign keys, no surprises."""
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA trusted_schema = OFF")
    connection.execute("PRAGMA cell_size_check = ON")
    if not writes:
        connection.execute("PRAGMA query_only = ON")
        return
    connection.execute(f"PRAGMA journal_mode = {mode}").fetchall()
    connection.execute("PRAGMA synchronous = FULL")
    # On macOS a plain sync does not reach the disk; elsewhere this does nothing.
    connection.execute("PRAGMA fullfsync = ON")
    # Put into the file by `_empty_log`, as a whole: a log that lies about after it was copied
    # would undo what the file has, should it be cut.
    connection.execute("PRAGMA wal_autocheckpoint = 0")


def sqlite_journal(path: Path, lock: LockFile) -> Journal:
    """The journal on a file that was looked over."""
    from rimwright.journal.engine import Journal

    module = driver()
    mode = journal_mode(module.sqlite_version_info)
    writer = make_engine(path, writes=True, module=module, mode=mode)
    return Journal(
        where=str(path),
        kind="sqlite",
        engine_version=f"SQLite {module.sqlite_version}, {mode}",
        reader=make_engine(path, writes=False, module=module, mode=mode),
        writer=writer,
        path=path,
        before_writing=lock.take_to_write,
        after_commit=_after_commit(writer, path),
        count=lock.count,
        before_closing=lambda: _close_well(writer, lock),
        after_closing=lock.release,
    )


def _after_commit(writer: Engine, path: Path) -> Callable[[], None]:
    log = path.with_name(f"{path.name}-wal")

    def committed() -> None:
        try:
            long = log.stat().st_size > _LOG_BYTES
        except OSError:
            return
        if long:
            empty_log(writer)

    return committed


def _close_well(writer: Engine, lock: LockFile) -> None:
    if lock.held and empty_log(writer):
        lock.say("closed")


def empty_log(writer: Engine) -> bool:
    """Put the write-ahead log into the file; False where a reader or the disk is in the way."""
    from sqlalchemy import exc

    # Never an error: what was to be kept is kept, in the log.
    with contextlib.suppress(exc.SQLAlchemyError, writer.dialect.loaded_dbapi.Error):
        connection = writer.raw_connection()
        try:
            bare: Any = connection.dbapi_connection
            bare.execute("PRAGMA busy_timeout = 100")
            try:
                return not bare.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]
            finally:
                bare.execute(f"PRAGMA busy_timeout = {int(1000 * _WRITER_WAITS_S)}")
        finally:
            connection.close()
    return False
