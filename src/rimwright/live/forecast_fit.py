"""What the readings of a run so far say of everything unsure in its heat.

Of three things a probe's curve tells much (power, losses, contact: `bending.heat_fit`). Yet a
forecast whose range holds nine in ten must leave room for the rest as well: the probe's lag, the
water, the tap and the dial. So all are let move, each tied to its range.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimwright.bending.heat_fit import FITTED, HeatFit
from rimwright.bending.heat_unsure import NINETY, at_deviate
from rimwright.curves.piece import FloatArray
from rimwright.live.forecast_model import Course, RunHeat, Schedule
from rimwright.sources import Provenance, Sourced

#: What the model itself misses by at a gathered reading, as in `bending.heat_fit`. Assumed. [K]
MISS_K = 1.0
#: Beyond this many times the miss a reading counts less: a spike, or a hand on the wire.
_OUTLIER = 2.0
_ITERATIONS = 3
#: A step this small is the last. [standard deviations]
_SMALL_STEP = 0.1


@dataclass(frozen=True, kw_only=True)
class Told:
    """Where everything unsure lies by the readings, and how surely."""

    #: The most likely course, solved.
    course: Course
    #: Of its deviates, shape (deviates, deviates).
    spread: FloatArray
    #: Gathered readings, and the model there. [s], [degC]
    time_s: FloatArray
    measured_c: FloatArray
    model_c: FloatArray

    @property
    def rms_k(self) -> float:
        """Root mean square of what is left between readings and model. [K]"""
        if self.time_s.size == 0:
            return 0.0
        return float(np.sqrt(np.mean((self.model_c - self.measured_c) ** 2)))

    def reach(self, slopes: FloatArray, miss: float = 0.0) -> FloatArray:
        """Half of a nine-in-ten range of what has these slopes, shape (...,)."""
        variance = np.einsum("...i,ij,...j->...", slopes, self.spread, slopes)
        return np.asarray(NINETY * np.sqrt(np.maximum(variance, 0.0) + miss**2))

    def value(self, model: RunHeat, name: str) -> Sourced:
        """One of the unsure inputs as it stands now."""
        i = model.names.index(name)
        middle = float(self.course.deviates[i])
        reach = NINETY * float(np.sqrt(self.spread[i, i]))
        return Sourced(
            middle=at_deviate(model.values[i], middle),
            low=at_deviate(model.values[i], middle - reach),
            high=at_deviate(model.values[i], middle + reach),
            provenance=Provenance.MEASURED,
            note=f"fitted to {self.time_s.size} readings",
        )

    def fit(self, model: RunHeat) -> HeatFit:
        """Power, losses and contact with their ranges, whatever the rest may be."""
        power, loss, contact = (self.value(model, name) for name in FITTED)
        return HeatFit(
            power_share=power,
            loss_share=loss,
            contact_m2_k_w=contact,
            rms_k=self.rms_k,
            points=int(self.time_s.size),
            time_s=self.time_s,
            model_c=self.model_c,
            measured_c=self.measured_c,
        )


def known_before(model: RunHeat, schedule: Schedule, until_s: float) -> Told:
    """Without a reading: the middle of every range, and the ranges themselves."""
    nothing = np.zeros(0)
    return Told(
        course=model.course(np.zeros(model.size), schedule, until_s),
        spread=np.eye(model.size),
        time_s=nothing,
        measured_c=nothing,
        model_c=nothing,
    )


def told_by(
    model: RunHeat,
    schedule: Schedule,
    time_s: FloatArray,
    measured_c: FloatArray,
    start: FloatArray,
) -> Told:
    """Fit everything unsure to the readings, from the deviates of the last time.

    Parameters
    ----------
    model : RunHeat
    schedule : tuple of (float, float)
        Since when which share of full power. [s]
    time_s, measured_c : array
        Gathered readings by the run's clock. [s], [degC]
    start : array
        Deviates to begin from; those of the last fit, so that one step mostly does.

    Notes
    -----
    Gauss and Newton's steps on the sum of the squared deviates and of the squared misses over
    `MISS_K`, these with a loss that grows only straight far out. The spread is that of the
    linearised problem, as in `bending.heat_fit`: widened where the model misses by more than
    assumed.
    """
    until_s = float(time_s[-1])
    course = model.course(start, schedule, until_s)
    left = (measured_c - course.probe(time_s)) / MISS_K
    slopes = np.zeros((time_s.size, model.size))
    for _ in range(_ITERATIONS):
        slopes = model.slopes(course, schedule, time_s) / MISS_K
        weight = 1.0 / np.sqrt(1.0 + (left / _OUTLIER) ** 2)
        normal = slopes.T @ (weight[:, None] * slopes) + np.eye(model.size)
        here = course.deviates
        step = _step(normal, slopes.T @ (weight * left) - here, here, model.farthest)
        before = _cost(left, here)
        for share in (1.0, 0.5, 0.25):
            there = np.clip(here + share * step, -model.farthest, model.farthest)
            tried = model.course(there, schedule, until_s)
            missed = (measured_c - tried.probe(time_s)) / MISS_K
            if _cost(missed, there) < before:
                course, left = tried, missed
                break
        else:
            break
        if float(np.abs(there - here).max()) < _SMALL_STEP:
            break
    excess = max(1.0, float(np.median(np.abs(left))) / 0.6745)
    return Told(
        course=course,
        spread=np.asarray(
            np.linalg.inv(slopes.T @ slopes / excess**2 + np.eye(model.size)), dtype=np.float64
        ),
        time_s=time_s,
        measured_c=measured_c,
        model_c=course.probe(time_s),
    )


def _step(
    normal: FloatArray, down: FloatArray, here: FloatArray, farthest: FloatArray
) -> FloatArray:
    """Newton's step, without those that stand at their end and would go on."""
    free = np.ones(here.size, dtype=bool)
    while True:
        step = np.zeros(here.size)
        step[free] = np.linalg.solve(normal[np.ix_(free, free)], down[free])
        over = free & (np.abs(here) >= farthest - 1e-9) & (step * here > 0.0)
        if not over.any():
            return step
        free &= ~over


def _cost(left: FloatArray, deviates: FloatArray) -> float:
    """Twice the negative logarithm of what speaks for these deviates."""
    far = 2.0 * _OUTLIER**2 * float(np.sum(np.sqrt(1.0 + (left / _OUTLIER) ** 2) - 1.0))
    return far + float(deviates @ deviates)
