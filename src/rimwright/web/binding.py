"""Where the pages listen: sockets bound to chosen addresses, and refused in one line."""

from __future__ import annotations

import contextlib
import errno
import socket
from collections.abc import Iterator

from rimwright.errors import RimwrightError
from rimwright.web.access import bracketed

_NOT_OURS = (
    "an address that is not this computer's", "one of its own",
    "look it up in the system's network settings",
)  # fmt: skip


def lan_address() -> str:
    """The address under which the local network reaches this computer.

    Raises
    ------
    RimwrightError
        If there is no network.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            # Nothing is sent: the system only chooses the way there (RFC 5737: a test address).
            probe.connect(("192.0.2.1", 9))
            address = str(probe.getsockname()[0])
        except OSError as error:
            raise _no_network() from error
    if address.startswith("127.") or address == "0.0.0.0":
        raise _no_network()
    return address


def _no_network() -> RimwrightError:
    return RimwrightError(
        "no local network", "an address on one", "join the shop's network, or name the address"
    )


@contextlib.contextmanager
def bound_to(host: str, port: int) -> Iterator[socket.socket]:
    """A listening socket, closed at the end.

    Parameters
    ----------
    host : str
        One of this computer's addresses.
    port : int
        0 for one that is free.

    Raises
    ------
    RimwrightError
        If it cannot be opened; the line says why.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    # Named as TCP, so that asyncio sends at once: else each small answer waits 40 ms for the other
    # end's acknowledgement.
    with socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP) as bound:
        bound.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        if family == socket.AF_INET6:
            bound.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_V6ONLY, 1)
        try:
            bound.bind((host, port))
            bound.listen(128)
        except (OSError, OverflowError) as error:
            raise _not_bound(host, port, error) from error
        yield bound


def _not_bound(host: str, port: int, error: Exception) -> RimwrightError:
    number = error.errno if isinstance(error, OSError) else None
    found, expected, next_step = {
        errno.EADDRINUSE: (
            f"port {port} in use",
            "a free port",
            "end what uses it, or say --port 0 for any",
        ),
        errno.EACCES: (
            f"port {port} kept for the system",
            "a port from 1024 up",
            "choose another",
        ),
        errno.EADDRNOTAVAIL: _NOT_OURS,
        socket.EAI_NONAME: _NOT_OURS,
    }.get(number or 0, (str(error), "an address and port that can be opened", "choose another"))
    return RimwrightError(found, expected, next_step, where=f"{bracketed(host)}:{port}")
