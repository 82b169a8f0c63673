"""Water through the thickness of a side: finite volumes, implicit in time.

The balance of each slice is kept exactly: what leaves one enters the next. In time a
two-stage implicit Runge-Kutta method, second order and L-stable (Alexander 1977, SIAM J.
Numer. Anal. 14:1006, from memory), so that steps may be long; in space second order. The
coefficient depends on the moisture and is read from a table.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from rimwright.bending.kernels.compiled import compiled
from rimwright.bending.kernels.relations import FIBRE_SATURATION, moisture_diffusion

Array = npt.NDArray[np.float64]

_STAGE = 1.0 - 1.0 / math.sqrt(2.0)
#: Repetitions with the coefficient of the newest moisture; three more change nothing in the
#: seventh digit of a profile.
_PASSES = 4


@compiled
def coefficient_table(temperature_c: float, specific_gravity: float, points: int) -> Array:
    """Diffusion coefficient at equal steps of moisture from 0 to fibre saturation [m²/s]."""
    table = np.empty(points)
    for i in range(points):
        moisture = FIBRE_SATURATION * i / (points - 1)
        table[i] = moisture_diffusion(moisture, temperature_c, specific_gravity)
    return table


@compiled
def _look_up(table: Array, moisture: float) -> float:
    place = min(max(moisture, 0.0) / FIBRE_SATURATION, 1.0) * (table.size - 1)
    i = min(int(place), table.size - 2)
    return float(table[i] + (place - i) * (table[i + 1] - table[i]))


@compiled
def _stage(
    start: Array, guess: Array, weight: float, low: float, high: float, slice_m: float,
    table: Array, work: Array,
) -> None:  # fmt: skip
    """Solve `m = start + weight * change(m)` into `guess`; work is scratch of shape (2, n)."""
    n = start.size
    for _ in range(_PASSES):
        # Thomas's algorithm, the matrix made on the way: the flow between two slices goes
        # with the mean of their coefficients.
        inflow = 0.0
        for i in range(n):
            onward = 0.0
            if i < n - 1:
                mean = 0.5 * (_look_up(table, guess[i]) + _look_up(table, guess[i + 1]))
                onward = weight * mean / slice_m**2
            right = start[i]
            if i == 0:
                right += weight * low
            if i == n - 1:
                right += weight * high
            pivot = 1.0 + inflow + onward
            if i > 0:
                pivot -= inflow * work[0, i - 1]
                right += inflow * work[1, i - 1]
            work[0, i] = onward / pivot
            work[1, i] = right / pivot
            inflow = onward
        guess[n - 1] = work[1, n - 1]
        for i in range(n - 2, -1, -1):
            guess[i] = work[1, i] + work[0, i] * guess[i + 1]


@compiled
def diffuse(
    moisture: Array, low: float, high: float, step_s: float, slice_m: float, table: Array
) -> None:
    """Take one step in place; `low` and `high` raise the end slices' moisture [1/s]."""
    n = moisture.size
    work = np.empty((2, n))
    first = moisture.copy()
    _stage(moisture, first, _STAGE * step_s, low, high, slice_m, table, work)
    start = np.empty(n)
    for i in range(n):
        change = (first[i] - moisture[i]) / (_STAGE * step_s)
        start[i] = moisture[i] + (1.0 - _STAGE) * step_s * change
    for i in range(n):
        moisture[i] = first[i]
    _stage(start, moisture, _STAGE * step_s, low, high, slice_m, table, work)


@compiled
def _give_back(moisture: Array, film: Array, greatest: float, slice_kg_m2: float) -> None:
    """A full slice holds no more: what does not fit moves out towards its face, at last onto it."""
    n = moisture.size
    for i in range(n // 2, n):
        over = max(moisture[i] - greatest, 0.0)
        moisture[i] -= over
        if i < n - 1:
            moisture[i + 1] += over
        else:
            film[1] += over * slice_kg_m2
    for i in range(n // 2 - 1, -1, -1):
        over = max(moisture[i] - greatest, 0.0)
        moisture[i] -= over
        if i > 0:
            moisture[i - 1] += over
        else:
            film[0] += over * slice_kg_m2


@compiled
def absorb(
    moisture: Array, film: Array, roots: Array, sorptivity: float, greatest: float,
    slice_kg_m2: float, slice_m: float, table: Array,
) -> None:  # fmt: skip
    """Let both faces drink from their films while the water spreads, all in place.

    Parameters
    ----------
    moisture : array
        Of n slices. [fraction]
    film : array
        Water waiting on the two faces; infinite in a bath. [kg/m²]
    roots : array
        Roots of the times since wetting; steps go from each to the next. [s^0.5]
    sorptivity : float
        Most that a face draws in over the root of the time. [kg/(m² s^0.5)]
    greatest : float
        Moisture at which a slice is full. [fraction]
    slice_kg_m2 : float
        Oven-dry mass of a slice over its area. [kg/m²]
    slice_m : float
        [m]
    table : array
        See `coefficient_table`.
    """
    drunk = np.empty(2)
    for k in range(roots.size - 1):
        step_s = roots[k + 1] ** 2 - roots[k] ** 2
        for face in range(2):
            drunk[face] = min(sorptivity * (roots[k + 1] - roots[k]), film[face])
            film[face] -= drunk[face]
        rate = drunk / (slice_kg_m2 * step_s)
        diffuse(moisture, rate[0], rate[1], step_s, slice_m, table)
        _give_back(moisture, film, greatest, slice_kg_m2)
