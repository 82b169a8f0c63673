"""The terminal's end of the live channel: hears, draws, takes keys; opens again what is cut."""

from __future__ import annotations

import contextlib
import secrets
import select
import sys
import threading
import time
from collections import deque
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

from rimwright.cli.server_link import ServerLink, message
from rimwright.errors import RimwrightError

if TYPE_CHECKING:
    from rich.console import RenderableType

#: Between two tries to open the channel, doubling. [s]
_SOONEST_S, _LATEST_S = 0.25, 3.0
#: One point of the curve. [s]
_POINT_S = 2.0
_POINTS = 200
_SAID_S = 6.0


class Watching:
    """One run, until somebody leaves or it is over."""

    def __init__(self, link: ServerLink, run: int) -> None:
        self._link, self._run = link, run
        self._ending = threading.Event()
        self._view: dict[str, Any] | None = None
        self._seq, self._boot = 0, ""
        self._at_s, self._heard_s = 0.0, time.monotonic()
        self._curve: deque[float | None] = deque(maxlen=_POINTS)
        self._point_s = 0.0
        self._said, self._said_s = "", float("-inf")

    def show(self) -> dict[str, Any] | None:
        """Draw until the run is over or `q`; the last view."""
        from rich.console import Console
        from rich.live import Live

        hearing = threading.Thread(target=self._hear, name="hearing", daemon=True)
        hearing.start()
        console = Console()
        try:
            drawing = Live(console=console, auto_refresh=False, screen=console.is_terminal)
            with drawing, _keys() as keys:
                while not self._ending.is_set():
                    drawing.update(self._drawn(min(console.width, 110) - 1), refresh=True)
                    self._press(keys(0.25))
                    if self._view and self._view["state"] in ("ended", "abandoned"):
                        break
        except KeyboardInterrupt:
            pass
        finally:
            self._ending.set()
        return self._view

    def _drawn(self, columns: int) -> RenderableType:
        from rich.text import Text

        from rimwright.desk.terminal_view import shown

        if self._view is None:
            return Text("Waiting for the server …")
        silent_s = time.monotonic() - self._heard_s
        fresh = time.monotonic() - self._said_s < _SAID_S
        return shown(
            self._view,
            list(self._curve),
            at_s=self._at_s + silent_s * self._view["run"]["speed"],
            silent_s=silent_s,
            columns=columns,
            said=self._said if fresh else "",
        )

    # -- hearing -------------------------------------------------------------------------------

    def _hear(self) -> None:
        from websockets.exceptions import WebSocketException

        wait_s = _SOONEST_S
        while not self._ending.is_set():
            try:
                with self._link.live(self._run, self._seq, self._boot) as socket:
                    while not self._ending.is_set():
                        self._take(message(socket.recv(timeout=3.0)))
                        wait_s = _SOONEST_S
            except (OSError, TimeoutError, WebSocketException):
                self._ending.wait(wait_s)
                wait_s = min(2.0 * wait_s, _LATEST_S)

    def _take(self, told: dict[str, Any]) -> None:
        self._heard_s, self._at_s = time.monotonic(), told["at_s"]
        if told["kind"] == "hello":
            self._boot = told["boot"]
            self._seq = told.get("seq", told["rewind"] or self._seq)
            for at_s, probe, low_c, high_c in told["history"]:
                if probe == 0:
                    self._plot(at_s, 0.5 * (low_c + high_c))
        self._view = told.get("view", self._view)
        lead = (self._view or {}).get("lead") or {"probe": 0}
        for seq, at_s, probe, celsius, _ in told.get("samples", ()):
            self._seq = seq
            if probe == lead["probe"]:
                self._plot(at_s, celsius)

    def _plot(self, at_s: float, celsius: float | None) -> None:
        while at_s - self._point_s >= _POINT_S:
            missed = at_s - self._point_s > _POINTS * _POINT_S
            self._point_s = at_s if missed else self._point_s + _POINT_S
            self._curve.append(celsius if at_s - self._point_s < _POINT_S else None)

    # -- keys ----------------------------------------------------------------------------------

    def _press(self, key: str) -> None:
        view = self._view
        if key in ("q", "Q"):
            self._ending.set()
        if view is None or key not in ("\n", "\r", "h", "a", "o"):
            return
        if key == "a":
            for alarm in view["alarms"]:
                if "unacknowledged" in alarm["state"]:
                    self._send(kind="acknowledge", alarm=alarm["key"])
            if not view["alarms"]:
                self._send(kind="present")
        elif key == "h":
            self._send(kind="resume" if view["held"] else "hold")
        elif key == "o":
            self._send(kind="heat_off")
        else:
            self._send(kind="done", visit=view["visit"])

    def _send(self, **said: object) -> None:
        try:
            done = self._link.post(
                f"/api/runs/{self._run}/commands", {"key": secrets.token_hex(8), **said}
            )
            self._said = done["words"]
        except RimwrightError as error:
            self._said = str(error)
        self._said_s = time.monotonic()


@contextlib.contextmanager
def _keys() -> Iterator[Callable[[float], str]]:
    """Single keys as they are pressed, where a terminal is; else only time passes."""
    if not sys.stdin.isatty():
        yield _no_key
        return
    import termios
    import tty

    number = sys.stdin.fileno()
    before = termios.tcgetattr(number)
    tty.setcbreak(number)

    def key(seconds: float) -> str:
        ready, _, _ = select.select([sys.stdin], [], [], seconds)
        return sys.stdin.read(1) if ready else ""

    try:
        yield key
    finally:
        termios.tcsetattr(number, termios.TCSADRAIN, before)


def _no_key(seconds: float) -> str:
    time.sleep(seconds)
    return ""
