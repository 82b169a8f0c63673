"""One step of the fibre sections of a block of stations: balance the force, take the step.

Stations are taken `LANES` side by side, so that the innermost loops run over stations with
the same coefficients, fit the processor's vectors, and need no sums across stations: the
order of every sum is fixed, whoever runs it. The state lies in two flat arrays, `v` of
stations and `w` of fibres, at constant distances, so that the compiler sees that nothing
overlaps.
"""

from __future__ import annotations

import numpy as np

from rimwright.bending.kernels import section
from rimwright.bending.kernels.compiled import compiled
from rimwright.curves.piece import FloatArray

# Indices into the flat array are unsigned: a signed one might count from the end, and the
# loop with that question in it does not fit the vectors.
U = np.uint64
#: Stations side by side.
LANES = 32
L = U(LANES)
#: At most this many corrections of the axial strain; three are usual.
_PASSES = 200
#: From this one on with slopes that never go too far; hardly ever reached.
_IN_DOUBT = 12
#: No correction is greater. [strain]
_GREATEST = 0.05
#: Corrections smaller than this are done. [strain]
_SMALL = 1e-11

# Planes of a fibre: four stresses, the flow so far, the carried stress.
Q1, Q2, Q3 = U(1) * L, U(2) * L, U(3) * L
FLOWED, CARRIED, FIBRE = U(4) * L, U(5) * L, U(6) * L
# Planes of a station.
AXIAL, BEND, FORCE, STIFF, TURN = U(0), L, U(2) * L, U(3) * L, U(4) * L
STIFF_1, STIFF_2, CURVATURE, STRAIN = U(5) * L, U(6) * L, U(7) * L, U(8) * L
THICK, HOME, IN, OUT, RATIO = U(9) * L, U(10) * L, U(11) * L, U(12) * L, U(13) * L
PEAK_IN, PEAK_OUT, WHEN_IN, WHEN_OUT = U(14) * L, U(15) * L, U(16) * L, U(17) * L
SHARE = U(18) * L

_TANGENT, _GAIN, _DECAY = section.TANGENT, section.GAIN, section.DECAY
_PRESS_LIMIT, _PULL_LIMIT = section.PRESS_LIMIT, section.PULL_LIMIT
_PRESS_SHARE, _PULL_SHARE = section.PRESS_SHARE, section.PULL_SHARE
_PRESS_TANGENT = section.PRESS_TANGENT


@compiled
def balance(
    v: FloatArray, w: FloatArray, row: FloatArray, place: FloatArray, weight: FloatArray,
    hardening: float, free: bool, cautious: bool,
) -> None:  # fmt: skip
    """Force (and moment, if free) of the block at the strains tried, with their slopes.

    Cautious slopes are those of fibres that do not flow: with them a correction never goes
    too far, only short.
    """
    for s in range(L):
        v[FORCE + s] = 0.0
        v[STIFF + s] = 0.0
        v[TURN + s] = 0.0
        v[STIFF_1 + s] = 0.0
        v[STIFF_2 + s] = 0.0
    for f in range(place.size):
        z, share = place[f], weight[f]
        stiff, press_limit, pull_limit = row[f, _TANGENT], row[f, _PRESS_LIMIT], row[f, _PULL_LIMIT]
        press_tangent = stiff if cautious else row[f, _PRESS_TANGENT]
        pull_tangent = stiff if cautious else 0.0
        kept = share * (1.0 - stiff * row[f, _PRESS_SHARE])
        base = U(f) * FIBRE
        if free:
            for s in range(L):
                strain = v[AXIAL + s] + z * v[BEND + s]
                stress = w[base + CARRIED + s] + stiff * strain
                limit = -press_limit - hardening * w[base + FLOWED + s]
                below = stress < limit
                above = stress > pull_limit
                slope = press_tangent if below else stiff
                slope = share * (pull_tangent if above else slope)
                force = limit + (stress - limit) * (kept / share) if below else stress
                force = share * (pull_limit if above else force)
                v[FORCE + s] += force
                v[STIFF + s] += slope
                v[TURN + s] += z * force
                v[STIFF_1 + s] += z * slope
                v[STIFF_2 + s] += z * z * slope
        else:
            for s in range(L):
                strain = v[AXIAL + s] + z * v[BEND + s]
                stress = w[base + CARRIED + s] + stiff * strain
                limit = -press_limit - hardening * w[base + FLOWED + s]
                below = stress < limit
                above = stress > pull_limit
                slope = press_tangent if below else stiff
                slope = share * (pull_tangent if above else slope)
                force = limit + (stress - limit) * (kept / share) if below else stress
                force = share * (pull_limit if above else force)
                v[FORCE + s] += force
                v[STIFF + s] += slope


@compiled
def commit(
    v: FloatArray, w: FloatArray, row: FloatArray, after: FloatArray, place: FloatArray,
    weight: FloatArray, hardening: float,
) -> None:  # fmt: skip
    """Take the step: stresses, flow, moment; and what the next step will find carried."""
    for s in range(L):
        v[TURN + s] = 0.0
    for f in range(place.size):
        z, moment = place[f], weight[f] * place[f]
        stiff, press_limit, pull_limit = row[f, _TANGENT], row[f, _PRESS_LIMIT], row[f, _PULL_LIMIT]
        press_share, pull_share = row[f, _PRESS_SHARE], row[f, _PULL_SHARE]
        g0, g1, g2, g3 = row[f, _GAIN], row[f, _GAIN + 1], row[f, _GAIN + 2], row[f, _GAIN + 3]
        d1, d2, d3 = after[f, _DECAY], after[f, _DECAY + 1], after[f, _DECAY + 2]
        base = U(f) * FIBRE
        for s in range(L):
            strain = v[AXIAL + s] + z * v[BEND + s]
            stress = w[base + CARRIED + s] + stiff * strain
            below = stress + press_limit + hardening * w[base + FLOWED + s]
            above = stress - pull_limit
            pressed = (below if below < 0.0 else 0.0) * press_share
            pulled = (above if above > 0.0 else 0.0) * pull_share
            elastic = strain - pressed - pulled
            w[base + FLOWED + s] -= pressed
            v[TURN + s] += moment * (stress - stiff * (pressed + pulled))
            q0 = w[base + s] + g0 * elastic
            q1 = (w[base + Q1 + s] + g1 * elastic) * d1
            q2 = (w[base + Q2 + s] + g2 * elastic) * d2
            q3 = (w[base + Q3 + s] + g3 * elastic) * d3
            w[base + s] = q0
            w[base + Q1 + s] = q1
            w[base + Q2 + s] = q2
            w[base + Q3 + s] = q3
            w[base + CARRIED + s] = (q0 + q1) + (q2 + q3)


@compiled
def solve(
    v: FloatArray, w: FloatArray, row: FloatArray, place: FloatArray, weight: FloatArray,
    hardening: float, grip: float, free: bool,
) -> None:  # fmt: skip
    """Axial strain that balances the force; free of the form, the curvature as well."""
    for tried in range(_PASSES):
        # Let go, fibres that have just flowed are about to come back: begin as if none flowed.
        cautious = tried >= _IN_DOUBT or (free and tried == 0)
        balance(v, w, row, place, weight, hardening, free, cautious)
        # A count and not the greatest correction: whole numbers may be summed in any order,
        # so that this loop fits the vectors as well.
        unsettled = 0
        if free:
            for s in range(L):
                force, turn = v[FORCE + s], v[TURN + s]
                stiff, first = v[STIFF + s] + 1e-3, v[STIFF_1 + s]
                second = v[STIFF_2 + s] + 1e-4
                whole = stiff * second - first * first
                axial = (first * turn - second * force) / whole
                bend = (first * force - stiff * turn) / whole
                axial = min(max(axial, -_GREATEST), _GREATEST)
                bend = min(max(bend, -_GREATEST), _GREATEST)
                v[AXIAL + s] += axial
                v[BEND + s] += bend
                unsettled += 1 if abs(axial) + abs(bend) > _SMALL else 0
        else:
            for s in range(L):
                axial = (grip - v[FORCE + s]) / (v[STIFF + s] + 1e-3)
                axial = min(max(axial, -_GREATEST), _GREATEST)
                v[AXIAL + s] += axial
                unsettled += 1 if abs(axial) > _SMALL else 0
        if unsettled == 0:
            break
