"""The forecast beside a run: fed as readings come, asked elsewhere, so that nothing waits."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING

from rimwright.bending.heat_parameters import DEFAULT_HEAT, HeatParameters
from rimwright.errors import RimwrightError
from rimwright.live.readings import Sample
from rimwright.live.run_heat import MarkedHeat
from rimwright.live.run_plan import RunPlan

if TYPE_CHECKING:
    from rimwright.bending.heat_fit import HeatFit
    from rimwright.live.forecast import Forecast, Forecaster

#: A new forecast this often, in the run's time. [s]
EVERY_S = 3.0
#: After the heat is off the cooling still tells of the losses, for so long. [s]
COOLING_S = 300.0


class Foresight:
    """One run's forecasts, over as many heats as it has.

    Parameters
    ----------
    plan : RunPlan
    known : HeatParameters
        Of this blanket before the run.
    """

    def __init__(self, plan: RunPlan, known: HeatParameters = DEFAULT_HEAT) -> None:
        self.plan, self.known = plan, known
        self._lock = threading.Lock()
        self._heat = MarkedHeat()
        self._told = 0
        self._forecaster: Forecaster | None = None
        self._before_c: float | None = None
        self._asked_s = float("-inf")
        self._busy = False
        #: The newest forecast, its times counted from `latest_at_s` in the run's time.
        self.latest: Forecast | None = None
        #: Whether the last climb was slower or faster than it should.
        self.slow = self.fast = False
        self.latest_at_s = 0.0

    def follow(self, heat: MarkedHeat) -> None:
        """The heat as it is marked now."""
        if heat.begun_s is None:
            return
        if self._forecaster is None or heat.begun_s != self._heat.begun_s:
            # Imports of half a second stay out of a run that is not heated yet.
            from rimwright.live.forecast import Forecaster

            self._forecaster = Forecaster(self.plan, self.known)
            self._told, self.latest, self._asked_s = 0, None, float("-inf")
            if self._before_c is not None:
                self._forecaster.add(-1.0, self._before_c)
        self._heat = heat
        for since_s, share in heat.schedule[self._told :]:
            self._forecaster.power(since_s, share)
        self._told = len(heat.schedule)

    def take(self, at_s: float, celsius: float) -> None:
        """The leading probe's reading."""
        since_s = self._heat.at(at_s)
        if self._forecaster is not None and since_s is not None:
            self._forecaster.add(since_s, celsius)
        else:
            self._before_c = celsius

    def resume(self, heat: MarkedHeat, samples: Iterable[Sample]) -> None:
        """Take up a heat that was on before a restart, with its readings."""
        self.follow(heat)
        for sample in samples:
            if sample.celsius is not None:
                self.take(sample.at_s, sample.celsius)

    def look(self, at_s: float, later: Callable[[Callable[[], None]], object]) -> None:
        """Ask for a new forecast if it is time; it is worked out elsewhere."""
        since_s, forecaster, heat = self._heat.at(at_s), self._forecaster, self._heat
        if forecaster is None or since_s is None:
            return
        if not heat.on and (heat.since_s is None or at_s - heat.since_s > COOLING_S):
            self.latest = None
            return
        with self._lock:
            if self._busy or at_s - self._asked_s < EVERY_S:
                return
            self._busy, self._asked_s = True, at_s

        def ask() -> None:
            try:
                told = forecaster.forecast(since_s)
            except RimwrightError:
                told = None  # a heat that the model cannot follow: no forecast, no noise
            with self._lock:
                self._busy = False
                if forecaster is self._forecaster:
                    self.latest, self.latest_at_s = told, at_s
                    if told is not None and told.to_target_s is not None:
                        self.slow, self.fast = told.slow, told.fast

        later(ask)

    def all_told(self, at_s: float) -> bool:
        """Whether the heat has been off for so long that it tells no more of the blanket."""
        heat = self._heat
        cooled = heat.since_s is not None and at_s - heat.since_s > COOLING_S
        return self._forecaster is not None and not heat.on and cooled

    def fit(self) -> HeatFit | None:
        """What the readings told of this blanket; ask it where forecasts are worked out."""
        return None if self._forecaster is None else self._forecaster.fit()
