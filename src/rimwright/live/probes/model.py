"""The probe of a stack that is not there: a simulation, and it says so wherever it is named."""

from __future__ import annotations

import math

from rimwright.live.clock import Clock
from rimwright.live.probes.model_heat import ModelHeat
from rimwright.live.probes.source import Deliver, Keeper, Teller
from rimwright.live.readings import RawReading

#: Readings a second of the clock handed in.
RATE_HZ = 10
#: The clock is looked at so often by the computer's own. [s]
LOOK_S = 0.02
#: A clock that has run on by more than this while nobody looked, slept: that is a gap. [readings]
_MOST_AT_ONCE = 2000


class ModelSource:
    """Ten readings a second from the model; it follows the heat, and cools without it.

    Parameters
    ----------
    model : ModelHeat
        The stack; it counts from zero when the source was begun.
    probe : int
        Number of the probe within the run.
    begun_ago_s : float, default 0.0
        How long ago the source was begun, for a run that goes on after a restart; `power` of the
        model then tells it what heat it had. [s]
    """

    kind = "model"

    def __init__(self, model: ModelHeat, probe: int = 0, *, begun_ago_s: float = 0.0) -> None:
        self.model = model
        self._probe = probe
        self._ago_s = begun_ago_s
        self._teller = Teller(probe)
        self._keeper: Keeper | None = None
        self._clock: Clock | None = None
        self._begun_s = 0.0

    def start(self, deliver: Deliver, clock: Clock) -> None:
        self._clock, self._begun_s = clock, clock.now() - self._ago_s
        self._teller.start(deliver, clock)
        self._keeper = Keeper("probe model", self._read, lambda _words: None)
        self._keeper.start()

    def stop(self) -> None:
        self._teller.stop()
        if self._keeper is not None:
            self._keeper.stop()

    def heat(self, share: float) -> None:
        """The blanket has this share of its full power from now on; 0: unplugged."""
        if self._clock is not None:
            self.model.power(self._clock.now() - self._begun_s, share)

    def reading(self, at_s: float) -> RawReading:
        """What it reads at a moment since it was begun, without a thread: for a clock by hand."""
        heard = self.model.heard(at_s)
        return RawReading(
            probe=self._probe,
            celsius=heard.celsius,
            fault=heard.fault,
            heard=heard.text,
            heard_at_s=self._begun_s + at_s,
        )

    def _read(self, keeper: Keeper) -> None:
        clock = self._clock
        if clock is None:
            return
        last = math.floor(RATE_HZ * (clock.now() - self._begun_s)) - 1
        while not keeper.stopping.is_set():
            now = math.floor(RATE_HZ * (clock.now() - self._begun_s))
            if now - last > _MOST_AT_ONCE:
                last = now - 1
            for tenth in range(last + 1, now + 1):
                at_s = tenth / RATE_HZ
                self._teller.tell(self.model.heard(at_s), at_s=self._begun_s + at_s, thinned=False)
            last = max(last, now)
            keeper.stopping.wait(LOOK_S)
