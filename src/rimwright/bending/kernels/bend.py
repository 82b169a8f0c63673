"""The virtual bend of many stations and samples: the loop that everything waits for."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from rimwright.bending.kernels import section
from rimwright.bending.kernels import section_solve as lane
from rimwright.bending.kernels.compiled import compiled
from rimwright.bending.kernels.section_solve import LANES, commit, solve
from rimwright.curves.piece import FloatArray

IntArray = npt.NDArray[np.int64]

_U, _L = lane.U, lane.L


@compiled
def bend_block(
    v: FloatArray, w: FloatArray, rows: FloatArray, face_rates: FloatArray, law: FloatArray,
    place: FloatArray, weight: FloatArray, progress: FloatArray, release: int,
    thickness: FloatArray, curvature: FloatArray, first: int,
    released: FloatArray, later: FloatArray, stretch: FloatArray, when: IntArray,
    record: FloatArray,
) -> None:  # fmt: skip
    """Bend one block of stations from `first`, hold, release and let creep.

    `curvature` is that of the wood's inside face on the form; `record`, if it has any steps,
    takes (axial strain, curvature, moment) by step and station.
    """
    steps = rows.shape[0]
    grip = law[section.GRIP]
    count = min(LANES, thickness.size - first)
    v[:] = 0.0
    w[:] = 0.0
    for s in range(_L):
        # Lanes past the last station lie still: their share of the way home stays zero.
        station = min(first + int(np.int64(s)), thickness.size - 1)
        thick = thickness[station]
        v[lane.THICK + s] = thick
        v[lane.HOME + s] = curvature[station] / (1.0 + 0.5 * thick * curvature[station])
    for k in range(1, steps):
        free = k >= release
        if not free:
            for s in range(_U(count)):
                v[lane.SHARE + s] = progress[k, first + np.int64(s)]
        for s in range(_L):
            thick = v[lane.THICK + s]
            to = v[lane.HOME + s] * v[lane.SHARE + s]
            bend = 0.0 if free else thick * (to - v[lane.CURVATURE + s])
            v[lane.BEND + s] = bend
            # The neutral axis moves slowly: start from where it was.
            v[lane.AXIAL + s] = v[lane.RATIO + s] * bend
        solve(v, w, rows[k], place, weight, 0.0 if free else grip, free)
        commit(v, w, rows[k], rows[min(k + 1, steps - 1)], place, weight, law)
        rate_in, rate_out = (0.0, 0.0) if free else (face_rates[k, 0], face_rates[k, 1])
        for s in range(_L):
            axial, bend = v[lane.AXIAL + s], v[lane.BEND + s]
            v[lane.RATIO + s] = axial / bend if abs(bend) > 1e-9 else 0.0
            v[lane.CURVATURE + s] += bend / v[lane.THICK + s]
            v[lane.STRAIN + s] += axial
            inside = v[lane.IN + s] + rate_in * (axial - 0.5 * bend)
            outside = v[lane.OUT + s] + rate_out * (axial + 0.5 * bend)
            v[lane.IN + s], v[lane.OUT + s] = inside, outside
            # Only what moves breaks: the stretch that comes with relaxing at rest is left out.
            moved = not free and abs(bend) > 1e-9
            best = v[lane.PEAK_IN + s]
            new = moved and inside > best
            v[lane.PEAK_IN + s] = inside if new else best
            v[lane.WHEN_IN + s] = float(k) if new else v[lane.WHEN_IN + s]
            best = v[lane.PEAK_OUT + s]
            new = moved and outside > best
            v[lane.PEAK_OUT + s] = outside if new else best
            v[lane.WHEN_OUT + s] = float(k) if new else v[lane.WHEN_OUT + s]
        if k == release:
            for s in range(_U(count)):
                released[first + np.int64(s)] = v[lane.CURVATURE + s]
        if record.shape[0] > 0:
            for s in range(_U(count)):
                thick = v[lane.THICK + s]
                record[k, 0, first + np.int64(s)] = v[lane.STRAIN + s]
                record[k, 1, first + np.int64(s)] = v[lane.CURVATURE + s]
                record[k, 2, first + np.int64(s)] = thick * thick * v[lane.TURN + s]
    for s in range(_U(count)):
        at = first + np.int64(s)
        later[at] = v[lane.CURVATURE + s]
        stretch[0, at], stretch[1, at] = v[lane.PEAK_IN + s], v[lane.PEAK_OUT + s]
        when[0, at], when[1, at] = np.int64(v[lane.WHEN_IN + s]), np.int64(v[lane.WHEN_OUT + s])


@compiled
def bend_samples(
    laws: FloatArray, which: IntArray, time_s: FloatArray, temperature_c: FloatArray,
    moisture: FloatArray, place: FloatArray, weight: FloatArray, progress: FloatArray,
    release: int, thickness: FloatArray, curvature: FloatArray,
    first_sample: int, last_sample: int, first_station: int, last_station: int,
    released: FloatArray, later: FloatArray, stretch: FloatArray, when: IntArray,
    record: FloatArray,
) -> None:  # fmt: skip
    """Samples first to last (not included), and of each the blocks of stations named.

    Arrays have a row a sample; temperature and moisture one a history, and `which` says
    whose a sample takes. `record` has a row for each sample, or no rows.
    """
    steps, fibres = time_s.size, place.size
    rows = np.zeros((steps, fibres, section.ROW))
    face_rates = np.ones((steps, 2))
    v = np.zeros(19 * LANES)
    w = np.zeros(6 * fibres * LANES)
    none = np.zeros((0, 3, 0))
    for i in range(first_sample, last_sample):
        law = laws[i]
        section.step_rows(
            law, time_s, temperature_c[which[i]], moisture[which[i]], rows, face_rates
        )
        for first in range(first_station, last_station, LANES):
            bend_block(
                v, w, rows, face_rates, law, place, weight, progress, release,
                thickness[i], curvature[i], first,
                released[i], later[i], stretch[i], when[i],
                record[i] if record.shape[0] > 0 else none,
            )  # fmt: skip
