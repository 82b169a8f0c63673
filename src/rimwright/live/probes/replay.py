"""A recorded run once more, at any speed; its gaps stay gaps and its faults are faults again."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rimwright.live.clock import Clock
from rimwright.live.probes.recording import Recorded
from rimwright.live.probes.source import Deliver, Keeper, Teller
from rimwright.live.probes.words import Heard

#: The clock is looked at so often. [s]
LOOK_S = 0.02


class ReplaySource:
    """One probe of a recording: its first sample comes at once, the rest as they came.

    Parameters
    ----------
    recording : sequence of Recorded
        In the order of time.
    probe : int
        Number within the run that listens.
    speed : float, default 1.0
        Recorded seconds in a second of the clock that `start` is handed: a clock that runs
        twenty times as fast replays twenty times as fast without it.
    begun_ago_s : float, default 0.0
        How long ago it was begun, for a run that goes on after a restart. [s]
    """

    kind = "replay"

    def __init__(
        self,
        recording: Sequence[Recorded],
        probe: int,
        speed: float = 1.0,
        begun_ago_s: float = 0.0,
    ) -> None:
        self._recording = recording
        self._speed = speed
        self._ago_s = begun_ago_s
        self._teller = Teller(probe)
        self._keeper: Keeper | None = None

    def start(self, deliver: Deliver, clock: Clock) -> None:
        self._teller.start(deliver, clock)
        begun_s, rest = clock.now() - self._ago_s, iter(self._recording)
        self._keeper = Keeper(
            "probe replay",
            lambda keeper: self._play(keeper, clock, begun_s, rest),
            lambda _words: None,
        )
        self._keeper.start()

    def stop(self) -> None:
        self._teller.stop()
        if self._keeper is not None:
            self._keeper.stop()

    def heat(self, share: float) -> None:
        """What was recorded follows the heat of then."""

    def _play(self, keeper: Keeper, clock: Clock, begun_s: float, rest: Iterator[Recorded]) -> None:
        first_s = self._recording[0].at_s
        for one in rest:
            since_s = (one.at_s - first_s) / self._speed
            if since_s < self._ago_s:
                continue
            due_s = begun_s + since_s
            while clock.now() < due_s:
                if keeper.stopping.wait(LOOK_S):
                    return
            if keeper.stopping.is_set():
                return
            heard = Heard(one.celsius, one.fault, "as recorded" if one.fault else "")
            self._teller.tell(heard, at_s=due_s, thinned=False)
