"""From an outline and a stack to everything there is to saw: the room's main verb."""

from __future__ import annotations

from collections.abc import Mapping

from rimwright.instrument.design import Design
from rimwright.instrument.outline import Half, Hand, Outline, PieceName
from rimwright.instrument.stations import features
from rimwright.tooling.bundle import Job, SideSize
from rimwright.tooling.cauls import design_cauls
from rimwright.tooling.form import design_form
from rimwright.tooling.mould import design_mould
from rimwright.tooling.parts import Part, RamTravel, SlatCheck, Tooling
from rimwright.tooling.rams import design_rams
from rimwright.tooling.slats import Bend, check_slats, release_warning
from rimwright.tooling.spreaders import design_spreaders


def design_tooling(
    outline: Outline, design: Design, sizes: Mapping[tuple[Hand, PieceName], SideSize]
) -> Tooling:
    """Form, rams, cauls, mould, spreaders, slats and blanket for one instrument.

    Parameters
    ----------
    outline : Outline
        The rim to bend to; a compensated one gives compensated forms.
    design : Design
        Its equipment, ends, strips and plates.
    sizes : mapping of (hand, piece) to SideSize
        Thickness at bending, blank width and neck end of every piece.

    Returns
    -------
    Tooling
        Parts in body coordinates, whatever the player's hand.

    Raises
    ------
    FoldedOffsetError
        If a bend is too tight for what lies between it and form or ram; the message holds
        the smallest radius possible.
    UnknownNameError
        If a slat is of a material that is not on the list.
    """
    halves = [_jobs(half, design, sizes) for half in outline.halves]
    parts: list[Part] = []
    rams: list[RamTravel] = []
    slats: list[SlatCheck] = []
    warnings: list[str] = []
    for half, jobs in zip(outline.halves, halves, strict=True):
        for job in jobs:
            form = design_form(job)
            made = design_rams(job)
            cauls, beside = design_cauls(job, made)
            checks, springs = check_slats(job, _bends(outline, half, job))
            parts += [form, *(ram.part for ram in made), *cauls]
            rams += [ram.travel for ram in made]
            slats += checks
            warnings += [*(w for ram in made for w in ram.warnings), *beside, *springs]
    warnings += release_warning(slats)
    parts += design_mould(halves, outline.length_m, design.outline.mould_clearance_m)
    parts += design_spreaders(halves[0][0], halves[1][0])
    return Tooling(
        parts=tuple(parts), rams=tuple(rams), slats=tuple(slats), warnings=tuple(warnings)
    )


def _jobs(
    half: Half, design: Design, sizes: Mapping[tuple[Hand, PieceName], SideSize]
) -> list[Job]:
    places = features(half)
    return [Job.of(rim, sizes[rim.hand, rim.name], design, places) for rim in half.pieces]


def _bends(outline: Outline, half: Half, job: Job) -> tuple[Bend, ...]:
    """The piece's tightest bends; of a trace, over the stretch that its radii are read on."""
    rim = next(rim for rim in half.pieces if rim.name == job.rim.name)
    found = ((convex, outline.smallest_radius(rim, convex=convex)) for convex in (True, False))
    return tuple(
        Bend(radius_m=radius.middle_m, convex=convex, name=job.bend(radius.s_m), s_m=radius.s_m)
        for convex, radius in found
        if radius is not None
    )
