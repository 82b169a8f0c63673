"""The heat run: a stack through time, from room warmth to target, hold, and rest."""

from __future__ import annotations

import numpy as np

from rimwright.bending.kernels.compiled import Array, compiled
from rimwright.bending.kernels.heat_layers import ENTHALPY, Stack, assemble
from rimwright.bending.kernels.heat_layers import ROWS as WORK_ROWS
from rimwright.bending.kernels.heat_step import (
    CONTROLLER,
    ROWS,
    SCHEDULE,
    SHARE,
    lost_in_step,
    power_now,
    probe_after,
    step,
)

# How a run ended.
ENDED, NEVER_REACHED, STUCK, FULL = 0, 1, 2, 3
#: Entries of the books: heat in, lost below, lost above, gone as steam, held before and after.
BOOKS = 6
_FIRST_STEP_S = 0.25
_NEVER = 1e30


@compiled
def held(T: Array, M: Array, stack: Stack, works: Array, losses: Array) -> float:
    """Heat held by the stack above 0 °C. [J/m²]"""
    assemble(T, M, 0.0, stack, works[0], losses[0])
    return float(np.sum(works[0, ENTHALPY] * stack[0]))


@compiled
def run(
    stack: Stack,
    start_c: Array,
    start_m: Array,
    schedule_s: Array,
    schedule_w: Array,
    control: Array,
    probe: int,
    sensor: Array,
    spans: Array,
    steps: Array,
    out: tuple[Array, Array, Array, Array, Array, Array],
) -> tuple[int, int, float, float]:
    """Run the stack; returns how it ended, steps taken, when the target was reached, and off.

    `control`: what the power does, target, full power, the share that holds or the
    thermostat's difference, the stack's heat capacity. `sensor`: where the probe stands
    between its cell and the next, and its lag. `spans`: from target to off, rest, and the
    longest wait for the target (of a schedule: its end). `steps`: tolerance, fixed step or 0,
    longest step under heat and at rest. `out`: times, temperatures, moistures, readings,
    powers, one row a step from the start on, and the books.
    """
    times, temperatures, moistures, readings, powers, books = out
    mode, target, full = control[0], control[1], control[2]
    hold_s, rest_s, limit_s = spans[0], spans[1], spans[2]
    tolerance_k, fixed_s = steps[0], steps[1]
    n = start_c.size
    T, M = start_c.copy(), start_m.copy()
    T1, M1, T2, M2 = T.copy(), M.copy(), T.copy(), M.copy()
    works, rows, losses = np.zeros((3, WORK_ROWS, n)), np.zeros((ROWS, n)), np.zeros((3, 3))
    memory = np.array([0.5 * full, 1.0])
    # Newton's last change bounds its error with much to spare.
    newton_k = 1e-9 if fixed_s > 0.0 else 0.3 * tolerance_k
    into = float(np.sum(stack[3] * stack[0]))
    t, dt, taken, piece, ended = 0.0, _FIRST_STEP_S, 0, 0, ENDED
    reached, off, finish = -1.0, -1.0, _NEVER
    if mode == SCHEDULE:
        off, finish = limit_s, limit_s + rest_s
    books[4] = held(T, M, stack, works, losses)
    place = T[probe] + sensor[0] * (T[probe + 1] - T[probe])
    times[0], readings[0] = 0.0, place
    temperatures[0], moistures[0] = T, M
    while t < finish - 1e-9:
        # What the power does now, until when at the latest, and how long a step may be.
        reading, until, longest = readings[taken], finish, steps[2]
        if off >= 0.0 and t >= off - 1e-9:
            power, longest = 0.0, steps[3]
        elif mode == SCHEDULE:
            while piece + 1 < schedule_s.size and schedule_s[piece + 1] <= t + 1e-9:
                piece += 1
            power, until = schedule_w[piece], off
            if piece + 1 < schedule_s.size:
                until = min(until, schedule_s[piece + 1])
        elif reached < 0.0:
            power, until = full, limit_s
            if t >= limit_s - 1e-9:
                ended = NEVER_REACHED
                break
        else:
            power, until = power_now(control, memory, reading, dt), off
            if mode != SHARE:
                longest = min(longest, 4.0 if mode == CONTROLLER else 1.0)
        dt = min(dt, longest) if fixed_s <= 0.0 else fixed_s
        if t + dt > until - 1e-9:
            dt = until - t
        elif t + 1.5 * dt > until and fixed_s <= 0.0:
            dt = 0.5 * (until - t)
        factor, after, there = 1.0, reading, place
        accepted = False
        for attempt in range(40):
            wrong = step(
                T, M, T1, M1, T2, M2, dt, power, stack, works, rows, losses, tolerance_k, newton_k
            )
            if wrong < 0.0:
                dt *= 0.3
                continue
            if fixed_s <= 0.0:
                factor = min(max(0.85 * max(wrong, 1e-6) ** (-1.0 / 3.0), 0.2), 3.0)
                if wrong > 1.0 and dt > 1e-4:
                    dt *= factor
                    continue
            there = T2[probe] + sensor[0] * (T2[probe + 1] - T2[probe])
            after = probe_after(reading, place, there, dt, sensor[1])
            heating = mode != SCHEDULE and reached < 0.0
            if heating and after > target + 0.02 and fixed_s <= 0.0 and attempt < 30:
                # Land on the target, so that the power turns there and not a step later.
                dt *= max((target + 0.01 - reading) / (after - reading), 1e-3)
                continue
            accepted = True
            break
        if not accepted:
            ended = STUCK
            break
        t += dt
        books[0] += dt * power * into
        for j in range(3):
            books[1 + j] += lost_in_step(losses, j, dt)
        T[:], M[:], place = T2, M2, there
        taken += 1
        times[taken], readings[taken], powers[taken - 1] = t, after, power
        temperatures[taken], moistures[taken] = T, M
        dt = dt * factor
        if mode != SCHEDULE and reached < 0.0 and after >= target - 1e-9:
            reached, off, finish = t, t + hold_s, t + hold_s + rest_s
            dt = min(dt, 0.5)
        if abs(t - until) < 1e-9:
            dt = _FIRST_STEP_S
        if taken + 1 >= times.size:
            ended = FULL
            break
    books[5] = held(T, M, stack, works, losses)
    return ended, taken, reached, off
