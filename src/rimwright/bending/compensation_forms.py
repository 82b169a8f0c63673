"""The compensated forms of a design, with the rams that go with them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from rimwright.bending.compensation import (
    BentPast,
    Compensation,
    bent_past,
    form_of,
    line_of,
    on_the_bender,
    with_rims,
)
from rimwright.bending.parameters import BendParameters
from rimwright.bending.results import Recipe
from rimwright.bending.virtual_many import FEW_FIBRES
from rimwright.bending.virtual_schedule import timetable
from rimwright.bending.virtual_side import COOK_S, SideJob, side_job
from rimwright.instrument.design import Design
from rimwright.instrument.outline import Hand, Outline, PieceName
from rimwright.sides.pattern import SidePattern
from rimwright.tooling.bundle import SideSize
from rimwright.tooling.design_tooling import bent_jobs
from rimwright.tooling.parts import RamTravel, Tooling
from rimwright.tooling.rams import design_rams
from rimwright.wood.species import Wood


def compensated_forms(
    design: Design,
    *,
    outline: Outline,
    sides: tuple[SidePattern, ...],
    sizes: Mapping[tuple[Hand, PieceName], SideSize],
    recipe: Recipe,
    tooling: Tooling,
    wood: Wood | None,
    parameters: BendParameters,
) -> Compensation:
    """The forms whose released sides meet the mould, bent with their own rams.

    Parameters
    ----------
    design, outline, sides, sizes, recipe, wood, parameters
        Of the plan.
    tooling : Tooling
        As drawn for the outline, to begin with.

    Raises
    ------
    DesignError
        If no wood is named.
    FoldedOffsetError, GeometryError
        If a form bent so far folds, or runs into itself.

    Notes
    -----
    A tighter form has rams that travel further and so bend the wood at other moments. Form and
    rams are found in turn; after the second turn the line moves by some micrometres.
    """
    jobs = [
        side_job(
            design,
            outline=outline,
            side=side,
            recipe=recipe,
            tooling=tooling,
            wood=wood,
            parameters=parameters,
        )
        for side in sides
    ]
    rough = [bent_past(job, fibres=FEW_FIBRES) for job in jobs]

    def laid(pasts: list[BentPast]) -> Outline:
        return with_rims(
            outline,
            {
                (past.job.piece.rim.hand, past.job.piece.rim.name): on_the_bender(
                    past.job, *line_of(past)
                )
                for past in pasts
            },
        )

    rams = tuple(
        ram.travel
        for half in bent_jobs(outline, design, sizes, form=laid(rough))
        for job in half
        for ram in design_rams(job)
    )
    fine = [bent_past(_with_rams(past.job, recipe, rams), guess=past.inside) for past in rough]
    return Compensation(outline=laid(fine), pieces=tuple(form_of(past) for past in fine))


def _with_rams(job: SideJob, recipe: Recipe, rams: tuple[RamTravel, ...]) -> SideJob:
    """The same piece, bent by other rams."""
    piece = job.piece
    table = timetable(
        recipe,
        piece.half,
        piece.rim,
        piece.s,
        rams=rams,
        rest_s=COOK_S.middle + job.design.heating.rest_s,
        start_s=job.heat.to_target_s.middle,
    )
    return replace(job, timetable=table)
