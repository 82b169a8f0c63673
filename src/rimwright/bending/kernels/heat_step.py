"""One step of the heat in time, and what the blanket's control does next.

TR-BDF2: half trapezoid, half backward difference, second order, and damped for the thin metal
layers that follow at once (Bank et al. 1985; Hosea & Shampine 1996, whose third-order error
estimate sets the step; from memory). What is stepped is heat held, not temperature, so that
the books close; water leaves within the same solve.
"""

from __future__ import annotations

import math

from rimwright.bending.kernels.compiled import Array, compiled
from rimwright.bending.kernels.heat_layers import (
    ABOVE,
    BELOW,
    BY_MOISTURE,
    CAPACITY,
    DIAGONAL,
    ENTHALPY,
    GAIN,
    VAPOUR,
    VAPOUR_BY_M,
    VAPOUR_BY_T,
    VAPOUR_HEAT,
    Stack,
    assemble,
    solve,
    spread_water,
)

GAMMA = 2.0 - math.sqrt(2.0)
#: Both stages weigh the new state by this share of the step.
THETA = 0.5 * GAMMA
_WEIGHT = 0.5 / (2.0 - GAMMA)
_ERROR = (-3.0 * GAMMA**2 + 4.0 * GAMMA - 2.0) / (12.0 * (2.0 - GAMMA))
#: A step's error in moisture that counts as much as one kelvin. [1/K]
_MOISTURE_PER_K = 0.01
# Rows of `rows`: the matrix, its right side, the solver's scratch, two for moisture, two bases.
ROWS = 9
# Slices of `works` and rows of `losses`: at the start of the step, at its middle, at its end.
_NOW, _MID, _END = 0, 1, 2

# What the power does, the first entry of `control`.
SCHEDULE, SHARE, CONTROLLER, THERMOSTAT = 0.0, 1.0, 2.0, 3.0
_CONTROLLER_S, _CONTROLLER_RESET_S = 15.0, 40.0


@compiled
def settle(
    T: Array,
    M: Array,
    weight: float,
    power: float,
    stack: Stack,
    work: Array,
    rows: Array,
    losses: Array,
    tolerance_k: float,
) -> bool:
    """Newton's method for one stage: T and M such that held heat − weight × gain is the base.

    Water leaves cell by cell, so moisture is eliminated cell by cell and the system stays
    tridiagonal. The last matrix stays in `rows` for the error estimate.
    """
    first, last, dry = stack[5], stack[6], 1000.0 * stack[7][0]
    n, drying = T.size, weight / dry
    below, diagonal, above, right = rows[0], rows[1], rows[2], rows[3]
    base_h, base_m = rows[7], rows[8]
    assemble(T, M, power, stack, work, losses)
    for _ in range(12):
        for i in range(n):
            diagonal[i] = work[CAPACITY, i] - weight * work[DIAGONAL, i]
            below[i] = -weight * work[BELOW, i]
            above[i] = -weight * work[ABOVE, i]
            right[i] = base_h[i] + weight * work[GAIN, i] - work[ENTHALPY, i]
        for i in range(first, last):
            missing = base_m[i] - drying * work[VAPOUR, i] - M[i]
            heat = weight * work[VAPOUR_HEAT, i]
            t_m = work[BY_MOISTURE, i] + heat * work[VAPOUR_BY_M, i]
            m_t = drying * work[VAPOUR_BY_T, i]
            m_m = 1.0 + drying * work[VAPOUR_BY_M, i]
            diagonal[i] += heat * work[VAPOUR_BY_T, i] - t_m * m_t / m_m
            right[i] -= t_m * missing / m_m
            rows[5, i] = missing / m_m
            rows[6, i] = m_t / m_m
        solve(below, diagonal, above, right, rows[4])
        worst = 0.0
        for i in range(n):
            T[i] += right[i]
            worst = max(worst, abs(right[i]))
        for i in range(first, last):
            change = rows[5, i] - rows[6, i] * right[i]
            M[i] += change
            worst = max(worst, abs(change) / _MOISTURE_PER_K)
        if not worst < 1e4:
            return False
        assemble(T, M, power, stack, work, losses)
        if worst < tolerance_k:
            return True
    return False


@compiled
def step(
    T: Array,
    M: Array,
    T1: Array,
    M1: Array,
    T2: Array,
    M2: Array,
    dt: float,
    power: float,
    stack: Stack,
    works: Array,
    rows: Array,
    losses: Array,
    tolerance_k: float,
    newton_k: float,
) -> float:
    """From T, M to T2, M2 over dt; returns the error over the tolerance, or -1: take it again."""
    first, last, dry = stack[5], stack[6], 1000.0 * stack[7][0]
    n, weight = T.size, THETA * dt
    now, mid, end = works[_NOW], works[_MID], works[_END]
    T1[:], M1[:] = T, M
    if last > first:
        spread_water(T1, M1, dt, stack[0], first, last, stack[7][0])
    T2[:], M2[:] = T1, M1
    assemble(T1, M1, power, stack, now, losses[_NOW])
    for i in range(n):
        rows[7, i] = now[ENTHALPY, i] + weight * now[GAIN, i]
        rows[8, i] = M1[i] - weight * now[VAPOUR, i] / dry
    if not settle(T1, M1, weight, power, stack, mid, rows, losses[_MID], newton_k):
        return -1.0
    a = 1.0 / (GAMMA * (2.0 - GAMMA))
    b = a * (1.0 - GAMMA) ** 2
    for i in range(n):
        rows[7, i] = a * mid[ENTHALPY, i] - b * now[ENTHALPY, i]
        rows[8, i] = a * M1[i] - b * M2[i]
        # A first guess along the line through both.
        T2[i] += (T1[i] - T2[i]) / GAMMA
        M2[i] += (M1[i] - M2[i]) / GAMMA
    if not settle(T2, M2, weight, power, stack, end, rows, losses[_END], newton_k):
        return -1.0
    scale = 2.0 * _ERROR * dt
    c0, c1, c2 = 1.0 / GAMMA, 1.0 / (GAMMA * (1.0 - GAMMA)), 1.0 / (1.0 - GAMMA)
    for i in range(n):
        rows[3, i] = scale * (c0 * now[GAIN, i] - c1 * mid[GAIN, i] + c2 * end[GAIN, i])
    solve(rows[0], rows[1], rows[2], rows[3], rows[4])
    worst = 0.0
    for i in range(n):
        worst = max(worst, abs(rows[3, i]) / tolerance_k)
    for i in range(first, last):
        gone = c0 * now[VAPOUR, i] - c1 * mid[VAPOUR, i] + c2 * end[VAPOUR, i]
        off = scale / dry * gone / (1.0 + weight / dry * end[VAPOUR_BY_M, i])
        worst = max(worst, abs(off) / (tolerance_k * _MOISTURE_PER_K))
    return worst


@compiled
def lost_in_step(losses: Array, which: int, dt: float) -> float:
    """Heat lost through one way during the step, summed as the step itself sums. [J/m²]"""
    mean = _WEIGHT * (losses[_NOW, which] + losses[_MID, which]) + THETA * losses[_END, which]
    return float(dt * mean)


@compiled
def probe_after(before: float, from_c: float, to_c: float, dt: float, lag_s: float) -> float:
    """What a probe that trails by `lag_s` reads after a step over which its place moves evenly."""
    if lag_s <= 0.0:
        return to_c
    pace = (to_c - from_c) / dt
    return to_c - pace * lag_s + (before - from_c + pace * lag_s) * math.exp(-dt / lag_s)


@compiled
def power_now(control: Array, memory: Array, reading: float, dt: float) -> float:
    """The blanket's power while it holds; `memory` keeps the integral, and whether it is on."""
    mode, target, full = control[0], control[1], control[2]
    if mode == SHARE:
        return float(control[3] * full)
    if mode == CONTROLLER:
        wrong, gain = target - reading, control[4] / _CONTROLLER_S
        memory[0] = min(max(memory[0] + gain / _CONTROLLER_RESET_S * wrong * dt, 0.0), full)
        return float(min(max(memory[0] + gain * wrong, 0.0), full))
    below = 0.0 if memory[1] > 0.0 else control[3]
    memory[1] = 1.0 if reading < target - below else 0.0
    return float(full * memory[1])
