"""One heat followed: the fit taken on step by step, the curve ahead, and what is read off it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from rimwright.bending.heat_inputs import HeatInputs
from rimwright.bending.heat_solve import GIVE_UP_S
from rimwright.curves.piece import FloatArray
from rimwright.live.forecast_ahead import Ahead, Expected, ahead, expected
from rimwright.live.forecast_fit import MISS_K, Told, told_by
from rimwright.live.forecast_model import RunHeat, Schedule
from rimwright.live.forecast_readings import FIT_UNTIL_S, Gathered
from rimwright.live.forecast_rise import USUAL_PAUSE_S, Rise
from rimwright.live.run_plan import Ranged

#: Fewer gathered readings tell nothing yet.
LEAST_POINTS = 4
#: How far ahead the probe is looked for once the power is turned down. [s]
SETTLE_S = 180.0
#: A stack this far from the room's warmth is not the one of the prediction. [K]
_WARM_K = 3.0
#: Behind a controller the power is unknown from this near the target on. [K]
_NEAR_K = 5.0
#: A pause that the model cannot follow for so long ends the fit. [s]
_LOST_S = 10.0
#: What nobody reads off a dial. [share of full power]
_HOLD_MISS = 0.005
#: A fit that has moved by less takes the slopes of before. [standard deviations]
_HOLD_STEP = 0.5


def turned_down(schedule: Schedule) -> bool:
    """The power is on, and was higher before."""
    share = schedule[-1][1]
    return share > 0.0 and any(before > share for _, before in schedule)


@dataclass(frozen=True, kw_only=True)
class Seen:
    """What one look at the readings shows; times count from the heat on."""

    to_early_s: Ranged | None
    to_target_s: Ranged | None
    hold_fraction: Ranged
    settles_c: Ranged | None
    #: Then: the power that holds over the power there is.
    turn: float
    settled: float
    rise: Rise
    #: On the way to the target with the power as it was put on.
    climbing: bool
    #: The last readings are where the fit has them.
    follows: bool


class Following:
    """The heat of one run from the first reading on; belongs to one thread.

    Parameters
    ----------
    inputs : HeatInputs
    start_c : float or None
        What the probe read before the heat came on. [degC]
    dial : bool
        A maker turns the power down; else a controller or thermostat does.
    """

    def __init__(self, inputs: HeatInputs, start_c: float | None, *, dial: bool) -> None:
        self.warm = start_c is not None and abs(start_c - inputs.equipment.room_c) > _WARM_K
        self.model = RunHeat(replace(inputs, start_c=start_c))
        self.told: Told | None = None
        self._dial = dial
        self._wet = inputs.film_kg_m2.high > 0.0
        self._foreseen: tuple[Schedule, Expected] | None = None
        self._rise: Rise | None = None
        self._curve: Ahead | None = None
        self._hold: tuple[FloatArray, float, FloatArray] | None = None
        self._there: set[float] = set()
        self.settled = 0.0
        #: Later readings are not fitted: a controller has the power in hand.
        self._until_s = FIT_UNTIL_S

    def foreseen(self, schedule: Schedule) -> Expected:
        """What the ranges alone say of a heat by this schedule."""
        if self._foreseen is None or self._foreseen[0] != schedule:
            self._foreseen = (schedule, expected(self.model, schedule))
        return self._foreseen[1]

    def cooled(self, schedule: Schedule, readings: Gathered) -> None:
        """The power is off: cooling tells of the losses, and the next climb is a new one."""
        self._rise, self._curve, self._there = None, None, set()
        if readings.points()[0].size >= LEAST_POINTS:
            self._fitted(schedule, readings, lost=False)

    def look(self, at_s: float, schedule: Schedule, readings: Gathered) -> Seen:
        """Take the readings in and look ahead. There must be `LEAST_POINTS` of them."""
        latest = readings.latest()
        inputs = self.model.inputs
        down = turned_down(schedule)
        for celsius in (inputs.early_alarm_c, inputs.target_c):
            if latest[1][-1] >= celsius:
                self._there.add(celsius)
        if not self._dial and latest[1][-1] >= inputs.target_c - _NEAR_K:
            self._until_s = min(self._until_s, float(latest[0][-1]) - _NEAR_K)
        if self._rise is None:
            self._rise = Rise(expected=self.foreseen(schedule), wet=self._wet)
        rise = self._rise
        climbing = not down and inputs.target_c not in self._there
        if climbing and self._curve is not None:
            steam = self.model.steam_share(self._curve.course, at_s - _lost(rise))
            rise.water(at_s, latest, steam, schedule)
        told = self._fitted(schedule, readings, lost=_lost(rise) > 0.0)
        curve = self._curve = self._ahead(at_s, schedule, told, latest, rise, climbing=climbing)
        target = self._crossing(curve, inputs.target_c)
        if climbing:
            rise.judged(at_s, target, latest, curve, schedule)
        else:
            rise.over()
        if target is not None:
            unsure = curve.at(target.middle, curve.unsure_k) / max(rise.expected.unsure_k, 1e-9)
            self.settled = float(np.clip(1.0 - unsure, 0.0, 1.0))
        hold = self._holding(told)
        real = schedule[-1][1] * told.value(self.model, "dial_share").middle
        return Seen(
            to_early_s=self._crossing(curve, inputs.early_alarm_c),
            to_target_s=target,
            hold_fraction=hold,
            settles_c=_at_end(curve) if down and self._dial else None,
            turn=hold.middle / max(real, 1e-3),
            settled=self.settled,
            rise=rise,
            climbing=climbing,
            # A pause that is counted out leaves the fit some degrees behind.
            follows=abs(curve.off_k) <= (3.0 if _lost(rise) else 1.0) * MISS_K,
        )

    def _fitted(self, schedule: Schedule, readings: Gathered, *, lost: bool) -> Told:
        """The fit, taken on; left as it is where new readings can tell no more of the blanket."""
        times, measured = readings.points()
        within = times <= self._until_s
        times, measured = times[within], measured[within]
        told = self.told
        if told is not None and (lost or not times.size):
            return told
        if told is not None and times[-1] == told.time_s[-1]:
            return told
        start = np.zeros(self.model.size) if told is None else told.course.deviates
        self.told = told_by(self.model, schedule, times, measured, start)
        return self.told

    def _ahead(
        self,
        at_s: float,
        schedule: Schedule,
        told: Told,
        latest: tuple[FloatArray, FloatArray],
        rise: Rise,
        *,
        climbing: bool,
    ) -> Ahead:
        """The curve as far ahead as it takes: to the target, or over the hold."""
        steady_k = None
        if at_s > FIT_UNTIL_S and self._curve is not None and not climbing:
            steady_k = float(self._curve.reach_k[-1])
        delay_s, ahead_s = _lost(rise), SETTLE_S
        if delay_s and rise.paused_at_s is not None:
            since_s = rise.paused_at_s
            schedule = tuple(
                (max(when - delay_s, since_s) if when > since_s else when, share)
                for when, share in schedule
            )
        while True:
            span = (at_s, at_s + ahead_s)
            curve = ahead(
                self.model, told, schedule, span, latest, delay_s=delay_s, steady_k=steady_k
            )
            low = curve.probe_c[-1] - curve.reach_k[-1]
            if not climbing or low > self.model.inputs.target_c or span[1] >= GIVE_UP_S:
                return curve
            ahead_s = 2.0 * ahead_s

    def _crossing(self, curve: Ahead, celsius: float) -> Ranged | None:
        when = None if celsius in self._there else curve.crossing(celsius)
        if when is not None and self._rise is not None and self._rise.unforeseen:
            return replace(when, high=when.high + USUAL_PAUSE_S)
        return when

    def _holding(self, told: Told) -> Ranged:
        """The power that holds; its slopes are worked out anew only once the fit has moved."""
        here = told.course.deviates
        if self._hold is None or float(np.abs(here - self._hold[0]).max()) > _HOLD_STEP:
            self._hold = (here, *self.model.hold_slopes(here))
        there, middle, slopes = self._hold
        middle += float(slopes @ (here - there))
        reach = float(told.reach(slopes, _HOLD_MISS))
        return Ranged(middle=middle, low=max(middle - reach, 0.0), high=min(middle + reach, 1.0))


def _lost(rise: Rise) -> float:
    """How long the probe has paused without the model, once it cannot be told from noise. [s]"""
    return rise.paused_s if rise.paused_s > _LOST_S else 0.0


def _at_end(curve: Ahead) -> Ranged:
    middle, reach = float(curve.probe_c[-1]), float(curve.reach_k[-1])
    return Ranged(middle=middle, low=middle - reach, high=middle + reach)
