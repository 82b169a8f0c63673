"""What the pages talk to: the bench, the journal, and who may reach them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Protocol

from fastapi import Request

from rimwright.errors import JournalError
from rimwright.web.access import Access, Caller, refused
from rimwright.web.limits import Allowance
from rimwright.web.pairing import Pairing
from rimwright.web.sessions import Sessions

if TYPE_CHECKING:
    from rimwright.journal.engine import Journal
    from rimwright.live.beginning import Begin
    from rimwright.live.commands import Command, Done
    from rimwright.live.readings import Sample
    from rimwright.web.socket import Hub


class Bench(Protocol):
    """The runs that are on, as the pages need them. Every call may come from any thread."""

    boot: str

    def begin(self, new: Begin) -> int:
        """Begin a run; its number."""
        ...

    def runs(self) -> tuple[int, ...]:
        """Numbers of the runs that are on."""
        ...

    def view(self, run: int) -> dict[str, Any]:
        """What pages show of a run."""
        ...

    def view_version(self, run: int) -> int:
        """Moves on whenever the view has changed."""
        ...

    def samples_after(self, run: int, seq: int) -> Sequence[Sample]:
        """Samples after one that was had already."""
        ...

    def at(self, run: int) -> tuple[float, float]:
        """Now: since the run was begun, and on the wall. [s], [s since 1970]"""
        ...

    def hello(self, run: int, since: int, boot: str) -> dict[str, Any]:
        """First message of the live channel."""
        ...

    def command(self, run: int, command: Command) -> Done:
        """Do what a person asks."""
        ...

    def push(self, name: str, token: str, body: bytes) -> None:
        """Readings that a probe posts."""
        ...

    def listen(self, call: Callable[[int], None]) -> Callable[[], None]:
        """Call with a run's number when it has news; what comes back ends it."""
        ...


@dataclass(frozen=True, kw_only=True)
class Shop:
    """Everything a handler may need; made once with the app."""

    bench: Bench
    journal: Journal
    access: Access
    sessions: Sessions
    pairing: Pairing
    hub: Hub
    #: Wrong tokens of probes from one address: this many at once, then so many a second.
    strange_probes: Allowance = field(default_factory=lambda: Allowance(30, 0.5))


def shop_of(request: Request) -> Shop:
    """The shop of the app that a request came to."""
    shop: Shop = request.app.state.shop
    return shop


def caller_in(request: Request) -> Caller:
    """Who sent a request, as the gate found."""
    caller: Caller = request.scope["caller"]
    return caller


def must_be_kept(shop: Shop, table: str, number: int) -> None:
    """Refuse what is not in the journal, before anything is made of what was sent.

    Parameters
    ----------
    shop : Shop
        Whose journal.
    table : str
        Such as "runs".
    number : int
        Of the row that must be there.

    Raises
    ------
    RefusedError
        404.
    JournalError
        If the journal does not answer.
    """
    from rimwright.journal.keeping_rows import needed

    try:
        with shop.journal.reading() as connection:
            needed(connection, table, number)
    except JournalError as error:
        if error.__cause__ is not None:
            raise
        raise refused(404, error.found, error.expected, error.next_step) from error
