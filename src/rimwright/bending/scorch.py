"""How near a side has come to scorching, over a run of heat."""

from __future__ import annotations

import numpy as np

from rimwright.curves.piece import FloatArray
from rimwright.wood.scorch import SCORCH_AT_5_MIN_C, SCORCH_PER_DOUBLING_K, scorch_rate


def scorch_dose(
    time_s: FloatArray,
    temperature_c: FloatArray,
    *,
    at_5_min_c: float = SCORCH_AT_5_MIN_C.middle,
    per_doubling_k: float = SCORCH_PER_DOUBLING_K.middle,
) -> FloatArray:
    r"""Share of the way to scorch up to each moment; the wood darkens where it passes one.

    Parameters
    ----------
    time_s : array
        Rising, shape (times,). [s]
    temperature_c : array
        Of one place or of several, shape (times,) or (times, places). [degC]
    at_5_min_c, per_doubling_k : float
        See `rimwright.wood.scorch`. [degC], [K]

    Returns
    -------
    array
        Of the temperature's shape; 0 at the first moment.

    Notes
    -----
    :math:`\int r\,dt` with r of `scorch_rate`, exact for a temperature that goes straight
    from each moment to the next (the rate is then exponential in time).

    Examples
    --------
    Five minutes at 185 °C, or twice that at 175 °C.

    >>> import numpy as np
    >>> float(scorch_dose(np.array([0.0, 300.0]), np.array([185.0, 185.0]))[-1])
    1.0
    """
    rate = np.asarray(scorch_rate(temperature_c, at_5_min_c, per_doubling_k))
    step = np.diff(time_s).reshape(-1, *(1,) * (rate.ndim - 1))
    steepness = np.log(rate[1:] / rate[:-1])
    level = np.abs(steepness) < 1e-6
    mean = np.where(
        level,
        0.5 * (rate[1:] + rate[:-1]),
        (rate[1:] - rate[:-1]) / np.where(level, 1.0, steepness),
    )
    return np.concatenate([np.zeros_like(rate[:1]), np.cumsum(step * mean, axis=0)])
