"""From an outline and a stack to everything there is to saw: the room's main verb."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np

from rimwright.instrument.design import Design
from rimwright.instrument.outline import Half, Hand, Outline, PieceName, RimPiece
from rimwright.instrument.stations import Feature, features
from rimwright.tooling.bundle import Job, SideSize
from rimwright.tooling.cauls import design_cauls
from rimwright.tooling.form import design_form
from rimwright.tooling.mould import design_mould
from rimwright.tooling.parts import Part, RamTravel, SlatCheck, Tooling
from rimwright.tooling.rams import design_rams
from rimwright.tooling.slats import Bend, check_slats, release_warning
from rimwright.tooling.spreaders import design_spreaders


def design_tooling(
    outline: Outline,
    design: Design,
    sizes: Mapping[tuple[Hand, PieceName], SideSize],
    *,
    form: Outline | None = None,
) -> Tooling:
    """Form, rams, cauls, mould, spreaders, slats and blanket for one instrument.

    Parameters
    ----------
    outline : Outline
        The finished rim, which the mould holds.
    design : Design
        Its equipment, ends, strips and plates.
    sizes : mapping of (hand, piece) to SideSize
        Thickness at bending, blank width and neck end of every piece.
    form : Outline, optional
        The rim as it lies on the form, where that is bent past the outline for spring-back;
        form, rams, cauls and slats follow it.

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
    halves = bent_jobs(outline, design, sizes)
    bent = outline if form is None else form
    bends = halves if form is None else bent_jobs(outline, design, sizes, form=form)
    parts: list[Part] = []
    rams: list[RamTravel] = []
    slats: list[SlatCheck] = []
    warnings: list[str] = []
    for jobs in bends:
        for job in jobs:
            shape = design_form(job)
            made = design_rams(job)
            cauls, beside = design_cauls(job, made)
            checks, springs = check_slats(job, tuple(_bends(bent, job)))
            parts += [shape, *(ram.part for ram in made), *cauls]
            rams += [ram.travel for ram in made]
            slats += checks
            warnings += [*(w for ram in made for w in ram.warnings), *beside, *springs]
    if form is not None:
        parts = [_past_the_outline(part, design) for part in parts]
    warnings += release_warning(slats)
    parts += design_mould(halves, outline.length_m, design.outline.mould_clearance_m)
    parts += design_spreaders(halves[0][0], halves[1][0])
    return Tooling(
        parts=tuple(parts), rams=tuple(rams), slats=tuple(slats), warnings=tuple(warnings)
    )


def bent_jobs(
    outline: Outline,
    design: Design,
    sizes: Mapping[tuple[Hand, PieceName], SideSize],
    *,
    form: Outline | None = None,
) -> list[list[Job]]:
    """The jobs of each half, as `design_tooling` takes them."""
    bent = outline if form is None else form
    pairs = zip(bent.halves, outline.halves, strict=True)
    return [_jobs(half, drawn, design, sizes) for half, drawn in pairs]


def _jobs(
    half: Half, drawn: Half, design: Design, sizes: Mapping[tuple[Hand, PieceName], SideSize]
) -> list[Job]:
    """The jobs of a half as it is bent; its named places are those of the wood, as drawn."""
    jobs = []
    for rim, mould in zip(half.pieces, drawn.pieces, strict=True):
        size = sizes[rim.hand, rim.name]
        places = tuple(place for place in features(drawn) if place.piece == rim.name)
        if rim is not mould:
            places = _carried(places, mould, rim, size.thickness_m)
        jobs.append(Job.of(rim, size, design, places))
    return jobs


def _carried(
    places: tuple[Feature, ...], drawn: RimPiece, bent: RimPiece, thickness: float
) -> tuple[Feature, ...]:
    """Named places where they lie on another bend of the same wood.

    The middle line keeps its length, ``s - thickness / 2 * turn`` on the outer one.
    """
    s = np.array([place.s_m for place in places])
    wood = s - 0.5 * thickness * drawn.turn_to(s)
    at = s
    for _ in range(6):
        at = np.clip(wood + 0.5 * thickness * bent.turn_to(at), 0.0, bent.length)
    frame = bent.at(at)
    return tuple(
        replace(place, s_m=float(one), x_m=float(x), y_m=float(y), curvature=float(curvature))
        for place, one, (x, y), curvature in zip(
            places, at, frame.position, frame.curvature, strict=True
        )
    )


def _past_the_outline(part: Part, design: Design) -> Part:
    """The part, saying that it is bent past the outline and for which wood."""
    return replace(
        part,
        title=f"{part.title}, compensated",
        notes=(
            "Bent past the outline, so that the side springs back onto it: for "
            f"{design.sides.wood or 'this wood'} of this thickness, bent by this recipe.",
            *part.notes,
        ),
    )


def _bends(outline: Outline, job: Job) -> Iterator[Bend]:
    """The piece's tightest bends; of a trace, over the stretch that its radii are read on."""
    for convex in (True, False):
        key = job.hand, job.rim.name, "convex" if convex else "concave"
        traced = outline.radius_ranges.get(key)
        found = job.tightest(convex=convex) if traced is None else (traced.middle_m, traced.s_m)
        if found is not None:
            radius, s = found
            yield Bend(radius_m=radius, convex=convex, name=job.bend(s), s_m=s)
