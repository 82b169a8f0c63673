"""What a step does to each fibre, worked out once for all stations that share a history.

A fibre is a spring that never lets go and three springs in series with dashpots, all of them
on the strain that is left when plastic flow is taken off. Stretched, more of its stiffness is
in the spring that never lets go than squeezed; the sum is the same. Over a step of strain d
the stress goes to carried + stiffness × d until it reaches a flow limit. Here every
exponential is taken.
"""

from __future__ import annotations

import math

import numpy as np

from rimwright.bending.kernels.compiled import compiled
from rimwright.bending.kernels.relations import softening_temperature
from rimwright.curves.piece import FloatArray

# Places in the law's vector, as `rimwright.bending.law.Law` writes it.
STIFFNESS = 0
LASTING = 1
PULLED_LASTING = 2
FLOW_FIRM = 3
HARDENING = 4
TENSION_FLOW = 5
OFFSET = 6
FLOW_SLOPE = 7
RELAXATION = 8
PER_DECADE = 9
SPREAD = 10
SORPTION = 11
FIRM_CAPACITY = 12
GRIP = 13
LAW_SIZE = 14

# Places in a fibre's row of a step.
DECAY = 0  # three
GAIN = 3  # three, as shares of what a branch would take if nothing relaxed
TANGENT = 6  # of a squeezed fibre
PULLED_TANGENT = 7  # of a stretched one
PRESS_LIMIT = 8
PULL_LIMIT = 9
ROW = 10

#: Beyond this many decades from softening nothing more is told apart.
_DECADES = 14.0


@compiled
def step_rows(
    law: FloatArray,
    time_s: FloatArray,
    temperature_c: FloatArray,
    moisture: FloatArray,
    rows: FloatArray,
    face_rates: FloatArray,
) -> None:
    """Fill `rows` (steps, fibres, ROW) and `face_rates` (steps, 2) for one history.

    Step k leads from time k - 1 to time k; the distance to softening is that of its middle.
    The flow stress falls by the same share for each degree, from its firm value at 20 °C and
    12 % moisture; colder and drier it rises to half as much again. `face_rates` is by how much
    more a stretch counts at each face than one of soft wood: straight between firm and
    softening.
    """
    steps, fibres = temperature_c.shape
    stiff, lasting, pulled = law[STIFFNESS], law[LASTING], law[PULLED_LASTING]
    firm_at = 20.0 - softening_temperature(0.12, law[OFFSET])
    for k in range(1, steps):
        dt = time_s[k] - time_s[k - 1]
        for f in range(fibres):
            warm = 0.5 * (temperature_c[k, f] + temperature_c[k - 1, f])
            water = 0.5 * (moisture[k, f] + moisture[k - 1, f])
            distance = warm - softening_temperature(water, law[OFFSET])
            decades = min(max(-distance / law[PER_DECADE], -_DECADES), _DECADES)
            clock = dt / (law[RELAXATION] * 10.0**decades)
            dried = law[SORPTION] * abs(moisture[k, f] - moisture[k - 1, f])
            share = min(math.exp(-law[FLOW_SLOPE] * (distance - firm_at)), 1.5)
            firm = min(max(distance / firm_at, 0.0), 1.0)
            rate = 1.0 / (1.0 - firm * (1.0 - law[FIRM_CAPACITY]))
            firmly = 0.0
            for b in range(3):
                spent = clock * 10.0 ** ((1.0 - b) * law[SPREAD]) + dried
                gain = 1.0
                if spent > 1e-12:
                    gain = -math.expm1(-spent) / spent
                rows[k, f, DECAY + b] = math.exp(-spent)
                rows[k, f, GAIN + b] = gain
                firmly += gain / 3.0
            rows[k, f, TANGENT] = stiff * (lasting + (1.0 - lasting) * firmly)
            rows[k, f, PULLED_TANGENT] = stiff * (pulled + (1.0 - pulled) * firmly)
            rows[k, f, PRESS_LIMIT] = law[FLOW_FIRM] * share
            rows[k, f, PULL_LIMIT] = law[TENSION_FLOW]
            if f == 0:
                face_rates[k, 0] = rate
            if f == fibres - 1:
                face_rates[k, 1] = rate


def gauss_fibres(count: int) -> tuple[FloatArray, FloatArray]:
    """Places over the thickness, -½ to ½, and weights of that many Gauss-Legendre fibres.

    Examples
    --------
    >>> place, weight = gauss_fibres(5)
    >>> round(float(weight @ place**2) * 12.0, 12)
    1.0
    """
    place, weight = np.polynomial.legendre.leggauss(count)
    return 0.5 * place, 0.5 * weight


def plain_fibres(count: int) -> tuple[FloatArray, FloatArray]:
    """The same for slices of equal thickness, read at their middles."""
    return (np.arange(count) + 0.5) / count - 0.5, np.full(count, 1.0 / count)
