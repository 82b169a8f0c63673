"""The named places along a rim: bouts, waist, horn, scoop and the ends.

Found from the shape alone, so that they are there whatever the outline came from, and
left out where a body has none (a teardrop has no waist).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from rimwright.curves.piece import FloatArray
from rimwright.instrument.outline import Half, PieceName, RimFrame, RimPiece
from rimwright.units import length_text

FeatureKind = Literal["end", "widest", "narrowest", "tightest"]

#: Sampling of the search. [m]
_STEP = 0.003
#: Least dip of a waist below the bouts beside it, as a share of the rim's length: our
#: choice, well above the wobble of a traced line and well under any waist one would bend.
_LEAST_DIP = 0.004
#: A bend's place is the middle of the stretch within this share of its greatest curvature,
#: so that a wobble along a drawn arc does not move it.
_PLATEAU = 0.03
#: A horn or scoop is there where the line bends at least this tight. [1/m]
_LEAST_BEND = 1.0


@dataclass(frozen=True, slots=True)
class Feature:
    """A named place on one half of the rim."""

    #: "tail seam", "lower bout", "waist", "upper bout", "horn", "scoop", "horn tip", "neck end".
    name: str
    piece: PieceName
    #: On the outer line, from the tail seam (on a return piece from the tip). [m]
    s_m: float
    x_m: float
    y_m: float
    #: Convex positive. [1/m]
    curvature: float
    kind: FeatureKind

    @property
    def mark_name(self) -> str:
        """What the mark there is called: "widest lower bout", "waist"."""
        return f"widest {self.name}" if self.kind == "widest" else self.name


@dataclass(frozen=True, slots=True)
class _Samples:
    """One piece read finely, on both sides of every joint."""

    s: FloatArray
    frame: RimFrame

    @classmethod
    def of(cls, rim: RimPiece) -> _Samples:
        joints = rim.chain.stations
        even = np.linspace(0.0, rim.length, max(int(np.ceil(rim.length / _STEP)), 40) + 1)
        near = 1e-9 * rim.length
        s = np.unique(np.concatenate([even, joints, joints[1:] - near]))
        return cls(s, rim.at(s))


def features(half: Half) -> tuple[Feature, ...]:
    """The named places of a half, in order from the tail; main piece before return.

    Widest and narrowest are measured from the centreline; where a stretch runs parallel to
    it, its middle is taken. Horn and scoop are looked for on a cutaway half only: the
    tightest convex bend beyond the waist and the tightest concave one after it.

    Examples
    --------
    >>> from rimwright.curves.arc import Arc
    >>> from rimwright.curves.chain import Chain
    >>> round_body = Chain((Arc((0.0, 0.0), -np.pi / 2, 5.0, 0.2 * np.pi),))
    >>> half = Half("bass", RimPiece("bass", "main", round_body))
    >>> [place.mark_name for place in features(half)]
    ['tail seam', 'widest lower bout', 'neck end']
    """
    main = half.main
    samples = _Samples.of(main)
    places: list[tuple[str, float, FeatureKind]] = [("tail seam", 0.0, "end")]
    beyond, extremes = _bouts(main, samples)
    places += extremes
    if half.cutaway == "rounded":
        horn = _tightest(samples, beyond, convex=True)
        scoop = None if horn is None else _tightest(samples, horn, convex=False)
        if horn is not None and scoop is not None:
            places += [("horn", horn, "tightest"), ("scoop", scoop, "tightest")]
    ends_at = "neck end" if half.return_piece is None else "horn tip"
    found = _read(main, [*places, (ends_at, main.length, "end")])
    if half.return_piece is not None:
        back = half.return_piece
        scoop = _tightest(_Samples.of(back), 0.0, convex=False)
        bend: list[tuple[str, float, FeatureKind]] = (
            [] if scoop is None else [("scoop", scoop, "tightest")]
        )
        found += _read(back, [("horn tip", 0.0, "end"), *bend, ("neck end", back.length, "end")])
    return tuple(found)


def _read(rim: RimPiece, places: list[tuple[str, float, FeatureKind]]) -> list[Feature]:
    places = sorted(places, key=lambda place: place[1])
    frame = rim.at(np.array([s for _, s, _ in places]))
    return [
        Feature(name, rim.name, s, float(point[0]), float(point[1]), float(curvature), kind)
        for (name, s, kind), point, curvature in zip(
            places, frame.position, frame.curvature, strict=True
        )
    ]


def _bouts(rim: RimPiece, samples: _Samples) -> tuple[float, list[tuple[str, float, FeatureKind]]]:
    """Where the cutaway may begin (the waist), and the bouts and waist there are."""
    sign = 1.0 if rim.hand == "treble" else -1.0
    width = sign * samples.frame.position[:, 1]
    # How deep each place lies under the lower of the highest on either side: the waist is
    # where that is greatest, however many small dips there are.
    left = np.maximum.accumulate(width)
    right = np.maximum.accumulate(width[::-1])[::-1]
    dip = np.minimum(left, right) - width
    waist = int(np.argmax(dip))
    if dip[waist] < _LEAST_DIP * rim.length:
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


def _extremes(
    rim: RimPiece, samples: _Samples, at: tuple[int, ...], width: FloatArray
) -> list[float]:
    """The exact places of the extremes of the width at or beside those samples."""
    s = samples.s
    runs = [_run(np.abs(width - width[i]) < 1e-9 * rim.length, i) for i in at]
    # A stretch along the centreline: its middle. Elsewhere the travel is parallel to the
    # centreline where the sine of the heading changes sign, beside the sample.
    found = np.array([0.5 * (s[first] + s[last]) for first, last in runs])
    bent = np.array([s[last] - s[first] < 0.1 * _STEP for first, last in runs])
    low = np.array([s[max(first - 1, 0)] for first, _ in runs])
    high = np.array([s[min(last + 1, len(s) - 1)] for _, last in runs])
    share = np.linspace(0.0, 1.0, 33)
    row = np.arange(len(at))
    for _ in range(3):
        fine = low[:, None] + (high - low)[:, None] * share
        across = np.sin(rim.at(fine.ravel()).heading).reshape(fine.shape)
        changes = np.signbit(across[:, :-1]) != np.signbit(across[:, 1:])
        bent &= changes.any(axis=1)
        i = np.argmax(changes, axis=1)
        low, high = fine[row, i], fine[row, i + 1]
        before, after = across[row, i], across[row, i + 1]
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


def _tightest(samples: _Samples, beyond: float, *, convex: bool) -> float | None:
    """Middle of the tightest bend of that sense after `beyond`, or None without one."""
    s = samples.s
    bend = samples.frame.curvature if convex else -samples.frame.curvature
    bend = np.where(s >= beyond, bend, -np.inf)
    i = int(np.argmax(bend))
    if bend[i] < _LEAST_BEND:
        return None
    first, last = _run(bend >= (1.0 - _PLATEAU) * bend[i], i)
    return float(0.5 * (s[first] + s[last]))


def region(half: Half, rim: RimPiece, s: float) -> str:
    """What a maker calls the bend at `s` on that piece: "waist", "scoop", "lower bout"...

    Parameters
    ----------
    half : Half
        The half the piece belongs to.
    rim : RimPiece
        Its main or return piece.
    s : float
        On the outer line. [m]

    Returns
    -------
    str
        A concave place after the horn or on a return is the scoop, elsewhere the waist; a
        convex one is the horn while it bends at least half as tight as the horn does, else
        the bout on its side of the waist.
    """
    places = {place.name: place for place in features(half) if place.piece == rim.name}
    if rim.name == "return":
        return "scoop"
    curvature = float(rim.at(np.array([s])).curvature[0])
    horn = places.get("horn")
    if curvature < 0:
        return "scoop" if horn is not None and s > horn.s_m else "waist"
    if horn is not None:
        between = np.linspace(min(s, horn.s_m), max(s, horn.s_m), 65)
        if rim.at(between).curvature.min() >= 0.5 * horn.curvature:
            return "horn"
    waist = places.get("waist")
    return "lower bout" if waist is None or s < waist.s_m else "upper bout"


def place_in_words(
    half: Half, rim: RimPiece, s: float, show: Literal["metric", "inch"] = "metric"
) -> str:
    """A place in words: what bend, how tight, how far from the nearer end.

    Examples
    --------
    >>> from rimwright.curves.arc import Arc
    >>> from rimwright.curves.chain import Chain
    >>> round_body = Chain((Arc((0.0, 0.0), -np.pi / 2, 5.0, 0.2 * np.pi),))
    >>> half = Half("bass", RimPiece("bass", "main", round_body))
    >>> place_in_words(half, half.main, 0.6)
    'lower bout, 200 mm radius, 28 mm before the neck end'
    """
    curvature = float(rim.at(np.array([s])).curvature[0])
    start = "the tail seam" if rim.name == "main" else "the horn tip"
    pointed = rim.name == "main" and half.return_piece is not None
    end = "the horn tip" if pointed else "the neck end"
    if s < 0.5 * rim.length:
        distance = f"{_whole(s, show)} from {start}"
    else:
        distance = f"{_whole(rim.length - s, show)} before {end}"
    bend = "straight"
    if abs(curvature) > 1e-3:
        bend = f"{_whole(1.0 / abs(curvature), show)} radius"
    return f"{region(half, rim, s)}, {bend}, {distance}"


def _whole(length_m: float, show: Literal["metric", "inch"]) -> str:
    """Whole millimetres, or the inch text of `units`: enough to find a place."""
    return f"{length_m * 1e3:.0f} mm" if show == "metric" else length_text(length_m, show)
