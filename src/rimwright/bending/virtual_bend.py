"""The virtual bend of one piece of side: from its history and timetable to the released line.

A fibre section at every station is bent as the recipe bends it, hot and wet as the history
says, rests on the form while it cools and dries, is let go, and creeps back.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimwright.bending.check_line import BentPiece
from rimwright.bending.history import FibreHistory
from rimwright.bending.law import Law, law_of
from rimwright.bending.parameters import BendParameters
from rimwright.bending.release import Gap
from rimwright.bending.virtual_capacity import as_sourced, virtual_capacity
from rimwright.bending.virtual_forces import RamForce, ram_forces
from rimwright.bending.virtual_many import (
    FEW_FIBRES,
    FIBRES,
    Timetable,
    bend_many,
    conditions,
)
from rimwright.bending.virtual_ranges import (
    Danger,
    danger_of,
    line_of,
    rests_on,
    spread,
    told_gaps,
)
from rimwright.curves.piece import FloatArray
from rimwright.equipment.stack import Equipment
from rimwright.sources import Sourced
from rimwright.wood.species import Wood


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
    low, high = spread(middle.released[0], ranged.released[1:] - ranged.released[0])
    gaps, moved = told_gaps(piece, middle.released[0], ranged.released, ends)
    later, _ = told_gaps(piece, middle.later[0], ranged.later, ends)
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
        danger=danger_of(piece, middle, ranged, timetable, bears),
        gaps=gaps,
        gaps_later=later,
        forces=ram_forces(
            piece, timetable, curvature, moment, equipment=equipment, width_m=width_m
        ),
        released_line=line_of(piece, middle.released[0]),
        later_line=line_of(piece, middle.later[0]),
        moved_by=moved,
        rests_on=rests_on(law),
    )
