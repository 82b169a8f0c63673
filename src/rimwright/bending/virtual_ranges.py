"""What a virtual bend says, with ranges: one number of the law moved at a time.

The moves are added as squares (JCGM 100:2008, 5.1.2, from memory), up and down apart.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimwright.bending.check_line import BentPiece
from rimwright.bending.law import LAW_NAMES, LAW_WORDS, Law
from rimwright.bending.release import Gap, gap_places, gaps_at, released_outline
from rimwright.bending.virtual_many import Bends, Timetable
from rimwright.curves.piece import FloatArray
from rimwright.instrument.stations import place_in_words
from rimwright.sources import Provenance, Sourced


@dataclass(frozen=True, slots=True, kw_only=True)
class Danger:
    """The moment, station and face nearest to breaking."""

    station: int
    s_outer_m: float
    #: "inside" or "outside".
    face: str
    #: On the heat's clock. [s]
    time_s: float
    #: Bend under way, as in the recipe's keys.
    doing: str
    #: Stretch there, as of wet and hot wood, with its range.
    stretch: Sourced
    #: That over the capacity's middle, the law's range in both; None without a wood.
    utilisation: Sourced | None
    words: str


def rests_on(law: Law) -> tuple[str, ...]:
    """The law's numbers in words: range, where from, how far to trust it."""
    words = []
    for name in LAW_NAMES:
        value: Sourced = getattr(law, name)
        if value.low == value.high:
            continue
        said, unit, of = LAW_WORDS[name]
        source = f", {value.source}" if value.source else ""
        words.append(
            f"{said}: {value.middle / of:.3g} {unit} ({value.low / of:.3g} to "
            f"{value.high / of:.3g}), {value.provenance}{source}; {value.note}"
        )
    return tuple(words)


def line_of(piece: BentPiece, curvature: FloatArray) -> FloatArray:
    """Where the outside of the piece lies with those curvatures of its middle line. [m]"""
    return released_outline(
        piece.rim, piece.s, thickness_m=piece.thickness, middle_curvature=curvature
    )


def spread(middle: FloatArray, moves: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Low and high from moves of one number at a time, added as squares up and down apart."""
    down = np.sqrt(np.sum(np.minimum(moves, 0.0) ** 2, axis=0))
    up = np.sqrt(np.sum(np.maximum(moves, 0.0) ** 2, axis=0))
    return middle - down, middle + up


def derived(middle: float, low: float, high: float, note: str) -> Sourced:
    """A computed value with its range."""
    return Sourced(
        middle=float(middle),
        low=float(low),
        high=float(high),
        provenance=Provenance.DERIVED,
        note=note,
    )


def told_gaps(
    piece: BentPiece,
    middle: FloatArray,
    ranged: FloatArray,
    ends: tuple[tuple[str, FloatArray], ...],
) -> tuple[tuple[Gap, ...], tuple[tuple[str, float], ...]]:
    """Gaps with ranges, and which number moves the last of them most."""
    places = gap_places(piece.half, piece.rim)
    lines = line_of(piece, np.vstack([middle[None], ranged]))
    across, away = gaps_at(piece.rim, piece.s, lines, places)
    bounds = [spread(values[0], values[2:] - values[1]) for values in (across, away)]
    note = "virtual bend, range from the law's"
    found = tuple(
        Gap(
            name=name,
            s_outer_m=s,
            gap_m=derived(across[0, i], bounds[0][0][i], bounds[0][1][i], note),
            away_m=derived(away[0, i], max(bounds[1][0][i], 0.0), bounds[1][1][i], note),
        )
        for i, (name, s) in enumerate(places)
    )
    sizes: dict[str, float] = {}
    for (name, _), move in zip(ends, across[2:, -1] - across[1, -1], strict=True):
        sizes[name] = sizes.get(name, 0.0) + float(move) ** 2
    total = sum(sizes.values()) or 1.0
    order = sorted(sizes.items(), key=lambda item: -item[1])
    return found, tuple((name, size / total) for name, size in order)


def danger_of(
    piece: BentPiece,
    middle: Bends,
    ranged: Bends,
    timetable: Timetable,
    bears: FloatArray | None,
) -> Danger:
    """Where, when and on which face the stretch is greatest."""
    stretch = middle.stretch[0]
    face, station = np.unravel_index(int(np.argmax(stretch)), stretch.shape)
    step = int(middle.when[0, face, station])
    value = float(stretch[face, station])
    there = ranged.stretch[:, face, station]
    low, high = (float(end) for end in spread(np.asarray(value), there[1:] - there[0]))
    size = derived(value, low, high, "virtual bend, range from the law's")
    used = None
    if bears is not None:
        share = value / bears[0, 1]
        shares = there / bears[:, 1]
        low, high = (float(end) for end in spread(np.asarray(share), shares[1:] - shares[0]))
        used = derived(share, low, high, "over the middle of what the wood bears")
    s = float(piece.s[station])
    doing = timetable.doing[step] if timetable.doing else ""
    name = ("inside", "outside")[int(face)]
    return Danger(
        station=int(station),
        s_outer_m=s,
        face=name,
        time_s=float(timetable.time_s[step]),
        doing=doing,
        stretch=size,
        utilisation=used,
        words=f"{name} face at the {place_in_words(piece.half, piece.rim, s)}, during "
        f"{doing.replace('-', ' ')}",
    )
