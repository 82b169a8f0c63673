"""Amplifier boards that print lines on a serial port."""

from __future__ import annotations

import time

from rimwright.equipment.probe_kinds import SerialSettings
from rimwright.live.clock import Clock
from rimwright.live.probes import shared
from rimwright.live.probes.board import hear
from rimwright.live.probes.cutter import LineCutter
from rimwright.live.probes.source import Deliver, Keeper, LinkLostError, Teller, lost
from rimwright.live.probes.words import Heard
from rimwright.live.readings import Fault

#: The thread looks up so often while nothing comes; a board that ends no line pauses longer. [s]
LOOK_S = 0.12
#: Bytes without an end, or lines of which none is this probe's, for so long are a fault. [s]
PATIENCE_S = 1.5


class SerialWire(shared.Wire["SerialSource"]):
    """A serial port, read for all its probes."""

    def __init__(self, settings: SerialSettings) -> None:
        super().__init__(settings.port, (settings.baud, settings.ends))
        self._settings = settings

    def attend(self, keeper: Keeper) -> None:
        import serial

        settings, cutter = self._settings, LineCutter()
        pauses = settings.ends == "pause"
        try:
            port = serial.Serial(settings.port, settings.baud, timeout=LOOK_S, exclusive=True)
        except (OSError, ValueError) as error:  # pyserial's own error is an OSError
            raise LinkLostError(str(error)) from error
        try:
            ended_at = time.monotonic()
            while not keeper.stopping.is_set():
                # All that waits at once: after a pause of ours the newest line counts.
                data = port.read(max(1, port.in_waiting))
                lines = cutter.feed(data) if data or not pauses else cutter.pause()
                now = time.monotonic()
                if lines or not cutter.since_end:
                    ended_at = now
                elif now - ended_at > PATIENCE_S:
                    ended_at, lines = now, [None]
                if any(line is not None for line in lines):
                    keeper.works()
                for ear in self.ears:
                    ear.hears(lines)
        except (OSError, TypeError, ValueError) as error:
            # pyserial trips over its own closed port with a TypeError.
            raise LinkLostError(str(error)) from error
        finally:
            port.close()


class SerialSource:
    """One probe of a board on a serial port."""

    kind = "serial"

    def __init__(self, settings: SerialSettings, probe: int) -> None:
        self.settings = settings
        self._teller = Teller(probe)
        self._mine_at = 0.0

    def start(self, deliver: Deliver, clock: Clock) -> None:
        self._mine_at = time.monotonic()
        self._teller.start(deliver, clock)
        shared.listen(self.settings.port, lambda: SerialWire(self.settings), self)

    def stop(self) -> None:
        self._teller.stop()
        shared.leave(self.settings.port, self)

    def heat(self, share: float) -> None:
        """A real probe follows the real blanket."""

    def lost(self, words: str) -> None:
        """No port, or no longer."""
        self._teller.tell(lost(words))

    def hears(self, lines: list[str | None]) -> None:
        """Lines that came at once, or none: the newest that is this probe's counts."""
        newest: Heard | None = None
        for line in lines:
            if line is None:
                newest = Heard(None, Fault.GARBLED, "no end of line")
            else:
                newest = hear(line, self.settings) or newest
        now = time.monotonic()
        if lines and newest is None and now - self._mine_at > PATIENCE_S:
            newest = Heard(None, Fault.GARBLED, lines[-1] or "")
        if newest is not None:
            self._mine_at = now
            self._teller.tell(newest)
        self._teller.catch_up()
