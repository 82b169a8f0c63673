"""A source of readings, and what all sources share: passing them on, and a link kept up."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from typing import Protocol

from rimwright.live.clock import Clock
from rimwright.live.probes.words import Heard
from rimwright.live.readings import Fault, RawReading

Deliver = Callable[[RawReading], None]

#: Between two tries to open a link: from and to, doubling. [s]
SOONEST_S, LATEST_S = 0.25, 3.0
#: A lost link is told again this often while it is lost. [s]
TELL_AGAIN_S = 1.0
#: Temperatures come no closer than this, and each kind of fault; some ten a second. [s]
CLOSEST_S = 0.09
#: `stop` waits so long for a thread; one that hangs in the system is left to end by itself. [s]
STOP_WITHIN_S = 0.8
LONGEST_HEARD = 80


class Source(Protocol):
    """Delivers what one probe reads, from a thread of its own, until it is stopped."""

    kind: str

    def start(self, deliver: Deliver, clock: Clock) -> None:
        """Begin; `deliver` is called from other threads and must neither wait nor raise.

        Raises
        ------
        ProbeError
            If it cannot ever: settings that clash, a secret that is not there.
        """
        ...

    def stop(self) -> None:
        """End within a second; nothing is delivered afterwards."""
        ...

    def heat(self, share: float) -> None:
        """Power share of the blanket, 0: off; only the model follows it."""
        ...


class Teller:
    """Passes on what is heard of one probe, thinned to what a run can use.

    Of readings that come closer than `CLOSEST_S` the newest is passed on when the time is up;
    a fault among temperatures, or the other way about, at once.
    """

    def __init__(self, probe: int) -> None:
        self._probe = probe
        self._lock = threading.Lock()
        self._deliver: Deliver | None = None
        self._clock: Clock | None = None
        self._told: dict[Fault | None, float] = {}
        self._waiting: RawReading | None = None

    @property
    def open(self) -> bool:
        """Whether anybody listens."""
        return self._deliver is not None

    def start(self, deliver: Deliver, clock: Clock) -> None:
        """Pass on to this listener from now on."""
        with self._lock:
            self._deliver, self._clock, self._waiting = deliver, clock, None
            self._told.clear()

    def stop(self) -> None:
        """Nothing is passed on once this has returned."""
        with self._lock:
            self._deliver = self._waiting = None

    def tell(self, heard: Heard, *, at_s: float | None = None, thinned: bool = True) -> None:
        """Pass on one reading.

        Parameters
        ----------
        heard : Heard
            Temperature or fault.
        at_s : float, optional
            When it was heard, on the source's clock; left out, now. [s]
        thinned : bool, default True
            False passes on every reading, however close.
        """
        with self._lock:
            if self._clock is None:
                return
            self._waiting = RawReading(
                probe=self._probe,
                celsius=heard.celsius,
                fault=heard.fault,
                heard=printable(heard.text),
                heard_at_s=self._clock.now() if at_s is None else at_s,
            )
            self._pass_on(at_once=not thinned)

    def catch_up(self) -> None:
        """Pass on the newest that came too close, once it no longer does; threads call it often."""
        with self._lock:
            self._pass_on(at_once=False)

    def _pass_on(self, *, at_once: bool) -> None:
        reading, now = self._waiting, time.monotonic()
        if reading is None or self._deliver is None:
            return
        if at_once or now - self._told.get(reading.fault, -CLOSEST_S) >= CLOSEST_S:
            self._told[reading.fault] = now
            self._waiting = None
            self._deliver(reading)


class LinkLostError(Exception):
    """A link that is not there or no longer; its text says what the system said."""


class Keeper:
    """A thread that attends a link and opens it again whenever it is lost.

    Parameters
    ----------
    name : str
        Of the thread.
    attend : callable
        Opens the link, reads it until `stopping` is set, closes it. Raises `LinkLostError`
        where it is lost; returning ends the thread.
    lost : callable
        Is told in words, at once and each second while it is lost.
    """

    def __init__(
        self, name: str, attend: Callable[[Keeper], None], lost: Callable[[str], None]
    ) -> None:
        self.stopping = threading.Event()
        self._attend = attend
        self._lost = lost
        self._tries = 0
        self._thread = threading.Thread(target=self._run, name=name, daemon=True)

    def start(self) -> None:
        """Begin; a keeper is started once."""
        self._thread.start()

    def stop(self, within_s: float = STOP_WITHIN_S) -> None:
        """Ask it to end and wait so long."""
        self.stopping.set()
        if self._thread is not threading.current_thread() and self._thread.ident is not None:
            self._thread.join(within_s)

    def works(self) -> None:
        """The link has proved good: the next loss is met by trying soon."""
        self._tries = 0

    def _run(self) -> None:
        while not self.stopping.is_set():
            try:
                self._attend_once()
            except LinkLostError as error:
                self._wait(str(error))
            else:
                return

    def _attend_once(self) -> None:
        try:
            self._attend(self)
        except LinkLostError:
            raise
        except Exception as error:  # drivers raise kinds that nobody lists
            raise LinkLostError(f"{type(error).__name__}: {error}") from error

    def _wait(self, words: str) -> None:
        """Tell of the loss and wait, longer each time."""
        until = time.monotonic() + min(SOONEST_S * 2.0**self._tries, LATEST_S)
        self._tries = min(self._tries + 1, 16)
        while not self.stopping.is_set() and (left := until - time.monotonic()) > 0:
            self._lost(words)
            self.stopping.wait(min(left, TELL_AGAIN_S))


def printable(text: str) -> str:
    """A text for the record of faults, on one line and short."""
    return "".join(c if c.isprintable() else "·" for c in text[:LONGEST_HEARD])


def lost(words: str) -> Heard:
    """No link to the board."""
    return Heard(None, Fault.UNPLUGGED, words)
