"""Real ends for probes to be tried against: boards and cables on pseudo-terminals."""

from __future__ import annotations

import contextlib
import os
import select
import threading
import time
import tty
from collections.abc import Callable, Iterator
from pathlib import Path

from rimwright.live.readings import Fault, RawReading


class Listener:
    """Keeps what is delivered, and waits for it; hang limits, no claim of speed."""

    def __init__(self) -> None:
        self.readings: list[RawReading] = []
        self.at: list[float] = []
        self._news = threading.Condition()

    def __call__(self, reading: RawReading) -> None:
        assert (reading.celsius is None) == (reading.fault is not None)
        assert reading.heard.isprintable()
        assert len(reading.heard) <= 80
        with self._news:
            self.readings.append(reading)
            self.at.append(time.monotonic())
            self._news.notify_all()

    def wait(
        self, fits: Callable[[RawReading], bool], *, after: int = 0, within_s: float = 10.0
    ) -> RawReading:
        """The first reading that fits, from number `after` on."""
        end = time.monotonic() + within_s
        with self._news:
            while True:
                for reading in self.readings[after:]:
                    if fits(reading):
                        return reading
                left = end - time.monotonic()
                assert left > 0, f"not within {within_s} s: {self.readings[after:][-5:]}"
                self._news.wait(left)

    def wait_for(
        self, what: float | Fault, *, after: int = 0, within_s: float = 10.0
    ) -> RawReading:
        """The first reading of this temperature or this fault."""
        if isinstance(what, Fault):
            return self.wait(lambda r: r.fault is what, after=after, within_s=within_s)
        return self.wait(
            lambda r: r.celsius is not None and abs(r.celsius - what) < 1e-6,
            after=after,
            within_s=within_s,
        )

    def faults(self) -> set[Fault]:
        return {r.fault for r in self.readings if r.fault is not None}

    def numbers(self) -> list[float]:
        return [r.celsius for r in self.readings if r.celsius is not None]


class Board:
    """An amplifier board: a pseudo-terminal behind a link that keeps its name."""

    def __init__(self, link: Path) -> None:
        self.link = link
        self._master = -1
        self.plug()

    def plug(self) -> None:
        self._master, slave = os.openpty()
        tty.setraw(slave)
        name = os.ttyname(slave)
        os.close(slave)
        beside = self.link.with_suffix(".new")
        beside.symlink_to(name)
        beside.replace(self.link)

    def says(self, data: bytes) -> None:
        os.write(self._master, data)

    def unplug(self) -> None:
        with contextlib.suppress(OSError):
            os.close(self._master)
        self._master = -1

    @contextlib.contextmanager
    def saying(self, line: Callable[[], bytes], every_s: float = 0.02) -> Iterator[None]:
        """The board prints on while the block runs."""
        done = threading.Event()

        def run() -> None:
            while not done.wait(every_s):
                with contextlib.suppress(OSError):
                    self.says(line())

        thread = threading.Thread(target=run, daemon=True)
        thread.start()
        try:
            yield
        finally:
            done.set()
            thread.join()


class Cable:
    """Two terminals with a wire between them; the probe's end can be pulled out."""

    def __init__(self, folder: Path) -> None:
        self.near, self.far = Board(folder / "near"), Board(folder / "far")
        self._done = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    def _run(self) -> None:
        while not self._done.is_set():
            ends = [self.near, self.far]
            masters = {end._master: end for end in ends if end._master >= 0}
            try:
                ready = select.select(list(masters), [], [], 0.02)[0]
                for one in ready:
                    data = os.read(one, 4096)
                    other = ends[1 - ends.index(masters[one])]
                    os.write(other._master, data)
            except (OSError, ValueError):
                time.sleep(0.005)  # nobody has opened that end

    def close(self) -> None:
        self._done.set()
        self._thread.join()
        self.near.unplug()
        self.far.unplug()


def handles() -> int:
    """Open files of this process."""
    return sum(1 for _ in Path("/proc/self/fd").iterdir())


def probe_threads() -> list[str]:
    return [thread.name for thread in threading.enumerate() if thread.name.startswith("probe ")]
