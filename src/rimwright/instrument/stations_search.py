"""How the named places of a rim are found: bouts and waist, and the tightest bends."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from rimwright.curves.piece import FloatArray
from rimwright.instrument.outline import RimFrame, RimPiece

PlaceKind = Literal["end", "widest", "narrowest", "tightest"]
#: Name, place on the outer line [m] and kind.
Placed = tuple[str, float, PlaceKind]

#: Samples of the search on each rim, about 3 mm apart on a guitar: a share of the rim's length,
#: so that a larger body of the same shape has its places where the smaller one has them.
_SAMPLES = 240
#: A waist dips at least this far below the bouts beside it, as a share of the rim's length,
#: or turns at least this far where a cutaway leaves hardly a bout beyond it: our choice,
#: above the wobble of a traced line and under any waist one would bend.
_LEAST_DIP, _LEAST_TURN = 0.004, np.radians(6.0)
#: A bend's place is the middle of the stretch within this share of its greatest curvature,
#: so that a wobble along a drawn arc does not move it.
_PLATEAU = 0.03
#: A horn or scoop is there where the line bends at least this tight. [1/m]
_LEAST_BEND = 1.0


@dataclass(frozen=True, slots=True)
class Samples:
    """One piece read finely, on both sides of every joint."""

    s: FloatArray
    frame: RimFrame

    @classmethod
    def of(cls, rim: RimPiece) -> Samples:
        joints = rim.chain.stations
        even = np.linspace(0.0, rim.length, _SAMPLES + 1)
        near = 1e-9 * rim.length
        s = np.unique(np.concatenate([even, joints, joints[1:] - near]))
        return cls(s, rim.at(s))


def bouts(rim: RimPiece, samples: Samples) -> tuple[float, list[Placed]]:
    """Where the cutaway may begin (the waist), and the bouts and waist there are."""
    sign = 1.0 if rim.hand == "treble" else -1.0
    width = sign * samples.frame.position[:, 1]
    # How deep each place lies under the lower of the highest on either side: the waist is
    # where that is greatest, however many small dips there are.
    left = np.maximum.accumulate(width)
    right = np.maximum.accumulate(width[::-1])[::-1]
    dip = np.minimum(left, right) - width
    waist = int(np.argmax(dip))
    if not _is_waist(samples, waist, float(dip[waist]) / rim.length):
        (lower,) = _extremes(rim, samples, (int(np.argmax(width)),), width)
        return lower, [("lower bout", lower, "widest")]
    first = int(np.argmax(width[:waist]))
    last = waist + int(np.argmax(width[waist:]))
    lower, middle, upper = _extremes(rim, samples, (first, waist, last), width)
    return middle, [
        ("lower bout", lower, "widest"),
        ("waist", middle, "narrowest"),
        ("upper bout", upper, "widest"),
    ]


def _is_waist(samples: Samples, i: int, dip: float) -> bool:
    """Whether a dip, as a share of the length, is deep or bent enough to be called a waist."""
    if dip >= _LEAST_DIP or dip < 1e-6:
        return dip >= _LEAST_DIP
    first, last = _run(samples.frame.curvature < 0.0, i)
    heading = samples.frame.heading
    return bool(abs(heading[last] - heading[first]) >= _LEAST_TURN)


def _extremes(
    rim: RimPiece, samples: Samples, at: tuple[int, ...], width: FloatArray
) -> list[float]:
    """The exact places of the extremes of the width at or beside those samples."""
    s = samples.s
    runs = [_run(np.abs(width - width[i]) < 1e-9 * rim.length, i) for i in at]
    # A stretch along the centreline: its middle. Elsewhere the travel is parallel to the
    # centreline where the sine of the heading changes sign, beside the sample.
    found = np.array([0.5 * (s[first] + s[last]) for first, last in runs])
    bent = np.array([s[last] - s[first] < 0.1 * s[-1] / _SAMPLES for first, last in runs])
    low = np.array([s[max(first - 1, 0)] for first, _ in runs])
    high = np.array([s[min(last + 1, len(s) - 1)] for _, last in runs])
    share = np.linspace(0.0, 1.0, 65)
    row = np.arange(len(at))
    for _ in range(2):
        fine = low[:, None] + (high - low)[:, None] * share
        across = np.sin(rim.at(fine.ravel()).heading).reshape(fine.shape)
        changes = np.signbit(across[:, :-1]) != np.signbit(across[:, 1:])
        bent &= changes.any(axis=1)
        i = np.argmax(changes, axis=1)
        low, high = fine[row, i], fine[row, i + 1]
        before, after = across[row, i], across[row, i + 1]
    # Straight over the last micrometre.
    between = before / np.where(bent, before - after, 1.0)
    return [float(one) for one in np.where(bent, low + (high - low) * between, found)]


def _run(level: npt.NDArray[np.bool_], i: int) -> tuple[int, int]:
    """First and last index of the run of true values about `i`."""
    first = last = i
    while first > 0 and level[first - 1]:
        first -= 1
    while last < len(level) - 1 and level[last + 1]:
        last += 1
    return first, last


def tightest(samples: Samples, beyond: float, *, convex: bool) -> float | None:
    """Middle of the tightest bend of that sense after `beyond`, or None without one."""
    s = samples.s
    bend = samples.frame.curvature if convex else -samples.frame.curvature
    bend = np.where(s >= beyond, bend, -np.inf)
    i = int(np.argmax(bend))
    if bend[i] < _LEAST_BEND:
        return None
    first, last = _run(bend >= (1.0 - _PLATEAU) * bend[i], i)
    return float(0.5 * (s[first] + s[last]))
