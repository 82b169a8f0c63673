"""From the recipe's bends to a timetable: when each station of a side goes home."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from rimwright.bending.bench import BENDS
from rimwright.bending.results import Recipe
from rimwright.bending.virtual_many import Timetable
from rimwright.bending.virtual_span import nose_curvature
from rimwright.curves.piece import FloatArray
from rimwright.instrument.outline import Half, PieceName, RimPiece
from rimwright.instrument.stations import features, region
from rimwright.tooling.parts import RamTravel

#: Steps of the bending itself, of hold and rest, and after release, for one side and for many
#: samples; `docs/virtual-bend.md` shows what they err by.
STEPS, FEW_STEPS = (400, 60, 24), (200, 60, 24)
#: After release the side is watched for a week. [s]
WATCHED_S = 7 * 86_400.0
#: Length over which a strip drawn down goes from straight to lying on the form. Assumed. [m]
_WRAP_M = 0.040
#: What of the tail end the last clamp brings down. Assumed. [m]
_TAIL_M = 0.060
#: The waist ram stands this far off home until the bouts are down (recipe). [m]
_SHORT_M = 0.006
#: Regions are read this far apart along a side. [m]
_READ_M = 0.008


def timetable(
    recipe: Recipe,
    half: Half,
    rim: RimPiece,
    s: FloatArray,
    *,
    rams: tuple[RamTravel, ...] = (),
    rest_s: float = 86_400.0,
    start_s: float | None = None,
    pace: float = 1.0,
    steps: tuple[int, int, int] = STEPS,
) -> Timetable:
    """When each station goes home, step by step of the recipe, until a week after release.

    Parameters
    ----------
    recipe : Recipe
        Its hot steps named in `rimwright.bending.bench.BENDS`, in their order.
    half, rim : Half, RimPiece
        The piece of side.
    s : ndarray, shape (stations,)
        On the outer line. [m]
    rams : tuple of RamTravel, optional
        How far each ram moves, for the stretch under its nose.
    rest_s : float, default a day
        From the last clamp to release. [s]
    start_s : float, optional
        Start of the first bend on the heat's clock; the recipe's time to its target unless
        given. [s]
    pace : float, default 1
        Durations of the bends over the recipe's.
    steps : tuple of int
        Of the bending, of hold and rest, after release.
    """
    places = regions(half, rim, s)
    bends = [step for step in recipe.steps if step.phase == "hot" and step.key in BENDS]
    bends = [
        step
        for step in bends
        if not BENDS[step.key] or BENDS[step.key] in places or step.key == "tail"
    ]
    start = recipe.warm_up.to_target_s.middle if start_s is None else start_s
    lengths = np.array([pace * step.duration_s.middle for step in bends if step.duration_s])
    ends = start + np.cumsum(lengths)
    starts = ends - lengths
    last = float(ends[-1]) if ends.size else start + 1.0
    moving = np.linspace(start, last, steps[0] + 1)
    resting = last + np.geomspace(min(2.0, 0.1 * rest_s), rest_s, steps[1])
    freed = resting[-1] + np.concatenate([[0.0], np.geomspace(60.0, WATCHED_S, steps[2])])
    time_s = np.concatenate([moving, resting, freed])
    progress = np.zeros((time_s.size, s.size))
    doing = ["hold"] * time_s.size
    for step, begin, length in zip(bends, starts, lengths, strict=True):
        share = np.clip((time_s - begin) / length, 0.0, 1.0)
        moved = _moved(step.key, share, places=places, half=half, rim=rim, s=s, rams=rams)
        np.maximum(progress, moved, out=progress)
        for i in np.flatnonzero((time_s > begin) & (time_s <= begin + length + 1e-9)):
            doing[int(i)] = step.key
    # What no bend of the recipe names comes down with the last one.
    if ends.size:
        final = np.clip((time_s - starts[-1]) / lengths[-1], 0.0, 1.0)[:, None]
    else:
        final = np.clip(time_s - start, 0.0, 1.0)[:, None]
    unnamed = progress[-1] < 1.0
    progress[:, unnamed] = np.maximum(progress[:, unnamed], final)
    # A stretch that has met the form stays on it.
    np.maximum.accumulate(progress, axis=0, out=progress)
    release = moving.size + resting.size
    doing[release:] = ["freed"] * (time_s.size - release)
    return Timetable(
        time_s=time_s,
        progress=np.ascontiguousarray(progress),
        release=release,
        doing=tuple(doing),
    )


def regions(half: Half, rim: RimPiece, s: FloatArray) -> list[str]:
    """What a maker calls the bend at each station: "waist", "scoop", "lower bout"..."""
    names = _regions(half, rim.name)
    nearest = np.round(s / rim.length * (len(names) - 1)).astype(int)
    return [names[i] for i in nearest]


@lru_cache(maxsize=16)  # a form is bent with one ram after the other
def _regions(half: Half, piece: PieceName) -> tuple[str, ...]:
    """The same at even steps along a piece, both its ends among them."""
    rim = next(one for one in half.pieces if one.name == piece)
    read = np.linspace(0.0, rim.length, int(np.ceil(rim.length / _READ_M)) + 1)
    return tuple(region(half, rim, float(at)) for at in read)


def _moved(
    key: str,
    share: FloatArray,
    *,
    places: list[str],
    half: Half,
    rim: RimPiece,
    s: FloatArray,
    rams: tuple[RamTravel, ...],
) -> FloatArray:
    """Share of the way home of every station while one bend is made, shape (steps, stations)."""
    feature = BENDS[key]
    here = np.array([place == feature for place in places])
    moved = np.zeros((share.size, s.size))
    if key == "tail":
        tail = s <= _TAIL_M if rim.name == "main" else np.zeros(s.size, bool)
        moved[:, tail] = share[:, None]
        return moved
    if not here.any():
        return moved
    at = s[here]
    if feature in {"waist", "scoop"}:
        ram = next(
            (
                ram
                for ram in rams
                if (ram.hand, ram.piece) == (rim.hand, rim.name)
                and at[0] <= ram.s_outer_m <= at[-1]
            ),
            None,
        )
        moved[:, here] = _pushed_in(key, share, at, half=half, rim=rim, ram=ram)
        return moved
    if feature == "lower bout":
        # Drawn down from the waist towards the tail; the last of it is the tail's clamp.
        way = at[-1] - at
        moved[:, here] = _drawn_down(share, way)
        moved[:, here & (s <= _TAIL_M)] *= 0.5
        return moved
    moved[:, here] = _drawn_down(share, at - at[0])
    return moved


def _drawn_down(share: FloatArray, way: FloatArray) -> FloatArray:
    """A front that runs at a steady pace along the bend, the strip settling behind it."""
    front = share[:, None] * (way.max() + _WRAP_M)
    return np.asarray(np.clip((front - way[None, :]) / _WRAP_M, 0.0, 1.0))


def _pushed_in(
    key: str,
    share: FloatArray,
    at: FloatArray,
    *,
    half: Half,
    rim: RimPiece,
    ram: RamTravel | None,
) -> FloatArray:
    """Under a ram's nose: the elastica between its supports, until the strip meets the form."""
    if ram is None:
        return np.array(np.broadcast_to(share[:, None], (share.size, at.size)))
    supports = [place.s_m for place in features(half) if place.piece == rim.name]
    before = max((one for one in supports if one < at[0]), default=0.0)
    after = min((one for one in supports if one > at[-1]), default=rim.length)
    span = max(after - before, 2.0 * _WRAP_M)
    short = min(_SHORT_M, 0.5 * ram.travel_m)
    first, last = {
        "waist-nearly-home": (0.0, ram.travel_m - short),
        "waist-home": (ram.travel_m - short, ram.travel_m),
    }.get(key, (0.0, ram.travel_m))
    travel = first + share * (last - first)
    fall = np.clip(1.0 - np.abs(at - ram.s_outer_m) / (0.5 * span), 0.0, 1.0)
    free = nose_curvature(travel, span)[:, None] * fall[None, :]
    home = np.maximum(np.abs(rim.at(at).curvature), 1e-6)
    moved = np.clip(free / home, 0.0, 1.0)
    if key != "waist-nearly-home":
        # In the last half of its way the nose presses whatever is left on to the form.
        moved = np.maximum(moved, np.clip(2.0 * share - 1.0, 0.0, 1.0)[:, None])
    return np.asarray(np.where(share[:, None] > 0.0, moved, 0.0))
