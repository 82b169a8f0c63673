"""The journal as commands reach it: through the server that has it, or opened here."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from rimwright.errors import JournalError

if TYPE_CHECKING:
    from rimwright.journal.engine import Journal


@contextmanager
def opened(place: str | None, *, make: bool = False) -> Iterator[Journal]:
    """The journal, open; what happened to it is said on standard error.

    Parameters
    ----------
    place : str, optional
        As `journal.opening.open_journal` takes it.
    make : bool, default False
        Whether it may be made anew where it was named and is not there.

    Raises
    ------
    JournalError
        If it cannot be opened, or is not there.
    """
    from rimwright.journal.opening import open_journal

    if not make:
        must_be_there(place)
    journal, notices = open_journal(place)
    try:
        for notice in notices:
            typer.echo(notice, err=True)
        yield journal
    finally:
        journal.close()


def must_be_there(place: str | None) -> None:
    """Refuse a file that was named and is not there: a slip of the name makes no journal.

    Raises
    ------
    JournalError
        If it is not there, and nothing is left of it that could be mended.
    """
    import os

    from rimwright.journal.opening import VARIABLE

    named = str(place or os.environ.get(VARIABLE, ""))
    if not named or "://" in named or "\0" in named:
        return
    path = Path(named).expanduser().absolute()
    # A journal whose file is gone has its lock and its backups still: it is mended.
    if not path.exists() and not path.with_name(f"{path.name}.lock").exists():
        raise JournalError(
            "no journal there",
            "the file in which records are kept",
            "name it, or begin a run with `rimwright begin`",
            where=str(path),
        )


@contextmanager
def refusing_when_served(place: str | None, what: str) -> Iterator[None]:
    """Say of a journal that a server has what is to be done, before anything is tried.

    Raises
    ------
    JournalError
        If a server has it.
    """
    from rimwright.cli.server_link import server_of

    link = server_of(place)
    if link is not None:
        raise JournalError(
            f"a server that records into it, at {link.address}",
            f"nobody who does, to {what}",
            "end `rimwright serve` first",
        )
    yield
