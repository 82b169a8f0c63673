"""A measured probe curve makes the stack this shop's own: power, losses, contact."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from rimwright.bending.heat_inputs import HeatInputs, case_of, checked
from rimwright.bending.heat_parameters import HeatParameters
from rimwright.bending.heat_solve import Case, solve
from rimwright.curves.piece import FloatArray
from rimwright.errors import DesignError
from rimwright.sources import Provenance, Sourced

#: What a probe curve can tell, with what is known before it.
FITTED = ("power_share", "loss_share", "contact_m2_k_w")
#: A range, low to high, is taken to hold nine in ten: this many standard deviations each way.
_RANGE_SIGMAS = 1.645
#: Readings are gathered over this long and their median taken: noise and spikes go. [s]
_GATHER_S = 5.0
#: What the model itself and the probe are taken to miss by. Assumed. [K]
_MISS_K = 1.0
#: Step of the slopes, in the logarithm: above the step control's roughness.
_SLOPE_STEP = 0.03
_LEAST_POINTS = 4


@dataclass(frozen=True, kw_only=True)
class HeatFit:
    """What a measured curve says of the blanket, its losses and the contact between layers."""

    power_share: Sourced
    loss_share: Sourced
    contact_m2_k_w: Sourced
    #: Root mean square of what is left between curve and model. [K]
    rms_k: float
    #: Gathered readings that were used.
    points: int
    #: Model at the gathered times, for the eye. [s], [degC]
    time_s: FloatArray
    model_c: FloatArray
    measured_c: FloatArray

    def parameters(self, before: HeatParameters) -> HeatParameters:
        """The parameters with what was measured in place of what was assumed."""
        return replace(
            before,
            power_share=self.power_share,
            loss_share=self.loss_share,
            contact_m2_k_w=self.contact_m2_k_w,
        )


def gathered(time_s: FloatArray, probe_c: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Medians of every few seconds; what is no number, and gaps, are left out.

    Examples
    --------
    >>> time = np.arange(0.0, 20.0)
    >>> readings = 20.0 + time
    >>> readings[7] = np.nan
    >>> gathered(time, readings)[1].tolist()
    [22.0, 27.0, 32.0, 37.0]
    """
    good = np.isfinite(time_s) & np.isfinite(probe_c) & (time_s >= 0.0)
    time, readings = time_s[good], probe_c[good]
    order = np.argsort(time, kind="stable")
    time, readings = time[order], readings[order]
    place = np.floor(time / _GATHER_S).astype(int)
    cuts = np.flatnonzero(np.diff(place)) + 1
    groups_t, groups_c = np.split(time, cuts), np.split(readings, cuts)
    if time.size == 0:
        return time, readings
    return (
        np.array([float(np.median(group)) for group in groups_t]),
        np.array([float(np.median(group)) for group in groups_c]),
    )


def fit_heat(inputs: HeatInputs, time_s: FloatArray, probe_c: FloatArray) -> HeatFit:
    """Fit blanket power, losses and contact to a measured curve, with their ranges.

    Parameters
    ----------
    inputs : HeatInputs
        Stack, side and water as they were, `schedule` the power that was given; its
        parameters are what is known before.
    time_s : array
        Since the heat was turned on; gaps and disorder may be. [s]
    probe_c : array
        Readings, not-a-number where there was none. [degC]

    Returns
    -------
    HeatFit

    Raises
    ------
    DesignError
        With too few readings to tell anything.

    Notes
    -----
    Least squares in the logarithms, each tied to its range before as one more reading, with a
    loss that grows only straight for outliers (`soft_l1` of scipy.optimize.least_squares). The
    range after is that of the linearised problem, nine in ten, widened where the model misses
    by more than assumed. Readings under power tell power, holding and cooling tell losses;
    what the curve cannot tell keeps the range it had.
    """
    from scipy.optimize import least_squares

    time, readings = gathered(np.asarray(time_s, float), np.asarray(probe_c, float))
    if time.size < _LEAST_POINTS:
        raise DesignError(
            f"{time.size} readings five seconds apart",
            f"at least {_LEAST_POINTS}",
            "record the probe for longer",
        )
    end = float(time[-1]) + 1.0
    case = case_of(checked(replace(inputs, control="schedule")), quick=True)
    case = replace(case, limit_s=end)
    before = [getattr(inputs.parameters, name) for name in FITTED]
    centre = np.log([value.middle for value in before])
    spread = np.array(
        [math.log(value.high / value.low) / (2.0 * _RANGE_SIGMAS) for value in before]
    )

    def model(x: FloatArray) -> FloatArray:
        solved = solve(_with(case, np.exp(centre + spread * x)))
        return np.asarray(np.interp(time, solved.time_s, solved.probe_c))

    def residuals(x: FloatArray) -> FloatArray:
        return np.concatenate([(model(x) - readings) / _MISS_K, x])

    def slopes(x: FloatArray) -> FloatArray:
        here = residuals(x)
        columns = []
        for i in range(x.size):
            step = np.zeros(x.size)
            step[i] = _SLOPE_STEP / spread[i]
            columns.append((residuals(x + step) - here) / step[i])
        return np.stack(columns, axis=1)

    found = least_squares(
        residuals, np.zeros(len(FITTED)), jac=slopes, bounds=(-6.0, 6.0),
        loss="soft_l1", f_scale=2.0, xtol=1e-3, ftol=1e-3, gtol=1e-3, max_nfev=12,
    )  # fmt: skip
    left = model(found.x) - readings
    excess = max(1.0, float(np.median(np.abs(left))) / (0.6745 * _MISS_K))
    data = np.asarray(found.jac)[: time.size] / excess
    covariance = np.linalg.inv(data.T @ data + np.eye(len(FITTED)))
    reach = _RANGE_SIGMAS * np.sqrt(np.diag(covariance))
    middle = np.exp(centre + spread * found.x)
    low = np.exp(centre + spread * (found.x - reach))
    high = np.exp(centre + spread * (found.x + reach))
    made = {
        name: Sourced(
            middle=float(middle[i]),
            low=float(low[i]),
            high=float(high[i]),
            provenance=Provenance.MEASURED,
            note=f"fitted to {time.size} readings",
        )
        for i, name in enumerate(FITTED)
    }
    return HeatFit(
        **made,
        rms_k=float(np.sqrt(np.mean(left**2))),
        points=int(time.size),
        time_s=time,
        model_c=left + readings,
        measured_c=readings,
    )


def _with(case: Case, values: FloatArray) -> Case:
    moved = {name: float(values[i]) for i, name in enumerate(FITTED)}
    return replace(case, values=replace(case.values, **moved))
