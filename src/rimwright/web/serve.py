"""The server: bound where it is meant to be, and gone within two seconds of being told."""

from __future__ import annotations

import contextlib
import signal
import socket
import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import uvicorn

from rimwright.errors import RimwrightError
from rimwright.web.access import LOOPBACK_PEERS, Access
from rimwright.web.app import create_app
from rimwright.web.binding import bound_to
from rimwright.web.connections import Limits, protocols
from rimwright.web.pairing import pairing_link, spoken
from rimwright.web.server_file import ServerFile, server_file
from rimwright.web.shop import Bench, Shop

if TYPE_CHECKING:
    from rimwright.equipment.probes import ProbeSettings
    from rimwright.journal.engine import Journal

#: Where the pages are unless another port is asked for; of no known service.
PORT = 8719
_HEAD_BYTES = 16 * 1024
#: The live channel only tells: what a page sends there is refused, so it need not be long.
_SOCKET_BYTES = 4096
#: A page that does not answer for this long is gone. [s]
_PING_S = 5.0


@dataclass(frozen=True, kw_only=True)
class Served:
    """Pages that are open."""

    access: Access
    shop: Shop
    stop: Callable[[], None]

    @property
    def address(self) -> str:
        """First page, on this computer."""
        return self.access.address

    def pairing(self) -> tuple[str, str]:
        """A new code for one device, as it is read aloud, and the link that brings it along."""
        code = self.shop.pairing.fresh()
        return spoken(code), pairing_link(self.access, code)


def serve(
    bench: Bench, journal: Journal, *, host: str = "127.0.0.1", port: int = PORT, lan: str = "",
    names: tuple[str, ...] = (), probes: tuple[ProbeSettings, ...] = (),
    folder: Path | None = None, ready: Callable[[Served], None] = lambda served: None,
) -> None:  # fmt: skip
    """Serve the pages until told to stop: Ctrl-C, a signal to end, or `Served.stop`.

    Parameters
    ----------
    bench : Bench
        Started already; whoever started it stops it.
    journal : Journal
        Open.
    host : str, default "127.0.0.1"
        Address on this computer; no other is taken here.
    port : int
        0 for one that is free.
    lan : str, default ""
        Address on the local network on which it is open too; see `binding.lan_address`.
    names : tuple of str
        Further names of this computer on that network.
    probes : tuple of ProbeSettings
        Those of the shop, which a page may choose by name.
    folder : Path, optional
        Where `server.json` goes; beside the journal if left out.
    ready : callable
        Called once it answers.

    Raises
    ------
    RimwrightError
        If the port is taken, the address is not this computer's, or another server has this
        journal.
    """
    if host not in LOOPBACK_PEERS:
        raise RimwrightError(
            f"the address {host!r}", "127.0.0.1, which only this computer reaches",
            "leave it out, and say --lan for tablets and phones",
        )  # fmt: skip
    with contextlib.ExitStack() as stack:
        file = stack.enter_context(server_file(journal, folder))
        bound = [stack.enter_context(bound_to(host, port))]
        port = bound[0].getsockname()[1]
        if lan:
            bound.append(stack.enter_context(bound_to(lan, port)))
        access = Access(port=port, lan=lan, names=names, probes=probes)
        app = create_app(bench, journal, access)
        server = _Server(_config(app))
        shop: Shop = app.state.shop
        server.told = lambda: _tell(file, Served(access=access, shop=shop, stop=server.end), ready)
        server.farewell = shop.hub.stop
        server.run(sockets=bound)


def _config(app: Any) -> uvicorn.Config:
    http, web_socket = protocols(Limits())
    return uvicorn.Config(
        app, http=http, ws=web_socket, loop="asyncio", lifespan="on", interface="asgi3",
        log_config=None, log_level="critical", access_log=False, proxy_headers=False,
        server_header=False, h11_max_incomplete_event_size=_HEAD_BYTES, ws_max_size=_SOCKET_BYTES,
        ws_ping_interval=_PING_S, ws_ping_timeout=_PING_S, ws_per_message_deflate=False,
        timeout_keep_alive=5, timeout_graceful_shutdown=1,
    )  # fmt: skip


def _tell(file: ServerFile, served: Served, ready: Callable[[Served], None]) -> None:
    file.write(served.access)
    ready(served)


class _Server(uvicorn.Server):
    """A server that says goodbye to its pages, and ends as quietly as it was told to."""

    told: Callable[[], None]
    farewell: Callable[[], Any]

    def end(self) -> None:
        """Stop soon. From any thread."""
        self.should_exit = True

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets=sockets)
        try:
            self.told()
        except BaseException:
            await self.shutdown(sockets=sockets)
            raise

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        # No new pages while the old ones are told.
        for server in self.servers:
            server.close()
        await self.farewell()
        await super().shutdown(sockets=sockets)

    @contextlib.contextmanager
    def capture_signals(self) -> Iterator[None]:
        """Take Ctrl-C and the signals to end as a wish to stop, and nothing more.

        The library raises them anew afterwards, which would end the process before whoever
        called has stopped the bench and closed the journal.
        """
        if threading.current_thread() is not threading.main_thread():
            yield
            return
        signals = [signal.SIGINT, signal.SIGTERM]
        if hasattr(signal, "SIGHUP"):
            signals.append(signal.SIGHUP)
        before = {one: signal.signal(one, self.handle_exit) for one in signals}
        try:
            yield
        finally:
            for one, handler in before.items():
                signal.signal(one, handler)
