"""How much of what varies comes from each input: first-order and total shares of the variance."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

from rimwright.curves.piece import FloatArray
from rimwright.sources import Source, register

register(
    Source("SALTELLI_2010", "Saltelli et al. 2010, Variance based sensitivity analysis of model "
           "output, Computer Physics Communications 181: first order, Table 2 (b); total, (f)",
           "memory"),
    Source("JANSEN_1999", "Jansen 1999, Analysis of variance designs for model output, Computer "
           "Physics Communications 117", "memory"),
    Source("WILSON_1927", "Wilson 1927, Probable inference, J. American Statistical Association "
           "22", "memory"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Interval:
    """A value and its 95 % confidence interval."""

    value: float
    low: float
    high: float


def variance_shares(
    one: FloatArray, other: FloatArray, swapped: FloatArray
) -> tuple[tuple[Interval, ...], tuple[Interval, ...]]:
    r"""First-order and total indices of each input, with 95 % confidence intervals.

    Parameters
    ----------
    one, other : ndarray, shape (blocks, samples)
        The model on two independent draws A and B.
    swapped : ndarray, shape (blocks, inputs, samples)
        On A with one input's column taken from B.

    Returns
    -------
    tuple of tuple of Interval
        First-order indices, then total ones.

    Notes
    -----
    .. math::

        S_i = \frac{\overline{f_B (f_{AB_i} - f_A)}}{V}, \qquad
        T_i = \frac{\overline{(f_A - f_{AB_i})^2}}{2 V}

    (Saltelli et al. 2010; Jansen 1999; both from memory.) The mean is taken off before the
    product, which lessens its noise and changes nothing else. Intervals come from the jackknife
    over blocks.
    """
    blocks = one.shape[0]
    mean = 0.5 * (one.mean() + other.mean())
    a, b = one - mean, other - mean
    variance = 0.5 * (np.mean(a**2, axis=1) + np.mean(b**2, axis=1))
    step = swapped - mean - a[:, None, :]
    first = np.mean(b[:, None, :] * step, axis=2)
    total = 0.5 * np.mean(step**2, axis=2)

    def told(top: FloatArray) -> tuple[Interval, ...]:
        value = top.mean(axis=0) / variance.mean()
        without = (top.sum(axis=0) - top) / (variance.sum() - variance)[:, None]
        spread = np.sqrt((blocks - 1) / blocks * np.sum((without - value) ** 2, axis=0))
        reach = stdtrit(blocks - 1, 0.975) * spread
        return tuple(
            Interval(float(v), float(v - r), float(v + r))
            for v, r in zip(value, reach, strict=True)
        )

    return told(first), told(total)


def mean_interval(values: FloatArray) -> Interval:
    """Mean of independent blocks and its 95 % confidence interval (Student's t).

    Examples
    --------
    >>> mean_interval(np.array([1.0, 2.0, 3.0])).value
    2.0
    """
    count = values.size
    mean = float(values.mean())
    reach = float(stdtrit(count - 1, 0.975) * values.std(ddof=1) / np.sqrt(count))
    return Interval(mean, mean - reach, mean + reach)


def wilson(cracked: int, of: int, deviate: float = 1.959963984540054) -> Interval:
    """A counted share and its confidence interval (Wilson 1927), 95 % by default.

    Examples
    --------
    >>> counted = wilson(7, 100)
    >>> round(counted.low, 3), round(counted.high, 3)
    (0.034, 0.137)
    """
    share = cracked / of
    squared = deviate**2
    middle = (share + squared / (2.0 * of)) / (1.0 + squared / of)
    reach = (
        deviate
        / (1.0 + squared / of)
        * np.sqrt(share * (1.0 - share) / of + squared / (4.0 * of**2))
    )
    return Interval(share, max(float(middle - reach), 0.0), min(float(middle + reach), 1.0))
