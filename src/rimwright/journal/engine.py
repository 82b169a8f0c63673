"""The open journal: many read at once, one writes."""

from __future__ import annotations

import contextlib
import os
import threading
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from rimwright.errors import JournalError

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine

    from rimwright.journal.locking import Tally

#: The revision of `tables.py`; the newest in `migrations/`.
SCHEMA = "0001"

#: What a database says when it cannot, in a maker's words: found, expected, next step.
_REASONS = (
    ("is locked", ("the journal in use by another program", "a free journal", "end it")),
    ("is full", ("a full disk", "free space", "make room on the disk")),
    ("No space left", ("a full disk", "free space", "make room on the disk")),
    ("disk I/O error", ("a disk that does not answer", "a working disk", "look at disk and cable")),
    ("malformed", ("a damaged journal", "a sound one", "start anew: it is looked after")),
    ("not a database", ("a damaged journal", "a sound one", "start anew: it is looked after")),
    ("readonly", ("no permission to write the journal", "a place you may write to", "change it")),
    (
        "unable to open",
        ("a journal that cannot be opened", "a place you may write to", "change it"),
    ),
    ("password", ("a password that is refused", "the right one", "look at the address")),
    ("does not exist", ("no such database or user", "one that is there", "look at the address")),
)


#: What is not the file's fault.
_NOT_DAMAGE = ("is locked", "is full", "disk I/O error", "readonly", "unable to open", "memory")


def means_damage(error: BaseException) -> bool:
    """Whether an error of the driver is about what is in the file, not about the disk or others.

    Examples
    --------
    >>> means_damage(ValueError("database disk image is malformed"))
    True
    """
    return not any(mark in str(error) for mark in _NOT_DAMAGE)


def journal_error(error: BaseException, where: str) -> JournalError:
    """What a driver refused, as one line; never with a password in it.

    Parameters
    ----------
    error : BaseException
        As SQLAlchemy or the driver raised it.
    where : str
        Which journal: `Journal.where`.
    """
    said = str(getattr(error, "orig", None) or error)
    for mark, (found, expected, next_step) in _REASONS:
        if mark in said:
            return JournalError(found, expected, next_step, where=where)
    first = said.strip().splitlines()[0][:160] if said.strip() else type(error).__name__
    return JournalError(
        f'the answer "{first}"', "a journal that answers", "look at disk or server", where=where
    )


@dataclass(eq=False)
class Journal:
    """A journal as `opening.open_journal` returns it. Use it in the process that opened it.

    Examples
    --------
    >>> import tempfile
    >>> from rimwright.journal.opening import open_journal
    >>> from rimwright.journal.runs import run_lines
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     journal, notices = open_journal(f"{folder}/journal.sqlite")
    ...     print(journal.kind, run_lines(journal), notices)
    ...     journal.close()
    sqlite () ()
    """

    #: Path, or address without its password.
    where: str
    kind: Literal["sqlite", "postgresql"]
    #: "SQLite 3.53.4, WAL", for people.
    engine_version: str
    reader: Engine = field(repr=False)
    writer: Engine = field(repr=False)
    #: The file; None on a server.
    path: Path | None = None
    #: Called before each write, after each commit and at the end.
    before_writing: Callable[[], None] = field(default=lambda: None, repr=False)
    after_commit: Callable[[], None] = field(default=lambda: None, repr=False)
    #: Told which rows are kept, so that a later start can tell what is missing.
    count: Callable[[Mapping[int, Tally]], None] = field(default=lambda _: None, repr=False)
    before_closing: Callable[[], None] = field(default=lambda: None, repr=False)
    after_closing: Callable[[], None] = field(default=lambda: None, repr=False)
    _one_at_a_time: threading.RLock = field(default_factory=threading.RLock, repr=False)
    _process: int = field(default_factory=os.getpid, repr=False)
    _writing: bool = field(default=False, repr=False)
    _closed: bool = field(default=False, repr=False)

    @contextlib.contextmanager
    def reading(self) -> Iterator[Connection]:
        """A connection to read with; many at once, each sees one moment.

        On SQLite versions that need a rollback journal nothing is written while somebody
        reads, so read long lists in pieces.

        Raises
        ------
        JournalError
            If the database does not answer, or is damaged.
        """
        self._look()
        with self._refusing(), self.reader.begin() as connection:
            yield connection

    @contextlib.contextmanager
    def writing(self) -> Iterator[Connection]:
        """The one writing connection, in a transaction: committed at the end, or undone.

        Raises
        ------
        JournalError
            If it cannot be written: the message says why. Nothing was changed.
        """
        self._look()
        with self._one_at_a_time:
            if self._writing:
                raise RuntimeError("a transaction of the journal within another")
            self.before_writing()
            self._writing = True
            try:
                with self._refusing(), self.writer.begin() as connection:
                    yield connection
            finally:
                self._writing = False
            self.after_commit()

    def close(self) -> None:
        """Give up all connections, and the right to write."""
        with self._one_at_a_time:
            if self._closed:
                return
            self._closed = True
            if os.getpid() == self._process:
                self.reader.dispose()
                self.before_closing()
                self.writer.dispose()
                self.after_closing()

    @contextlib.contextmanager
    def _refusing(self) -> Iterator[None]:
        from sqlalchemy import exc

        try:
            yield
        except (exc.OperationalError, exc.InterfaceError, exc.TimeoutError) as error:
            raise journal_error(error, self.where) from error
        except exc.DatabaseError as error:
            # Only the plain class: its other children are faults of the statement.
            if type(error) is not exc.DatabaseError and not isinstance(error, exc.InternalError):
                raise
            raise journal_error(error, self.where) from error

    def _look(self) -> None:
        if self._closed:
            raise JournalError("a closed journal", "an open one", "open it", where=self.where)
        if os.getpid() != self._process:
            # Two processes on one connection is a known way to ruin a database.
            raise RuntimeError("a journal is opened after the fork, not before it")
