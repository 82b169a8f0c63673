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

# Planes of a fibre: strain less flow, three stresses, rise of the flow stress so far, and the
# stress that the fibre would come to in the next step if its strain less flow went to zero.
Q1, Q2, Q3 = U(1) * L, U(2) * L, U(3) * L
RISEN, BASE, FIBRE = U(4) * L, U(5) * L, U(6) * L
# Planes of a station.
AXIAL, BEND, FORCE, STIFF, TURN = U(0), L, U(2) * L, U(3) * L, U(4) * L
STIFF_1, STIFF_2, CURVATURE, STRAIN = U(5) * L, U(6) * L, U(7) * L, U(8) * L
THICK, HOME, IN, OUT, RATIO = U(9) * L, U(10) * L, U(11) * L, U(12) * L, U(13) * L
PEAK_IN, PEAK_OUT, WHEN_IN, WHEN_OUT = U(14) * L, U(15) * L, U(16) * L, U(17) * L
SHARE = U(18) * L

_TANGENT, _PULLED_TANGENT = section.TANGENT, section.PULLED_TANGENT
_GAIN, _DECAY = section.GAIN, section.DECAY
_PRESS_LIMIT, _PULL_LIMIT = section.PRESS_LIMIT, section.PULL_LIMIT


@compiled
def balance(
    v: FloatArray, w: FloatArray, row: FloatArray, place: FloatArray, weight: FloatArray,
    free: bool, cautious: bool,
) -> None:  # fmt: skip
    """Force (and moment, if free) of the block at the strains tried, with their slopes.

    Cautious slopes are those of fibres that do not flow: with them a correction never goes
    too far, only short.
    """
    for s in range(L):
        v[FORCE + s] = 0.0
        v[STIFF + s] = 0.0
    if free:
        for s in range(L):
            v[TURN + s] = 0.0
            v[STIFF_1 + s] = 0.0
            v[STIFF_2 + s] = 0.0
    for f in range(place.size):
        z, share = place[f], weight[f]
        squeezed, stretched = row[f, _TANGENT], row[f, _PULLED_TANGENT]
        press_limit, pull_limit = -row[f, _PRESS_LIMIT], row[f, _PULL_LIMIT]
        flowing = share * stretched if cautious else 0.0
        base = U(f) * FIBRE
        if free:
            for s in range(L):
                strain = v[AXIAL + s] + z * v[BEND + s]
                sound = w[base + s] + strain
                stiff = stretched if sound > 0.0 else squeezed
                stress = w[base + BASE + s] + stiff * sound
                limit = press_limit - w[base + RISEN + s]
                force = limit if stress < limit else stress
                force = pull_limit if force > pull_limit else force
                slope = share * stiff if force == stress else flowing
                force = share * force
                v[FORCE + s] += force
                v[STIFF + s] += slope
                v[TURN + s] += z * force
                v[STIFF_1 + s] += z * slope
                v[STIFF_2 + s] += z * z * slope
        else:
            for s in range(L):
                strain = v[AXIAL + s] + z * v[BEND + s]
                sound = w[base + s] + strain
                stiff = stretched if sound > 0.0 else squeezed
                stress = w[base + BASE + s] + stiff * sound
                limit = press_limit - w[base + RISEN + s]
                force = limit if stress < limit else stress
                force = pull_limit if force > pull_limit else force
                slope = share * stiff if force == stress else flowing
                force = share * force
                v[FORCE + s] += force
                v[STIFF + s] += slope


@compiled
def commit(
    v: FloatArray, w: FloatArray, row: FloatArray, after: FloatArray, place: FloatArray,
    weight: FloatArray, law: FloatArray,
) -> None:  # fmt: skip
    """Take the step: stresses, flow, moment; and what the next step will find carried."""
    hardening, whole = law[section.HARDENING], law[section.STIFFNESS]
    last_squeezed = whole * law[section.LASTING]
    last_stretched = whole * law[section.PULLED_LASTING]
    branch_squeezed = (whole - last_squeezed) / 3.0
    branch_stretched = (whole - last_stretched) / 3.0
    for s in range(L):
        v[TURN + s] = 0.0
    for f in range(place.size):
        z, moment = place[f], weight[f] * place[f]
        squeezed, stretched = row[f, _TANGENT], row[f, _PULLED_TANGENT]
        press_limit, pull_limit = -row[f, _PRESS_LIMIT], row[f, _PULL_LIMIT]
        yields_squeezed, yields_stretched = 1.0 / squeezed, 1.0 / stretched
        # What the next step adds to the lasting spring's stress for a strain.
        more_squeezed = after[f, _TANGENT] - last_squeezed
        more_stretched = after[f, _PULLED_TANGENT] - last_stretched
        g1, g2, g3 = row[f, _GAIN], row[f, _GAIN + 1], row[f, _GAIN + 2]
        d1, d2, d3 = after[f, _DECAY], after[f, _DECAY + 1], after[f, _DECAY + 2]
        base = U(f) * FIBRE
        for s in range(L):
            strain = v[AXIAL + s] + z * v[BEND + s]
            old = w[base + s]
            tried = old + strain
            stress = w[base + BASE + s] + (stretched if tried > 0.0 else squeezed) * tried
            limit = press_limit - w[base + RISEN + s]
            force = limit if stress < limit else stress
            force = pull_limit if force > pull_limit else force
            v[TURN + s] += moment * force
            own = force - w[base + BASE + s]
            sound = own * (yields_stretched if own > 0.0 else yields_squeezed)
            flow = tried - sound
            w[base + RISEN + s] -= hardening * (flow if flow < 0.0 else 0.0)
            before = (branch_stretched if old > 0.0 else branch_squeezed) * old
            taken = (branch_stretched if sound > 0.0 else branch_squeezed) * sound - before
            q1 = (w[base + Q1 + s] + g1 * taken) * d1
            q2 = (w[base + Q2 + s] + g2 * taken) * d2
            q3 = (w[base + Q3 + s] + g3 * taken) * d3
            w[base + s] = sound
            w[base + Q1 + s] = q1
            w[base + Q2 + s] = q2
            w[base + Q3 + s] = q3
            more = (more_stretched if sound > 0.0 else more_squeezed) * sound
            w[base + BASE + s] = (q1 + q2) + (q3 - more)


@compiled
def solve(
    v: FloatArray, w: FloatArray, row: FloatArray, place: FloatArray, weight: FloatArray,
    grip: float, free: bool,
) -> None:  # fmt: skip
    """Axial strain that balances the force; free of the form, the curvature as well."""
    moving = 0
    for s in range(L):
        moving += 1 if abs(v[BEND + s]) > 0.0 else 0
    # At rest the sections only drift: one correction, and the next step puts right what is left.
    passes = _PASSES if free or moving > 0 else 1
    for tried in range(passes):
        # Let go, fibres that have just flowed are about to come back: begin as if none flowed.
        cautious = tried >= _IN_DOUBT or (free and tried == 0)
        balance(v, w, row, place, weight, free, cautious)
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
