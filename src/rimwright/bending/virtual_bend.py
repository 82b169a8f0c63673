"""The virtual bend of one piece of side: from its history and timetable to the released line.

A fibre section at every station is bent as the recipe bends it, hot and wet as the history
says, rests on the form while it cools and dries, is let go, and creeps back. What comes out is
a middle value with a range from the law's ranges, one number moved at a time and the moves
added as squares (JCGM 100:2008, 5.1.2, from memory), up and down apart.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimwright.bending.check_line import BentPiece
from rimwright.bending.history import FibreHistory
from rimwright.bending.law import LAW_NAMES, LAW_WORDS, Law, law_of
from rimwright.bending.parameters import BendParameters
from rimwright.bending.release import Gap, gap_places, gaps_at, released_outline
from rimwright.bending.virtual_capacity import as_sourced, virtual_capacity
from rimwright.bending.virtual_forces import RamForce, ram_forces
from rimwright.bending.virtual_many import (
    FEW_FIBRES,
    FIBRES,
    Bends,
    Timetable,
    bend_many,
    conditions,
)
from rimwright.curves.piece import FloatArray
from rimwright.equipment.stack import Equipment
from rimwright.instrument.stations import place_in_words
from rimwright.sources import Provenance, Sourced
from rimwright.wood.species import Wood


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


@dataclass(frozen=True, kw_only=True)
class BendRun:
    """One piece of side bent in the computer; arrays over stations (n,) and steps (m,)."""

    piece: BentPiece
    timetable: Timetable
    law: Law
    #: What the wood bears, in the strain of this law; None without a wood.
    capacity: Sourced | None
    #: Curvature of the line its inside face met on the form. [1/m]
    inside_curvature: FloatArray
    #: Strain of the inside and outside face, stretch positive, shape (m, n).
    strain_inside: FloatArray
    strain_outside: FloatArray
    #: Bending moment a width, shape (m, n). [N]
    moment: FloatArray
    #: Middle curvature on the form, just after release, and a week later. [1/m]
    home_curvature: FloatArray
    released_curvature: FloatArray
    later_curvature: FloatArray
    #: Range of the released curvature, shape (n,). [1/m]
    released_low: FloatArray
    released_high: FloatArray
    #: Greatest stretch of inside and outside face as of wet and hot wood, shape (2, n).
    stretch: FloatArray
    danger: Danger
    gaps: tuple[Gap, ...]
    gaps_later: tuple[Gap, ...]
    forces: tuple[RamForce, ...]
    #: Outside of the released side in body coordinates, shape (n, 2). [m]
    released_line: FloatArray
    later_line: FloatArray
    #: What the range of the far end's gap comes from, the greatest first: name and share.
    moved_by: tuple[tuple[str, float], ...]
    rests_on: tuple[str, ...]

    @property
    def utilisation(self) -> FloatArray | None:
        """Greatest of each face and station over the capacity's middle, shape (2, n)."""
        return None if self.capacity is None else self.stretch / self.capacity.middle

    @property
    def recovery(self) -> FloatArray:
        """Share of the curvature on the form that is lost at release, where it is bent at all."""
        bent = np.abs(self.home_curvature) > 0.5
        lost = 1.0 - self.released_curvature / np.where(bent, self.home_curvature, 1.0)
        return np.where(bent, lost, 0.0)


def inside_curvature(piece: BentPiece) -> FloatArray:
    """Curvature of the line that the inside face meets on a plain form. [1/m]"""
    return piece.curvature / (1.0 - piece.thickness * piece.curvature)


def virtual_bend(
    piece: BentPiece,
    history: FibreHistory,
    timetable: Timetable,
    parameters: BendParameters,
    wood: Wood | None,
    *,
    form_curvature: FloatArray | None = None,
    capacity: Sourced | None = None,
    equipment: Equipment | None = None,
    width_m: float = 0.1,
    fibres: int = FIBRES,
) -> BendRun:
    """Bend one piece of side, let it rest, release it, and say what came of it.

    Parameters
    ----------
    piece : BentPiece
        Line, thickness and stations.
    history : FibreHistory
        Through heat, rest and a week beyond; `virtual_history.carried_on` makes it last.
    timetable : Timetable
    parameters : BendParameters
        Its law, with what is known of the wood.
    wood : Wood or None
    form_curvature : ndarray, shape (stations,), optional
        Of the line the inside face meets, if not that of a plain form. [1/m]
    capacity : Sourced, optional
        Tensile face strain the wood bears wet and hot, as `capacity_of_sides` has it; without
        it no utilisation.
    equipment : Equipment, optional
        Its elastic slats share the rams' force.
    width_m : float, default 0.1
        Of the blank, for the rams' force. [m]
    fibres : int
        Gauss-Legendre fibres of the middle run.
    """
    law = law_of(wood, parameters.law)
    bent = inside_curvature(piece) if form_curvature is None else form_curvature
    middle = bend_many(
        law.vector(),
        thickness_m=piece.thickness,
        inside_curvature=bent,
        timetable=timetable,
        conditions=conditions([history], timetable.time_s, fibres),
        record=True,
        workers=2,
    )
    ends = law.ends()
    laws = np.array([law.vector(), *(vector for _, vector in ends)])
    bears = None if capacity is None else virtual_capacity(capacity, laws, parameters)
    ranged = bend_many(
        laws,
        thickness_m=piece.thickness,
        inside_curvature=bent,
        timetable=timetable,
        conditions=conditions([history], timetable.time_s, FEW_FIBRES),
        workers=2,
    )
    record = middle.record[0]
    strain, curvature, moment = record[:, 0], record[:, 1], record[:, 2]
    half = 0.5 * piece.thickness * curvature
    home = bent / (1.0 + 0.5 * piece.thickness * bent)
    low, high = _spread(middle.released[0], ranged.released[1:] - ranged.released[0])
    gaps, moved = _gaps(piece, middle.released[0], ranged.released, ends)
    later, _ = _gaps(piece, middle.later[0], ranged.later, ends)
    return BendRun(
        piece=piece,
        timetable=timetable,
        law=law,
        capacity=None if capacity is None or bears is None else as_sourced(capacity, bears[0]),
        inside_curvature=bent,
        strain_inside=strain - half,
        strain_outside=strain + half,
        moment=moment,
        home_curvature=home,
        released_curvature=middle.released[0],
        later_curvature=middle.later[0],
        released_low=low,
        released_high=high,
        stretch=middle.stretch[0],
        danger=_danger(piece, middle, ranged, timetable, bears),
        gaps=gaps,
        gaps_later=later,
        forces=ram_forces(
            piece, timetable, curvature, moment, equipment=equipment, width_m=width_m
        ),
        released_line=_line(piece, middle.released[0]),
        later_line=_line(piece, middle.later[0]),
        moved_by=moved,
        rests_on=rests_on(law),
    )


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


def _line(piece: BentPiece, curvature: FloatArray) -> FloatArray:
    return released_outline(
        piece.rim, piece.s, thickness_m=piece.thickness, middle_curvature=curvature
    )


def _spread(middle: FloatArray, moves: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Low and high from moves of one number at a time, added as squares up and down apart."""
    down = np.sqrt(np.sum(np.minimum(moves, 0.0) ** 2, axis=0))
    up = np.sqrt(np.sum(np.maximum(moves, 0.0) ** 2, axis=0))
    return middle - down, middle + up


def _derived(middle: float, low: float, high: float, note: str) -> Sourced:
    return Sourced(
        middle=float(middle),
        low=float(low),
        high=float(high),
        provenance=Provenance.DERIVED,
        note=note,
    )


def _gaps(
    piece: BentPiece,
    middle: FloatArray,
    ranged: FloatArray,
    ends: tuple[tuple[str, FloatArray], ...],
) -> tuple[tuple[Gap, ...], tuple[tuple[str, float], ...]]:
    """Gaps with ranges, and which number moves the last of them most."""
    places = gap_places(piece.half, piece.rim)
    lines = _line(piece, np.vstack([middle[None], ranged]))
    across, away = gaps_at(piece.rim, piece.s, lines, places)
    bounds = [_spread(values[0], values[2:] - values[1]) for values in (across, away)]
    note = "virtual bend, range from the law's"
    found = tuple(
        Gap(
            name=name,
            s_outer_m=s,
            gap_m=_derived(across[0, i], bounds[0][0][i], bounds[0][1][i], note),
            away_m=_derived(away[0, i], max(bounds[1][0][i], 0.0), bounds[1][1][i], note),
        )
        for i, (name, s) in enumerate(places)
    )
    sizes: dict[str, float] = {}
    for (name, _), move in zip(ends, across[2:, -1] - across[1, -1], strict=True):
        sizes[name] = sizes.get(name, 0.0) + float(move) ** 2
    total = sum(sizes.values()) or 1.0
    order = sorted(sizes.items(), key=lambda item: -item[1])
    return found, tuple((name, size / total) for name, size in order)


def _danger(
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
    low, high = (float(end) for end in _spread(np.asarray(value), there[1:] - there[0]))
    size = _derived(value, low, high, "virtual bend, range from the law's")
    used = None
    if bears is not None:
        share = value / bears[0, 1]
        shares = there / bears[:, 1]
        low, high = (float(end) for end in _spread(np.asarray(share), shares[1:] - shares[0]))
        used = _derived(share, low, high, "over the middle of what the wood bears")
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
