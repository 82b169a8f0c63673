"""A form that allows for spring-back: bent past the outline, so that the side comes off on it.

The released side of a form is the form's own affair at every station: what a station keeps
depends on its own bend, heat and thickness. So the curvature a station needs is found by
itself, within what wood and tools bear, and then the line is integrated. Where a bound acts
the rest is told, not hidden: it comes from a virtual bend on the very form that is drawn.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from rimwright.bending.compensation_limits import Limits, limits_of
from rimwright.bending.compensation_line import compensated_rim
from rimwright.bending.compensation_places import Bounded, Overbend, bounded, overbends
from rimwright.bending.compensation_solve import Bend, eased, form_curvature
from rimwright.bending.law import law_of
from rimwright.bending.section import Section
from rimwright.bending.virtual_bend import BendRun, virtual_bend
from rimwright.bending.virtual_capacity import virtual_capacity
from rimwright.bending.virtual_many import FIBRES, IntArray, bend_many, conditions
from rimwright.bending.virtual_side import SideJob
from rimwright.curves.piece import FloatArray
from rimwright.errors import DesignError
from rimwright.instrument.outline import Half, Outline, RimPiece
from rimwright.tooling.bundle import Job, SideSize

BoolArray = npt.NDArray[np.bool_]


@dataclass(frozen=True, kw_only=True)
class FormPiece:
    """The form of one piece of side, bent past the outline; arrays over stations (n,)."""

    job: SideJob
    #: Of the line the inside face meets on the form. [1/m]
    inside_curvature: FloatArray
    #: Outer line of the side as it lies on the form, from the same start.
    rim: RimPiece
    #: Where each station lies on that line. [m]
    s_form: FloatArray
    #: The virtual bend on this form: what is left at each place, with its range.
    run: BendRun
    overbends: tuple[Overbend, ...]
    #: Where something stops the form from being bent as far as the wood asks.
    bounds: tuple[Bounded, ...]
    #: Farthest that the released side lies from the mould, at the middle of everything. [m]
    left_m: float


@dataclass(frozen=True, kw_only=True)
class Compensation:
    """The forms of one instrument, and the outline that `tooling` draws them from."""

    outline: Outline
    pieces: tuple[FormPiece, ...]

    def piece(self, rim: RimPiece) -> FormPiece:
        """The form of that piece of rim."""
        return next(
            one for one in self.pieces if (one.rim.hand, one.rim.name) == (rim.hand, rim.name)
        )


def compensate(outline: Outline, jobs: Sequence[SideJob]) -> Compensation:
    """The form and ram shapes whose released side meets the mould.

    Parameters
    ----------
    outline : Outline
        The outside of the finished rim.
    jobs : sequence of SideJob
        Every piece of its sides, made ready for the virtual bend.

    Returns
    -------
    Compensation
        Its outline is that of the side while it lies on the form. Every piece keeps the length
        of its wood, its start and its direction there.

    Raises
    ------
    DesignError
        If no wood is named: nobody knows then how far it may be bent.
    """
    pieces = tuple(compensate_piece(job) for job in jobs)
    rims = {(one.rim.hand, one.rim.name): one.rim for one in pieces}

    def on_the_form(half: Half) -> Half:
        back = half.return_piece
        return replace(
            half,
            main=rims[half.hand, "main"],
            return_piece=None if back is None else rims[half.hand, "return"],
        )

    return Compensation(
        outline=replace(
            outline,
            bass=on_the_form(outline.bass),
            treble=on_the_form(outline.treble),
            radius_ranges={},
        ),
        pieces=pieces,
    )


def compensate_piece(job: SideJob) -> FormPiece:
    """The form of one piece of side.

    Raises
    ------
    DesignError
        If no wood is named.
    """
    if job.capacity is None:
        raise DesignError(
            "a form to allow for spring-back, and no wood",
            "the wood that is to spring back",
            'name it: wood = "..." under [sides] (`rimwright woods` lists them)',
        )
    piece, margin = job.piece, job.design.margins.strain
    drawn = piece.rim.at(piece.s).curvature
    start = drawn / (1.0 - piece.thickness * drawn)
    target = drawn / (1.0 - 0.5 * piece.thickness * drawn)
    size = SideSize(
        thickness_m=piece.pattern.thickness_m, width_m=job.piece.pattern.blank.stock_width_m
    )
    limits = limits_of(
        Job.of(piece.rim, size, job.design), piece, Section.of(job.parameters), job.capacity, margin
    )
    bend = _bend(job)
    wanted, slope = form_curvature(bend, start, target, limits.low, limits.high)
    law = law_of(job.wood, job.parameters.law).vector()
    bears = virtual_capacity(job.capacity, law[None], job.parameters)[0, 1]
    form, too_far = eased(bend, start, wanted, margin * float(bears))
    run = virtual_bend(
        piece,
        job.heat.history,
        job.timetable,
        job.parameters,
        job.wood,
        form_curvature=form,
        capacity=job.capacity,
        equipment=job.design.equipment,
        width_m=job.piece.pattern.blank.stock_width_m,
    )
    rim, s_form = compensated_rim(
        piece.rim, piece.s, thickness_m=piece.thickness, inside_curvature=form
    )
    away = run.released_line - piece.rim.at(piece.s).position
    limit = _acting(form, limits, too_far=too_far)
    low, high = _for_other_wood(run, form, slope, limits, held=limit >= 0)
    return FormPiece(
        job=job,
        inside_curvature=form,
        rim=rim,
        s_form=s_form,
        run=run,
        overbends=overbends(piece, start, form, low, high),
        bounds=bounded(piece, limit, limits.told),
        left_m=float(np.hypot(*away.T).max()),
    )


def _bend(job: SideJob) -> Bend:
    """The virtual bend of this piece at the middle of the law, on any form."""
    piece, table = job.piece, job.timetable
    law = law_of(job.wood, job.parameters.law).vector()
    read = conditions([job.heat.history], table.time_s, FIBRES)

    def bend(inside: FloatArray) -> tuple[FloatArray, FloatArray]:
        done = bend_many(
            law,
            thickness_m=piece.thickness,
            inside_curvature=inside,
            timetable=table,
            conditions=read,
            workers=2,
        )
        return done.released[0], done.stretch[0].max(axis=0)

    return bend


def _acting(form: FloatArray, limits: Limits, *, too_far: BoolArray) -> IntArray:
    """Index of the limit that stopped each station; -1 where none did."""
    at_high, at_low = form >= limits.high - 1e-9, form <= limits.low + 1e-9
    found = np.where(at_high, limits.high_by, np.where(at_low, limits.low_by, -1))
    # The wood's own limit is told first.
    return np.where(too_far, 0, found)


def _for_other_wood(
    run: BendRun, form: FloatArray, slope: FloatArray, limits: Limits, *, held: BoolArray
) -> tuple[FloatArray, FloatArray]:
    """Form curvature that wood at the ends of the law's range would ask for. [1/m]"""
    ends = [
        np.clip(form - (end - run.released_curvature) / slope, limits.low, limits.high)
        for end in (run.released_high, run.released_low)
    ]
    low, high = (np.where(held, form, end) for end in ends)
    return low, high
