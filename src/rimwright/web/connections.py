"""Connections within limits: how many, and how long sending and reading may take."""

from __future__ import annotations

import asyncio
from collections import Counter
from dataclasses import dataclass, field
from typing import Any

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol
from uvicorn.protocols.utils import get_remote_addr
from uvicorn.protocols.websockets.websockets_sansio_impl import WebSocketsSansIOProtocol

from rimwright.web.access import LOOPBACK_PEERS


@dataclass(kw_only=True)
class Limits:
    """How many connections there are, and how many there may be."""

    #: In all, from one device, and from this computer, where every page has the same address.
    most: int = 400
    most_each: int = 24
    most_here: int = 200
    #: For the head of a request to be whole. [s]
    head_s: float = 10.0
    #: For a client to read on, where it has stopped. [s]
    stall_s: float = 5.0
    #: For a WebSocket's other end to agree to close. [s]
    farewell_s: float = 2.0
    open: Counter[str] = field(default_factory=Counter)

    def enter(self, peer: str) -> bool:
        """Count a connection in; False where it is one too many. `leave` is due either way."""
        self.open[peer] += 1
        each = self.most_here if peer in LOOPBACK_PEERS else self.most_each
        return self.open[peer] <= each and self.open.total() <= self.most

    def leave(self, peer: str) -> None:
        """Count a connection out."""
        self.open[peer] -= 1
        if self.open[peer] <= 0:
            del self.open[peer]


class _Watched:
    """What both kinds of connection share: their peer, and a limit for one that does not read."""

    limits: Limits
    transport: asyncio.Transport
    loop: asyncio.AbstractEventLoop
    _stall: asyncio.TimerHandle | None = None

    @property
    def _peer(self) -> str:
        return str((get_remote_addr(self.transport) or ("",))[0])

    def _watch_stall(self) -> None:
        # What was written waits in memory; closing would wait for it, aborting does not.
        if self._stall is None:
            self._stall = self.loop.call_later(self.limits.stall_s, self.transport.abort)

    def _reads_on(self) -> None:
        if self._stall is not None:
            self._stall.cancel()
            self._stall = None


def protocols(limits: Limits) -> tuple[type[asyncio.Protocol], type[asyncio.Protocol]]:
    """The protocols of one server, for HTTP and for WebSocket, that keep to the same limits."""

    class Http(_Watched, H11Protocol):
        _head: asyncio.TimerHandle | None = None
        _counted = ""

        def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
            super().connection_made(transport)
            self.limits = limits
            self._counted = self._peer
            if not limits.enter(self._counted):
                transport.abort()
            self._watch_head()

        def connection_lost(self, exc: Exception | None) -> None:
            self._reads_on()
            self._head_there()
            limits.leave(self._counted)
            super().connection_lost(exc)

        def data_received(self, data: bytes) -> None:
            super().data_received(data)
            # h11 calls a client idle until it has sent a whole head.
            if self.conn.their_state is h11.IDLE and self.conn.trailing_data[0]:
                self._watch_head()
            else:
                self._head_there()

        def handle_websocket_upgrade(self, event: Any) -> None:
            self._head_there()
            super().handle_websocket_upgrade(event)

        def pause_writing(self) -> None:
            super().pause_writing()
            self._watch_stall()

        def resume_writing(self) -> None:
            super().resume_writing()
            self._reads_on()

        def _watch_head(self) -> None:
            if self._head is None:
                self._head = self.loop.call_later(limits.head_s, self.transport.abort)

        def _head_there(self) -> None:
            if self._head is not None:
                self._head.cancel()
                self._head = None

    class Socket(_Watched, WebSocketsSansIOProtocol):
        _counted = ""

        def connection_made(self, transport: asyncio.BaseTransport) -> None:
            super().connection_made(transport)
            # Counted already: a WebSocket is a connection of HTTP that went on.
            self.limits, self.close_timeout = limits, limits.farewell_s
            self._counted = self._peer

        def connection_lost(self, exc: Exception | None) -> None:
            self._reads_on()
            limits.leave(self._counted)
            super().connection_lost(exc)

        def pause_writing(self) -> None:
            super().pause_writing()
            self._watch_stall()

        def resume_writing(self) -> None:
            super().resume_writing()
            self._reads_on()

    return Http, Socket
