"""Who may do what: names under which the pages answer, and who a request comes from."""

from __future__ import annotations

import secrets
from dataclasses import dataclass, field
from http import HTTPStatus
from typing import TYPE_CHECKING

from rimwright.errors import AccessError

if TYPE_CHECKING:
    from rimwright.equipment.probes import ProbeSettings

#: Names and addresses by which a browser on this computer reaches it.
LOOPBACK_NAMES = ("localhost", "127.0.0.1", "[::1]")
#: Addresses from which only this computer can call. Others of 127.0.0.0/8 are not taken as such:
#: nothing here needs them, and what is asked for by another name is a guest.
LOOPBACK_PEERS = frozenset({"127.0.0.1", "::1"})


class RefusedError(AccessError):
    """A request that is answered with a status and one line.

    Parameters
    ----------
    status : HTTPStatus
        Of the answer.
    found, expected, next_step : str
        As of every error.
    """

    def __init__(self, status: HTTPStatus, found: str, expected: str, next_step: str) -> None:
        super().__init__(found, expected, next_step)
        self.status = status


@dataclass(frozen=True, kw_only=True)
class Access:
    """Where the pages are open, decided by whoever starts the server and never by a request."""

    port: int
    #: Address on the local network on which it is open too; "" where it is open here only.
    lan: str = ""
    #: Further names of this computer on that network, such as "bench.lan".
    names: tuple[str, ...] = ()
    #: What the command line on this computer shows; kept in a file only its user reads.
    token: str = field(default_factory=lambda: secrets.token_urlsafe(32), repr=False)
    #: Probes that a page may choose by name when it begins a run: those of the shop file. A
    #: simulated probe, and one that posts its readings, may always be chosen.
    probes: tuple[ProbeSettings, ...] = ()

    @property
    def hosts(self) -> frozenset[str]:
        """What a request's Host may say, with the port."""
        names = [*LOOPBACK_NAMES]
        if self.lan:
            names += [bracketed(self.lan), *self.names]
        with_port = {f"{name.lower()}:{self.port}" for name in names}
        # A browser leaves port 80 out.
        return frozenset(
            with_port | ({name.lower() for name in names} if self.port == 80 else set())
        )

    @property
    def address(self) -> str:
        """Of the first page, on this computer."""
        return f"http://127.0.0.1:{self.port}/"

    @property
    def lan_address(self) -> str:
        """Of the first page, on the local network; "" where it is not open there."""
        return f"http://{bracketed(self.lan)}:{self.port}/" if self.lan else ""


def bracketed(address: str) -> str:
    """An address as it stands in a link.

    Examples
    --------
    >>> bracketed("192.0.2.7"), bracketed("fe80::1")
    ('192.0.2.7', '[fe80::1]')
    """
    return f"[{address}]" if ":" in address else address


def host_name(host: str) -> str:
    """The name in a Host header, without its port.

    Examples
    --------
    >>> host_name("localhost:8765"), host_name("[::1]:8765")
    ('localhost', '[::1]')
    """
    if host.startswith("["):
        return host.partition("]")[0] + "]"
    return host.partition(":")[0]


@dataclass(frozen=True, kw_only=True)
class Caller:
    """Who sent a request."""

    #: Address it came from.
    peer: str
    #: As it is told in the journal: "this computer", "terminal", or the name given at pairing.
    name: str = ""
    #: Number of its session in the journal; None on this computer and for strangers.
    device: int | None = None
    #: May look.
    may_view: bool = False
    #: May send commands and records.
    may_act: bool = False
    #: On this computer, asked for by a name of this computer.
    here: bool = False
    #: Showed the token of the command line.
    by_token: bool = False


def refused(status: int, found: str, expected: str, next_step: str) -> RefusedError:
    """A refusal, by the number of its status."""
    return RefusedError(HTTPStatus(status), found, expected, next_step)
