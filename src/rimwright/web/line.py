"""One open channel: how it is told something, and how it ends."""

from __future__ import annotations

import asyncio
import logging
from dataclasses import dataclass, field

from starlette.websockets import WebSocket, WebSocketDisconnect

from rimwright.errors import RimwrightError
from rimwright.web.access import Caller
from rimwright.web.answers import POLICY_VIOLATION

#: A page that takes longer for one message is let go; it comes back by itself. [s]
SEND_S = 5.0
_FAULT = 1011
_log = logging.getLogger("rimwright.web")


@dataclass(eq=False, kw_only=True)
class Line:
    """One open channel."""

    socket: WebSocket
    caller: Caller
    device: int | None
    #: There is something to tell.
    news: asyncio.Event = field(default_factory=asyncio.Event)
    #: It is to be closed, with this code and words; no code where its page has left.
    over: asyncio.Future[tuple[int | None, str]] = field(
        default_factory=lambda: asyncio.get_running_loop().create_future()
    )
    #: Nothing of it is left to do.
    gone: asyncio.Event = field(default_factory=asyncio.Event)

    def let_go(self, code: int | None, words: str = "") -> None:
        """Have it closed; the first reason holds."""
        if not self.over.done():
            self.over.set_result((code, words))


async def send(socket: WebSocket, text: str) -> None:
    """Send one message, within its time."""
    async with asyncio.timeout(SEND_S):
        await socket.send_text(text)


async def hear_out(line: Line) -> None:
    """Wait for a page to leave. It has nothing to say here: commands go by POST."""
    message = await line.socket.receive()
    if message["type"] == "websocket.disconnect":
        line.let_go(None)
    else:
        line.let_go(POLICY_VIOLATION, "this channel only tells: commands go by POST")


def take_ends(line: Line, done: tuple[BaseException | None, ...]) -> None:
    """Why a channel is over, from how its tasks ended."""
    for error in done:
        if isinstance(error, RimwrightError):
            raise error
        if isinstance(error, (WebSocketDisconnect, TimeoutError, OSError)):
            line.let_go(None)
        elif isinstance(error, Exception):
            _log.error("a fault of ours in the live channel", exc_info=error)
            line.let_go(_FAULT, "a fault of ours")
    line.let_go(None)
