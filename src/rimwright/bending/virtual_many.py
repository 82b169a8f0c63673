"""Many virtual bends at once on bare arrays: what odds, compensation and ranges all call."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from rimwright.bending.history import FibreHistory
from rimwright.curves.piece import FloatArray

IntArray = npt.NDArray[np.int64]

#: Fibres through the thickness of one side, and of many samples (`docs/virtual-bend.md` shows
#: what they err by).
FIBRES, FEW_FIBRES = 21, 11


@dataclass(frozen=True, slots=True)
class Timetable:
    """When each station is bent, held and let go."""

    #: Shape (steps,), from the first moment of bending. [s]
    time_s: FloatArray
    #: Share of the way home, shape (steps, stations).
    progress: FloatArray
    #: Index of the step, of no length, in which the side is let go.
    release: int
    #: Name of the bend under way in each step: "waist-home", ..., "hold", "rest", "freed".
    doing: tuple[str, ...] = ()

    @property
    def released_s(self) -> float:
        """When it is let go. [s]"""
        return float(self.time_s[self.release])


@dataclass(frozen=True, slots=True)
class Conditions:
    """Temperature and moisture at the steps and fibres, one row a history."""

    #: Over the thickness, -½ inside to ½ outside, shape (fibres,); weights sum to 1.
    place: FloatArray
    weight: FloatArray
    #: Shape (histories, steps, fibres). [°C], [fraction]
    temperature_c: FloatArray
    moisture: FloatArray


@dataclass(frozen=True, slots=True)
class Bends:
    """What comes out of many virtual bends; rows are samples, columns stations."""

    #: Curvature of the middle line just after release, and at the last step. [1/m]
    released: FloatArray
    later: FloatArray
    #: Greatest stretch of the inside and of the outside face, shape (samples, 2, stations):
    #: strain, each part of it counted by how much less the wood bore at that moment than
    #: wet and hot. Over the capacity wet and hot it is the utilisation.
    stretch: FloatArray
    #: Step at which that was reached, shape (samples, 2, stations).
    when: IntArray
    #: If recorded: axial strain, middle curvature and moment a width by step and station,
    #: shape (samples, steps, 3, stations); else no rows. [-], [1/m], [N]
    record: FloatArray


def conditions(
    histories: Sequence[FibreHistory], time_s: FloatArray, fibres: int = FIBRES
) -> Conditions:
    """Read histories at the steps and at Gauss-Legendre fibres."""
    from rimwright.bending.kernels.section import gauss_fibres

    place, weight = gauss_fibres(fibres)
    read = [
        [
            _read(history.time_s, values, time_s, place)
            for values in (history.temperature_c, history.moisture)
        ]
        for history in histories
    ]
    return Conditions(
        place=place,
        weight=weight,
        temperature_c=np.array([one[0] for one in read]),
        moisture=np.array([one[1] for one in read]),
    )


def _read(
    times: FloatArray, values: FloatArray, time_s: FloatArray, place: FloatArray
) -> FloatArray:
    """Linear in time and through the thickness; level beyond the outermost slices' middles."""
    count = values.shape[1]
    middles = (np.arange(count) + 0.5) / count - 0.5
    weights = np.stack([np.interp(place, middles, row) for row in np.eye(count)])
    at_times = np.stack([np.interp(time_s, times, column) for column in values.T], axis=1)
    return np.ascontiguousarray(at_times @ weights)


def bend_many(
    laws: FloatArray,
    *,
    thickness_m: FloatArray,
    inside_curvature: FloatArray,
    timetable: Timetable,
    conditions: Conditions,
    which: IntArray | None = None,
    record: bool = False,
    workers: int = 1,
) -> Bends:
    """Bend, hold, release and let creep, once for each sample.

    Parameters
    ----------
    laws : ndarray, shape (samples, 14)
        Vectors of `rimwright.bending.law.Law`.
    thickness_m, inside_curvature : ndarray, shape (stations,) or (samples, stations)
        At bending, and of the line its inside face meets on the form, convex positive. [m], [1/m]
    timetable : Timetable
    conditions : Conditions
        Of one history or several.
    which : ndarray, shape (samples,), optional
        History of each sample; the first unless given.
    record : bool, default False
        Whether to keep every step.
    workers : int, default 1
        Threads; the result is the same to the last bit whatever their number.
    """
    from rimwright.bending.kernels.bend import bend_samples
    from rimwright.bending.kernels.section_solve import LANES

    laws = np.ascontiguousarray(np.atleast_2d(laws), dtype=np.float64)
    samples, stations, steps = laws.shape[0], timetable.progress.shape[1], timetable.time_s.size
    thick, bent = (
        np.ascontiguousarray(np.broadcast_to(np.asarray(values, float), (samples, stations)))
        for values in (thickness_m, inside_curvature)
    )
    chosen = np.zeros(samples, np.int64) if which is None else np.asarray(which, np.int64)
    out = Bends(
        released=np.empty((samples, stations)),
        later=np.empty((samples, stations)),
        stretch=np.empty((samples, 2, stations)),
        when=np.empty((samples, 2, stations), np.int64),
        record=np.zeros((samples if record else 0, steps, 3, stations)),
    )

    def part(first: int, last: int, start: int, end: int) -> None:
        bend_samples(
            laws, chosen, timetable.time_s, conditions.temperature_c, conditions.moisture,
            conditions.place, conditions.weight, timetable.progress, timetable.release,
            thick, bent, first, last, start, end,
            out.released, out.later, out.stretch, out.when, out.record,
        )  # fmt: skip

    _shared(part, samples, stations, LANES, workers)
    return out


def _shared(
    part: Callable[[int, int, int, int], None],
    samples: int,
    stations: int,
    lanes: int,
    workers: int,
) -> None:
    """Share samples among threads, or the blocks of stations of a single one."""
    if workers <= 1:
        part(0, samples, 0, stations)
        return
    if samples >= workers:
        cuts = [samples * i // workers for i in range(workers + 1)]
        jobs = [(a, b, 0, stations) for a, b in pairwise(cuts)]
    else:
        blocks = -(-stations // lanes)
        cuts = [min(lanes * (blocks * i // workers), stations) for i in range(workers)] + [stations]
        jobs = [(0, samples, a, b) for a, b in pairwise(cuts) if b > a]
    with ThreadPoolExecutor(len(jobs)) as pool:
        for done in [pool.submit(part, *job) for job in jobs]:
            done.result()
