"""A form that allows for spring-back: bent past the outline, so that the side comes off on it.

The released side of a form is the form's own affair at every station: what a station keeps
depends on its own bend, heat and thickness. So the curvature a station needs is found by
itself, within what wood and tools bear, and then the line is integrated. Where a bound acts
the rest is told, not hidden: it comes from a virtual bend on the very form that is drawn.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from rimwright.bending.compensation_limits import Limits, limits_of
from rimwright.bending.compensation_line import compensated_rim
from rimwright.bending.compensation_places import Bounded, Overbend, bounded, overbends
from rimwright.bending.compensation_solve import Bend, eased, form_curvature
from rimwright.bending.law import law_of
from rimwright.bending.virtual_bend import BendRun, virtual_bend
from rimwright.bending.virtual_capacity import virtual_capacity
from rimwright.bending.virtual_layers import LayerBend
from rimwright.bending.virtual_many import FIBRES, IntArray, bend_many, conditions
from rimwright.bending.virtual_side import SideJob
from rimwright.curves.piece import FloatArray, Similarity
from rimwright.errors import DesignError
from rimwright.instrument.outline import Half, Hand, Outline, PieceName, RimPiece
from rimwright.instrument.stations import features
from rimwright.tooling.bundle import Job, SideSize

BoolArray = npt.NDArray[np.bool_]


@dataclass(frozen=True, kw_only=True)
class FormPiece:
    """The form of one piece of side, bent past the outline; arrays over stations (n,)."""

    job: SideJob
    #: Of the line the inside face meets on the form. [1/m]
    inside_curvature: FloatArray
    #: Outer line of the side as it lies on the form, laid on the outline at its start.
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

    def layers(self) -> tuple[LayerBend, ...]:
        """Bindings and other loose strips, bent as far as this form bends them."""
        piece = self.job.piece
        outer = self.inside_curvature / (1.0 + piece.thickness * self.inside_curvature)
        return replace(self.job, piece=replace(piece, curvature=outer)).layers()


@dataclass(frozen=True, kw_only=True)
class Compensation:
    """The forms of one instrument, and the outline that `tooling` draws them from."""

    #: That of the side as it lies on the form, its wood as long as before; each main piece is
    #: laid on the drawn one at the waist, where the bender's ram stands.
    outline: Outline
    pieces: tuple[FormPiece, ...]

    def piece(self, rim: RimPiece) -> FormPiece:
        """The form of that piece of rim."""
        return next(
            one for one in self.pieces if (one.rim.hand, one.rim.name) == (rim.hand, rim.name)
        )


def with_rims(outline: Outline, rims: Mapping[tuple[Hand, PieceName], RimPiece]) -> Outline:
    """The outline with other lines in the place of its pieces."""

    def of(half: Half) -> Half:
        back = half.return_piece
        return replace(
            half,
            main=rims[half.hand, "main"],
            return_piece=None if back is None else rims[half.hand, "return"],
        )

    return replace(outline, bass=of(outline.bass), treble=of(outline.treble), radius_ranges={})


def on_the_bender(job: SideJob, rim: RimPiece, s_form: FloatArray) -> RimPiece:
    """The line laid on the outline at the waist; at its start where it has none.

    There the bender's ram stands, square to the base: form and ram keep their places.
    """
    drawn = job.piece.rim
    waist = [place.s_m for place in features(job.piece.half) if place.name == "waist"]
    if drawn.name != "main" or not waist or rim is drawn:
        return rim
    here = drawn.at(np.array(waist[:1]))
    there = rim.at(np.interp(waist[:1], job.piece.s, s_form))
    turn = float(here.heading[0] - there.heading[0])
    shift = here.position - Similarity(rotation=turn).points(there.position)
    laid = Similarity(rotation=turn, shift=(float(shift[0, 0]), float(shift[0, 1])))
    return replace(rim, chain=rim.chain.transformed(laid))


@dataclass(frozen=True, kw_only=True)
class BentPast:
    """Curvature of the form of one piece, station by station; arrays of shape (n,)."""

    job: SideJob
    #: Of the line the inside face meets: as drawn, and on the form. [1/m]
    drawn: FloatArray
    inside: FloatArray
    #: How much the released curvature changes with the form's.
    slope: FloatArray
    limits: Limits
    #: Index of the limit that stopped the station; -1 where none did.
    limit: IntArray
    #: From the outer line in to the form. [m]
    form_distance_m: float


def bent_past(job: SideJob, guess: FloatArray | None = None, *, fibres: int = FIBRES) -> BentPast:
    """How far past the outline each station of a form must be bent.

    Parameters
    ----------
    job : SideJob
    guess : ndarray, shape (stations,), optional
        Inside curvature to begin with; as drawn unless given. [1/m]
    fibres : int
        Gauss-Legendre fibres through the thickness.

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
    outer = piece.rim.at(piece.s).curvature
    drawn = outer / (1.0 - piece.thickness * outer)
    target = outer / (1.0 - 0.5 * piece.thickness * outer)
    pattern = piece.pattern
    size = SideSize(thickness_m=pattern.thickness_m, width_m=pattern.blank.stock_width_m)
    bench = Job.of(piece.rim, size, job.design)
    limits = limits_of(bench, piece, job.parameters, job.capacity, margin)
    start = drawn if guess is None else np.clip(guess, limits.low, limits.high)
    bend = _bend(job, fibres)
    wanted, slope = form_curvature(bend, start, target, limits.low, limits.high)
    law = law_of(job.wood, job.parameters.law).vector()
    bears = virtual_capacity(job.capacity, law[None], job.parameters)[0, 1]
    inside, too_far = eased(bend, drawn, wanted, margin * float(bears))
    return BentPast(
        job=job,
        drawn=drawn,
        inside=inside,
        slope=slope,
        limits=limits,
        limit=_acting(inside, limits, too_far=too_far),
        form_distance_m=bench.form_distance_m,
    )


def form_of(past: BentPast) -> FormPiece:
    """The form of one piece as a line, and what a virtual bend on it leaves."""
    job, piece = past.job, past.job.piece
    run = virtual_bend(
        piece,
        job.heat.history,
        job.timetable,
        job.parameters,
        job.wood,
        form_curvature=past.inside,
        capacity=job.capacity,
        equipment=job.design.equipment,
        width_m=piece.pattern.blank.stock_width_m,
    )
    rim, s_form = line_of(past)
    away = run.released_line - piece.rim.at(piece.s).position
    low, high = _for_other_wood(past, run)
    return FormPiece(
        job=job,
        inside_curvature=past.inside,
        rim=rim,
        s_form=s_form,
        run=run,
        overbends=overbends(
            piece, past.drawn, past.inside, low, high, form_distance_m=past.form_distance_m
        ),
        bounds=bounded(piece, past.limit, past.limits.told),
        left_m=float(np.hypot(*away.T).max()),
    )


def line_of(past: BentPast) -> tuple[RimPiece, FloatArray]:
    """The outer line on the form, and where each station lies on it. [m]"""
    piece = past.job.piece
    return compensated_rim(
        piece.rim, piece.s, thickness_m=piece.thickness, inside_curvature=past.inside
    )


def _bend(job: SideJob, fibres: int) -> Bend:
    """The virtual bend of this piece at the middle of the law, on any form."""
    piece, table = job.piece, job.timetable
    law = law_of(job.wood, job.parameters.law).vector()
    read = conditions([job.heat.history], table.time_s, fibres)

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


def _for_other_wood(past: BentPast, run: BendRun) -> tuple[FloatArray, FloatArray]:
    """Form curvature that wood at the ends of the law's range would ask for. [1/m]"""
    limits, held = past.limits, past.limit >= 0
    ends = [
        np.clip(past.inside - (end - run.released_curvature) / past.slope, limits.low, limits.high)
        for end in (run.released_high, run.released_low)
    ]
    low, high = (np.where(held, past.inside, end) for end in ends)
    return low, high
