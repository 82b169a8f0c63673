"""The probe's curve from now on, with its band, and when it will be where."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimwright.bending.heat_solve import GIVE_UP_S
from rimwright.bending.heat_unsure import NINETY
from rimwright.curves.piece import FloatArray
from rimwright.live.forecast_fit import Told, known_before
from rimwright.live.forecast_model import Course, RunHeat, Schedule
from rimwright.live.run_plan import Ranged

#: What the model misses by even where the readings told everything. Assumed. [K]
MISS_K = 0.5
#: A good run lies within this many standard deviations of what was expected.
_FAR = 3.0
#: And within this share of the time expected, however well the blanket is known.
_LEAST_OFF = 0.15
_POINTS = 64


@dataclass(frozen=True, kw_only=True)
class Ahead:
    """What is to come, by the clock of the heat."""

    #: Shape (times,). [s], [degC]
    time_s: FloatArray
    probe_c: FloatArray
    #: Half of the nine-in-ten band, and the part of it that comes from what is unsure. [K]
    reach_k: FloatArray
    unsure_k: FloatArray
    #: By as much the last readings are off the fit; the curve is moved by it. [K]
    off_k: float
    #: The most likely course that it is read off.
    course: Course

    def at(self, at_s: float, of: FloatArray) -> float:
        """One of the curves at a moment."""
        return float(np.interp(at_s, self.time_s, of))

    def crossing(self, celsius: float) -> Ranged | None:
        """When the probe gets there: where curve and band do; None: the curve does not. [s]"""
        middle = crossing(self.time_s, self.probe_c, celsius)
        if middle is None:
            return None
        low = crossing(self.time_s, self.probe_c + self.reach_k, celsius)
        high = crossing(self.time_s, self.probe_c - self.reach_k, celsius)
        return Ranged(
            middle=middle,
            low=middle if low is None else min(low, middle),
            high=float(self.time_s[-1]) if high is None else max(high, middle),
        )


def crossing(time_s: FloatArray, curve: FloatArray, celsius: float) -> float | None:
    """When a curve first reaches that; None: it does not. [s]

    Examples
    --------
    >>> crossing(np.array([0.0, 10.0, 20.0]), np.array([20.0, 30.0, 40.0]), 33.0)
    13.0
    """
    over = np.flatnonzero(curve >= celsius)
    if over.size == 0:
        return None
    i = int(over[0])
    if i == 0:
        return float(time_s[0])
    share = (celsius - curve[i - 1]) / (curve[i] - curve[i - 1])
    return float(time_s[i - 1] + share * (time_s[i] - time_s[i - 1]))


def ahead(
    model: RunHeat,
    told: Told,
    schedule: Schedule,
    span: tuple[float, float],
    latest: tuple[FloatArray, FloatArray],
    *,
    delay_s: float = 0.0,
    steady_k: float | None = None,
) -> Ahead:
    """The curve over a span of time with the power left as it is.

    Parameters
    ----------
    model, told, schedule
        The heat, what is known of it, and the power so far.
    span : tuple of float
        From when to when. [s]
    latest : tuple of array
        The last gathered readings: by as much as they are off the model, the curve is moved.
        [s], [degC]
    delay_s : float
        How long the probe has paused in a way that the model does not know: it is that much
        younger, and `schedule` is told by its clock. [s]
    steady_k : float, optional
        Take the band as this wide and save its computation: late in a hold it stands. [K]
    """
    times = np.linspace(*span, _POINTS)
    within = times - delay_s
    course = model.course(told.course.deviates, schedule, float(within[-1]))
    misses = latest[1] - course.probe(latest[0] - delay_s)
    off_k = float(np.median(misses)) if misses.size else 0.0
    if steady_k is None:
        slopes = model.slopes(course, schedule, within)
        reach, unsure = told.reach(slopes, MISS_K), told.reach(slopes)
    else:
        reach = unsure = np.full(times.size, steady_k)
    return Ahead(
        time_s=times,
        probe_c=course.probe(within) + off_k,
        reach_k=reach,
        unsure_k=unsure,
        off_k=off_k,
        course=course,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Expected:
    """When a run of this plan reaches its target, before a reading is taken."""

    #: None: not within the longest wait. [s]
    to_early_s: Ranged | None
    to_target_s: Ranged | None
    #: A run that is not there by then is slow, one that is there before is fast. [s]
    late_s: float
    soon_s: float
    #: Half of the band at the target: what is unsure before a reading. [K]
    unsure_k: float


def expected(model: RunHeat, schedule: Schedule) -> Expected:
    """What the ranges alone say of a heat by this schedule."""
    target_c = model.inputs.target_c
    span_s = 300.0
    while True:
        told = known_before(model, schedule, span_s)
        curve = ahead(model, told, schedule, (0.0, span_s), (np.zeros(0), np.zeros(0)))
        far = _FAR / NINETY * curve.reach_k
        late = crossing(curve.time_s, curve.probe_c - far, target_c)
        if late is not None or span_s >= GIVE_UP_S:
            break
        span_s = min(2.0 * span_s, GIVE_UP_S)
    middle = curve.crossing(target_c)
    soon = crossing(curve.time_s, curve.probe_c + far, target_c)
    to = GIVE_UP_S if middle is None else middle.middle
    return Expected(
        to_early_s=curve.crossing(model.inputs.early_alarm_c),
        to_target_s=middle,
        late_s=max(GIVE_UP_S if late is None else late, (1.0 + _LEAST_OFF) * to),
        soon_s=min(to if soon is None else soon, to / (1.0 + _LEAST_OFF)),
        unsure_k=curve.at(to, curve.unsure_k),
    )
