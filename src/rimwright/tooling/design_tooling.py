"""From an outline and a stack to everything there is to saw: the room's main verb."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

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
    for jobs in halves:
        for job in jobs:
            form = design_form(job)
            made = design_rams(job)
            cauls, beside = design_cauls(job, made)
            checks, springs = check_slats(job, tuple(_bends(outline, job)))
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


def _bends(outline: Outline, job: Job) -> Iterator[Bend]:
    """The piece's tightest bends; of a trace, over the stretch that its radii are read on."""
    for convex in (True, False):
        key = job.hand, job.rim.name, "convex" if convex else "concave"
        traced = outline.radius_ranges.get(key)
        found = job.tightest(convex=convex) if traced is None else (traced.middle_m, traced.s_m)
        if found is not None:
            radius, s = found
            yield Bend(radius_m=radius, convex=convex, name=job.bend(s), s_m=s)
