"""Heat through a stack of layers: what flows into each cell, and how that changes with it.

Finite volumes: a cell's temperature stands for its middle, heat crosses from middle to
middle through half a cell, the contact between layers and half the next cell, so what one
loses the other gains, whatever the layers are.
"""

from __future__ import annotations

import math

import numpy as np

from rimwright.bending.kernels.compiled import Array, compiled
from rimwright.bending.kernels.heat_wood import activity, enthalpy, latent, saturation
from rimwright.bending.kernels.relations import conductivity, moisture_diffusion

#: What does not change in a run: width, conductivity and capacity of each cell, its share of
#: the blanket's heat per metre, contact resistance below each cell, first wood cell and the one
#: past the last, [gravity, share of the handbook's conductivity] of the wood, [escape of steam
#: per square metre and atmosphere of overpressure, conductance of each wood face to the room's
#: vapour, the room's vapour pressure], faces (see `face_loss`), the room's temperature.
Stack = tuple[Array, Array, Array, Array, Array, int, int, Array, Array, Array, float]
STEFAN_BOLTZMANN = 5.670374419e-8
_ZERO_C = 273.15
_ATMOSPHERE_PA = 101_325.0
_WATER_HEAT = 4180.0

# Rows of the work array: per cell, what `assemble` leaves there.
ENTHALPY, CAPACITY, BY_MOISTURE, GAIN, BELOW, DIAGONAL, ABOVE = 0, 1, 2, 3, 4, 5, 6
VAPOUR, VAPOUR_BY_T, VAPOUR_BY_M, VAPOUR_HEAT, CONDUCTIVITY, GUESS = 7, 8, 9, 10, 11, 12
ROWS = 13


@compiled
def face_loss(
    cell_c: float, half_g: float, face: Array, room_c: float
) -> tuple[float, float, float]:
    """Heat out of one face to the room: free convection, radiation, and a straight part.

    `face` holds h / dT^¼ of convection, emissivity, straight coefficient. Returns the flow,
    its slope by the cell's temperature, and the face's own temperature.
    """
    surface = cell_c
    room_k4 = (room_c + _ZERO_C) ** 4
    slope = 0.0
    for _ in range(4):
        rise = surface - room_c
        root = math.sqrt(math.sqrt(abs(rise)))
        kelvin = surface + _ZERO_C
        cube = kelvin * kelvin * kelvin
        radiated = face[1] * STEFAN_BOLTZMANN
        loss = (face[0] * root + face[2]) * rise + radiated * (cube * kelvin - room_k4)
        slope = 1.25 * face[0] * root + face[2] + 4.0 * radiated * cube
        change = (half_g * (cell_c - surface) - loss) / (half_g + slope)
        surface += change
        if abs(change) < 1e-9:
            break
    return half_g * (cell_c - surface), half_g * slope / (half_g + slope), surface


@compiled
def assemble(
    T: Array,
    M: Array,
    power: float,
    stack: Stack,
    work: Array,
    losses: Array,
) -> None:
    """Fill `work` for this state, and `losses` of lower face, upper face and steam. [W/m²]"""
    width, solid_k, solid_c, source, contact, first, last, timber, steam, faces, room_c = stack
    n = T.size
    gravity, k_share = timber[0], timber[1]
    dry = 1000.0 * gravity
    wood = max(last - first, 1) * width[first]
    for i in range(n):
        work[VAPOUR, i] = work[VAPOUR_BY_T, i] = work[VAPOUR_BY_M, i] = 0.0
        work[VAPOUR_HEAT, i] = work[BY_MOISTURE, i] = 0.0
        work[BELOW, i] = work[DIAGONAL, i] = work[ABOVE, i] = 0.0
        work[GAIN, i] = source[i] * power
        if first <= i < last:
            held, capacity, by_moisture = enthalpy(dry, M[i], T[i])
            work[ENTHALPY, i], work[CAPACITY, i] = held, capacity
            work[BY_MOISTURE, i] = by_moisture
            work[CONDUCTIVITY, i] = k_share * conductivity(gravity, M[i], T[i])
        else:
            work[ENTHALPY, i], work[CAPACITY, i] = solid_c[i] * T[i], solid_c[i]
            work[CONDUCTIVITY, i] = solid_k[i]
    for i in range(n - 1):
        resistance = (
            0.5 * width[i] / work[CONDUCTIVITY, i]
            + contact[i + 1]
            + 0.5 * width[i + 1] / work[CONDUCTIVITY, i + 1]
        )
        g = 1.0 / resistance
        flow = g * (T[i] - T[i + 1])
        work[GAIN, i] -= flow / width[i]
        work[GAIN, i + 1] += flow / width[i + 1]
        work[DIAGONAL, i] -= g / width[i]
        work[ABOVE, i] = g / width[i]
        work[DIAGONAL, i + 1] -= g / width[i + 1]
        work[BELOW, i + 1] = g / width[i + 1]
    lower, slope, _ = face_loss(T[0], 2.0 * work[CONDUCTIVITY, 0] / width[0], faces[0], room_c)
    work[GAIN, 0] -= lower / width[0]
    work[DIAGONAL, 0] -= slope / width[0]
    half = 2.0 * work[CONDUCTIVITY, n - 1] / width[n - 1]
    upper, slope, _ = face_loss(T[n - 1], half, faces[1], room_c)
    work[GAIN, n - 1] -= upper / width[n - 1]
    work[DIAGONAL, n - 1] -= slope / width[n - 1]
    steam_loss = 0.0
    for i in range(first, last):
        edge = i in (first, last - 1) and steam[1] > 0.0
        if T[i] <= 99.9 and not edge:
            continue
        pressure, pressure_by_t = saturation(T[i])
        # The isotherm is held above 99 °C, and below it moves little beside the pressure.
        wetness, by_m, work[GUESS, i] = activity(M[i], T[i], work[GUESS, i])
        over = wetness * pressure - _ATMOSPHERE_PA
        rate = by_pressure = 0.0
        if over > 0.0:
            by_pressure = steam[0] / (_ATMOSPHERE_PA * wood)
            rate = by_pressure * over
        if edge:
            # Air carries off no more than vapour at the atmosphere's pressure.
            through = steam[1] / width[i]
            rate += through * (min(wetness * pressure, _ATMOSPHERE_PA) - steam[2])
            if over < 0.0:
                by_pressure += through
        heat = latent(T[i]) + work[BY_MOISTURE, i] / dry
        work[VAPOUR, i] = rate
        work[VAPOUR_BY_T, i] = by_pressure * wetness * pressure_by_t
        work[VAPOUR_BY_M, i] = by_pressure * by_m * pressure
        work[VAPOUR_HEAT, i] = heat
        work[GAIN, i] -= rate * heat
        steam_loss += rate * heat * width[i]
    losses[0], losses[1], losses[2] = lower, upper, steam_loss


@compiled
def solve(below: Array, diagonal: Array, above: Array, right: Array, scratch: Array) -> None:
    """Solve a tridiagonal system in place of its right side (Thomas)."""
    n = right.size
    scratch[0] = above[0] / diagonal[0]
    right[0] /= diagonal[0]
    for i in range(1, n):
        pivot = diagonal[i] - below[i] * scratch[i - 1]
        scratch[i] = above[i] / pivot
        right[i] = (right[i] - below[i] * right[i - 1]) / pivot
    for i in range(n - 2, -1, -1):
        right[i] -= scratch[i] * right[i + 1]


@compiled
def spread_water(
    T: Array, M: Array, step_s: float, width: Array, first: int, last: int, gravity: float
) -> None:
    """Water moves through the wood for one step (backward Euler), taking its heat along."""
    count = last - first
    if count < 2:
        return
    dry, dx = 1000.0 * gravity, width[first]
    pulls = np.empty(count - 1)
    below, diagonal, above = np.zeros(count), np.ones(count), np.zeros(count)
    moist, scratch = M[first:last].copy(), np.empty(count)
    for i in range(count - 1):
        middle_m = 0.5 * (moist[i] + moist[i + 1])
        middle_t = 0.5 * (T[first + i] + T[first + i + 1])
        pulls[i] = moisture_diffusion(max(middle_m, 0.0), middle_t, gravity) / dx
        share = step_s * pulls[i] / dx
        diagonal[i] += share
        diagonal[i + 1] += share
        above[i] = below[i + 1] = -share
    solve(below, diagonal, above, moist, scratch)
    carried = 0.0
    for i in range(count):
        cell = first + i
        onward = 0.0
        if i < count - 1:
            # Per square metre, from this cell to the next.
            water = step_s * dry * pulls[i] * (moist[i] - moist[i + 1])
            onward = water * _WATER_HEAT * 0.5 * (T[cell] + T[cell + 1])
        held = enthalpy(dry, M[cell], T[cell])[0] + (carried - onward) / dx
        carried = onward
        M[cell] = moist[i]
        # The carried heat is computed before T moves in the next cell: exact bookkeeping.
        scratch[i] = held
    for i in range(count):
        cell = first + i
        for _ in range(3):
            now, capacity, _by = enthalpy(dry, M[cell], T[cell])
            T[cell] += (scratch[i] - now) / capacity
