"""The forecast of a run: when the probe is where, what holds it, and whether it rises as it should.

The heat's own model is fitted to the readings as they come (`live.forecast_fit`) and run on from
now (`live.forecast_ahead`). Nothing here is an alarm, and nothing here switches anything.

What it cannot know. It forecasts the *probe*, not the wood: the probe trails by its lag, some
seconds and a few degrees while it climbs, and the wood's middle is behind the probe by what the
heat run of the plan says. Heat is taken to go through the stack and not along it; one spot stands
for all. A door that opens, a second spray, a clamp that is shut half-way are not in the model: the
readings then leave the forecast, and it says so. Behind a dial, power is what was marked within a
third; behind a thermostat or controller it is not known once the target is near, and the fit ends
there.
"""

from __future__ import annotations

import threading
from dataclasses import dataclass

from rimwright.bending.heat_fit import HeatFit
from rimwright.bending.heat_parameters import DEFAULT_HEAT, HeatParameters
from rimwright.live import forecast_words as words
from rimwright.live.forecast_follow import LEAST_POINTS, SETTLE_S, Following, Seen
from rimwright.live.forecast_model import Schedule
from rimwright.live.forecast_readings import Gathered
from rimwright.live.heat_of_run import heat_inputs
from rimwright.live.run_plan import Ranged, RunPlan


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """What is to come, as far as the readings tell. Times count from `at_s`."""

    #: Since the heat was turned on. [s]
    at_s: float
    #: None: the probe has been there, or is not on its way there.
    to_early_s: Ranged | None = None
    to_target_s: Ranged | None = None
    #: Share of full power that holds the target.
    hold_fraction: Ranged | None = None
    #: Once turned down: where the probe is in three minutes at this power. [degC]
    settles_c: Ranged | None = None
    #: 0: as before the run. 1: the readings have told everything.
    settled: float = 0.0
    #: Water is leaving and the probe waits for it.
    stall: bool = False
    slow: bool = False
    fast: bool = False
    words: tuple[str, ...] = ()
    #: Of this blanket, for `live.learnt`; None before there are readings.
    fit: HeatFit | None = None


class Forecaster:
    """Follows one heat. Feed it from any thread; ask it from one thread at a time.

    Parameters
    ----------
    run_plan : RunPlan
    parameters : HeatParameters
        What was known of the blanket before: the same as the prediction was made with.

    Raises
    ------
    RunError
        If the run's heat cannot be read.
    """

    def __init__(self, run_plan: RunPlan, parameters: HeatParameters = DEFAULT_HEAT) -> None:
        self._plan = run_plan
        self._inputs = heat_inputs(run_plan, parameters)
        self._readings = Gathered()
        self._lock = threading.Lock()
        self._schedule: Schedule = ()
        self._followed: Following | None = None

    def add(self, at_s: float, celsius: float) -> None:
        """One valid reading of the leading probe, since the heat came on (before it: below 0)."""
        self._readings.add(at_s, celsius)

    def power(self, at_s: float, share: float) -> None:
        """From then on the blanket has this share of its full power; 0 is off."""
        share = min(max(share, 0.0), 1.0)
        with self._lock:
            kept = tuple(one for one in self._schedule if one[0] < at_s)
            if not kept or kept[-1][1] != share:
                kept = (*kept, (at_s if kept else 0.0, share))
            self._schedule = kept

    def powers(self, schedule: Schedule) -> None:
        """The power from the heat on, as a run keeps it: since when which share; replaces all."""
        with self._lock:
            self._schedule = ()
        for at_s, share in schedule:
            self.power(at_s, share)

    def forecast(self, at_s: float) -> Forecast:
        """The forecast at a moment since the heat came on; takes some hundredths of a second.

        Raises
        ------
        DesignError
            If the run's heat cannot be.
        """
        with self._lock:
            schedule = self._schedule
        if not schedule or at_s <= 0.0:
            return self._as_planned(0.0)
        if self._followed is None:
            dial = self._plan.control == "dial"
            self._followed = Following(self._inputs, self._readings.start_c, dial=dial)
        followed = self._followed
        if schedule[-1][1] == 0.0:
            followed.cooled(schedule, self._readings)
            return Forecast(at_s=at_s, settled=followed.settled, fit=self.fit())
        if self._readings.points()[0].size < LEAST_POINTS:
            if not followed.warm and schedule == ((0.0, 1.0),):
                return self._as_planned(at_s, (words.EARLY_DAYS,))
            before = followed.foreseen(schedule)
            return Forecast(
                at_s=at_s,
                to_early_s=_left(before.to_early_s, at_s),
                to_target_s=_left(before.to_target_s, at_s),
                hold_fraction=self._plan.predicted.hold_fraction,
                words=(words.EARLY_DAYS,),
            )
        seen = followed.look(at_s, schedule, self._readings)
        return Forecast(
            at_s=at_s,
            to_early_s=_left(seen.to_early_s, at_s),
            to_target_s=_left(seen.to_target_s, at_s),
            hold_fraction=seen.hold_fraction,
            settles_c=seen.settles_c,
            settled=seen.settled,
            stall=seen.rise.pause.on,
            slow=seen.rise.slow.on,
            fast=seen.rise.fast.on,
            words=self._words(seen),
            fit=self.fit(),
        )

    def fit(self) -> HeatFit | None:
        """What the readings told of this blanket so far; None before there are enough."""
        if self._followed is None or self._followed.told is None:
            return None
        return self._followed.told.fit(self._followed.model)

    def _as_planned(self, at_s: float, said: tuple[str, ...] = ()) -> Forecast:
        told = self._plan.predicted
        return Forecast(
            at_s=at_s,
            to_early_s=_left(told.to_early_alarm_s, at_s),
            to_target_s=_left(told.to_target_s, at_s),
            hold_fraction=told.hold_fraction,
            words=said,
        )

    def _words(self, seen: Seen) -> tuple[str, ...]:
        """What to say of it, nothing said twice."""
        if seen.settles_c is not None:
            target_c, show = self._inputs.target_c, self._plan.show
            return (words.settling(seen.settles_c, target_c, seen.turn, show, SETTLE_S),)
        said = []
        if seen.rise.pause.on:
            said.append(words.PAUSE)
        if seen.rise.slow.on:
            said.append(words.SLOW)
        if seen.rise.fast.on:
            said.append(words.FAST)
        if seen.climbing and seen.to_target_s is None:
            said.append(words.NEVER)
        if seen.climbing and not said:
            said.append(words.AS_EXPECTED if seen.follows else words.ASTRAY)
        return tuple(said)


def _left(told: Ranged | None, at_s: float) -> Ranged | None:
    """Counted from that moment instead of from the heat on; never below nothing. [s]"""
    if told is None:
        return None
    return Ranged(
        middle=max(told.middle - at_s, 0.0),
        low=max(told.low - at_s, 0.0),
        high=max(told.high - at_s, 0.0),
    )
