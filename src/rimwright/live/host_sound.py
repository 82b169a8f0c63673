"""The shop computer sounds too: a page may be closed, a tablet asleep."""

from __future__ import annotations

import contextlib
import io
import math
import queue
import shutil
import struct
import subprocess
import sys
import threading
import wave
from typing import Literal, Protocol

#: Programs that play a sound file, each with what it needs before the name.
_PLAYERS = (
    ("pw-play", ()),
    ("paplay", ()),
    ("aplay", ("-q",)),
    ("afplay", ()),
)
_RATE = 22_050
#: Alarm: three quick high tones, falling. Cue: two soft ones, rising. Frequency and length.
_ALARM = ((1480.0, 0.14), (0.0, 0.05), (1175.0, 0.14), (0.0, 0.05), (880.0, 0.22))
_CUE = ((523.0, 0.18), (0.0, 0.06), (784.0, 0.30))
#: From one alarm call to the next while it goes on. [s]
ALARM_EVERY_S = 1.5
#: A player that hangs is given up. [s]
_PLAYING_S = 4.0

Hearing = Literal["armed", "silent", "off"]


class HostSound(Protocol):
    """What can call somebody to the bender."""

    @property
    def hearing(self) -> Hearing: ...

    def call(self, what: Literal["alarm", "cue"]) -> None: ...

    def stop(self) -> None: ...


def tone(parts: tuple[tuple[float, float], ...], loudness: float) -> bytes:
    """A sound file of plain tones, each a frequency (0: a pause) and its length.

    Examples
    --------
    >>> tone(((440.0, 0.1),), 0.5)[:4]
    b'RIFF'
    """
    samples: list[int] = []
    for frequency, seconds in parts:
        count = int(_RATE * seconds)
        for i in range(count):
            # Five milliseconds in and out, or each tone clicks.
            edge = min(1.0, i / (0.005 * _RATE), (count - i) / (0.005 * _RATE))
            wobble = math.sin(2.0 * math.pi * frequency * i / _RATE) if frequency else 0.0
            samples.append(int(32_000 * loudness * edge * wobble))
    with io.BytesIO() as file:
        with wave.open(file, "wb") as sound:
            sound.setnchannels(1)
            sound.setsampwidth(2)
            sound.setframerate(_RATE)
            sound.writeframes(struct.pack(f"<{len(samples)}h", *samples))
        return file.getvalue()


class NoSound:
    """For tests, and where the maker wants the computer quiet."""

    hearing: Hearing = "off"

    def call(self, what: Literal["alarm", "cue"]) -> None:
        pass

    def stop(self) -> None:
        pass


class Speaker:
    """Plays through the system's own player, or rings the terminal's bell where there is none.

    A thread of its own plays, so that a player that hangs delays nobody. A call that comes while
    one is being played is kept only if it is an alarm.
    """

    def __init__(self) -> None:
        self._player = self._found()
        self._bell = sys.stderr.isatty()
        self._failed = False
        self._waiting: queue.Queue[str] = queue.Queue(maxsize=2)
        self._sounds = {"alarm": tone(_ALARM, 0.9), "cue": tone(_CUE, 0.5)}
        self._thread = threading.Thread(target=self._play_all, name="host-sound", daemon=True)
        self._thread.start()

    @staticmethod
    def _found() -> list[str] | None:
        for name, before in _PLAYERS:
            where = shutil.which(name)
            if where is not None:
                return [where, *before]
        return None

    @property
    def hearing(self) -> Hearing:
        """ "armed" while a player is there and the last call went through it; else "silent"."""
        return "armed" if self._player is not None and not self._failed else "silent"

    def call(self, what: Literal["alarm", "cue"]) -> None:
        """Sound once; never waits."""
        with contextlib.suppress(queue.Full):
            self._waiting.put_nowait(what)

    def stop(self) -> None:
        """Say nothing more."""
        with contextlib.suppress(queue.Full):
            self._waiting.put_nowait("")
        self._thread.join(timeout=_PLAYING_S + 1.0)

    def _play_all(self) -> None:
        while what := self._waiting.get():
            self._play(what)

    def _play(self, what: str) -> None:
        import tempfile

        if self._player is not None:
            try:
                with tempfile.NamedTemporaryFile(suffix=".wav") as file:
                    file.write(self._sounds[what])
                    file.flush()
                    done = subprocess.run(
                        [*self._player, file.name],
                        stdin=subprocess.DEVNULL,
                        capture_output=True,
                        timeout=_PLAYING_S,
                        check=False,
                    )
                self._failed = done.returncode != 0
            except (OSError, subprocess.TimeoutExpired):
                self._failed = True
        if self.hearing == "silent" and self._bell:
            sys.stderr.write("\a")
            sys.stderr.flush()
