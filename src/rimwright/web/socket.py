"""The live channel: what happens in a run, told to every page that has it open."""

from __future__ import annotations

import asyncio
import threading
from collections import Counter
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager, suppress
from typing import Any

from starlette.websockets import WebSocket, WebSocketState

from rimwright.errors import RimwrightError
from rimwright.web.access import Caller, refused
from rimwright.web.answers import POLICY_VIOLATION, short
from rimwright.web.feed import Feed, as_text
from rimwright.web.line import Line, hear_out, send, take_ends
from rimwright.web.sessions import Sessions
from rimwright.web.shop import Bench

#: At most twelve messages a second to a page, and one at least this often. [s]
BETWEEN_S, HEARTBEAT_S = 1.0 / 12.0, 0.3
#: Open channels: in all, of one device, and of this computer.
MOST, MOST_EACH, MOST_HERE = 150, 8, 100
#: Sessions of open channels are looked up this often, in case they were revoked elsewhere. [s]
LOOK_AGAIN_S = 5.0
GOING_AWAY = 1001


class Hub:
    """All open channels, and the bench that wakes them.

    Parameters
    ----------
    bench : Bench
        Calls from its own thread when a run has news.
    sessions : Sessions
        Those of devices on the local network.
    """

    def __init__(self, bench: Bench, sessions: Sessions) -> None:
        self._bench, self._sessions = bench, sessions
        self._feeds: dict[int, Feed] = {}
        self._lines: set[Line] = set()
        self._loop: asyncio.AbstractEventLoop | None = None
        self._unlisten: Callable[[], None] = lambda: None
        self._looking: asyncio.Task[None] | None = None
        self._news: set[int] = set()
        self._lock = threading.Lock()

    def __len__(self) -> int:
        return len(self._lines)

    async def start(self) -> None:
        """Begin to listen to the bench, on this event loop."""
        self._loop = asyncio.get_running_loop()
        self._unlisten = self._bench.listen(self._heard)
        self._looking = asyncio.create_task(self._look_again())

    async def stop(self) -> None:
        """Say goodbye to every page and listen no longer. May be called twice."""
        self._unlisten()
        self._unlisten = lambda: None
        if self._looking is not None:
            self._looking.cancel()
            with suppress(asyncio.CancelledError):
                await self._looking
            self._looking = None
        leaving = list(self._lines)
        for line in leaving:
            line.let_go(GOING_AWAY, "the server stops")
        with suppress(TimeoutError):
            async with asyncio.timeout(1.0):
                for line in leaving:
                    await line.gone.wait()

    def end(self, device: int, words: str = "this device was revoked") -> None:
        """Close the channels of a device. From any thread."""

        def close() -> None:
            for line in [one for one in self._lines if one.device == device]:
                line.let_go(POLICY_VIOLATION, words)

        self._on_loop(close)

    def move(self, device: int, to: int) -> None:
        """The channels of one session are another's from now on. From any thread."""

        def move() -> None:
            for line in self._lines:
                if line.device == device:
                    line.device = to

        self._on_loop(move)

    async def talk(self, socket: WebSocket, run: int, since: int, boot: str) -> None:
        """Tell a page of a run until it leaves, is let go, or the server stops."""
        await socket.accept()
        caller: Caller = socket.scope["caller"]
        line = Line(socket=socket, caller=caller, device=caller.device)
        try:
            async with self._entered(line, run) as feed:
                telling = asyncio.create_task(self._tell(line, feed, run, since, boot))
                listening = asyncio.create_task(hear_out(line))
                try:
                    ends: set[asyncio.Future[Any]] = {telling, listening, line.over}
                    await asyncio.wait(ends, return_when=asyncio.FIRST_COMPLETED)
                finally:
                    listening.cancel()
                    telling.cancel()
                    done = await asyncio.gather(telling, listening, return_exceptions=True)
            take_ends(line, done)
        except RimwrightError as error:
            line.let_go(POLICY_VIOLATION, short(error))
        code, words = line.over.result()
        if code is not None and socket.application_state is WebSocketState.CONNECTED:
            with suppress(Exception):
                async with asyncio.timeout(1.0):
                    await socket.close(code, words)
        line.gone.set()

    async def _tell(self, line: Line, feed: Feed, run: int, since: int, boot: str) -> None:
        # Asked before the view is: then a change in between is told again, and none is missed.
        version = await asyncio.to_thread(self._bench.view_version, run)
        hello = await asyncio.to_thread(self._bench.hello, run, since, boot)
        await send(line.socket, as_text(hello))
        # History covers what came before; otherwise the page goes on from what it has.
        seq = int(hello.get("seq", since if hello.get("rewind") is None else hello["rewind"]))
        clock = asyncio.get_running_loop().time
        said = clock()
        while True:
            line.news.clear()
            tick = await feed.after(seq, version)
            if tick.news or clock() - said >= HEARTBEAT_S:
                await send(line.socket, tick.text)
                seq, version, said = tick.seq, tick.version, clock()
                if tick.more:
                    continue
                await asyncio.sleep(BETWEEN_S)
            with suppress(TimeoutError):
                async with asyncio.timeout(max(HEARTBEAT_S - (clock() - said), 0.0)):
                    await line.news.wait()

    @asynccontextmanager
    async def _entered(self, line: Line, run: int) -> AsyncIterator[Feed]:
        mine = [one for one in self._lines if one.device == line.device]
        most_each = MOST_HERE if line.caller.here else MOST_EACH
        if len(self._lines) >= MOST or len(mine) >= most_each:
            raise refused(429, "too many pages open", "fewer", "close one of them")
        feed = self._feeds.get(run) or self._feeds.setdefault(run, Feed(self._bench, run))
        self._lines.add(line)
        feed.waiting.add(line.news)
        try:
            yield feed
        finally:
            self._lines.discard(line)
            feed.waiting.discard(line.news)
            if not feed.waiting:
                self._feeds.pop(run, None)

    def _heard(self, run: int) -> None:
        """The bench has news, many times a second: one wake-up at most is on its way."""
        with self._lock:
            first = not self._news
            self._news.add(run)
        if first:
            self._on_loop(self._wake)

    def _wake(self) -> None:
        with self._lock:
            runs, self._news = self._news, set()
        for run in runs:
            feed = self._feeds.get(run)
            if feed is not None:
                feed.news()

    def _on_loop(self, call: Callable[[], None]) -> None:
        if self._loop is not None:
            # Closed already: nobody is left to be told.
            with suppress(RuntimeError):
                self._loop.call_soon_threadsafe(call)

    async def _look_again(self) -> None:
        while True:
            await asyncio.sleep(LOOK_AGAIN_S)
            devices = {line.device for line in self._lines if line.device is not None}
            if not devices:
                continue
            try:
                still = await asyncio.to_thread(self._sessions.still, devices)
            except RimwrightError:
                # The journal cannot be read just now: nobody is turned out for that.
                continue
            for device in devices - still:
                self.end(device)

    def count(self) -> Counter[int | None]:
        """Open channels by device; None is this computer."""
        return Counter(line.device for line in self._lines)
