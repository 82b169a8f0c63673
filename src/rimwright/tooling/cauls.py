"""Hollow cauls: for the horn, and against cupping at the bouts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rimwright.curves.piece import FloatArray
from rimwright.instrument.stations import Feature
from rimwright.tooling.blocks import block_on
from rimwright.tooling.bundle import Job
from rimwright.tooling.loops import crowd
from rimwright.tooling.parts import Part
from rimwright.tooling.rams import Ram
from rimwright.units import length_text

#: Straight beyond each end of the hollow, and radius of its rounded lips. [m]; our choice
_LEAD_M, _LIP_M = 0.001, 0.004
#: Half lengths tried for a bout's caul, longest first. [m]; our choice
_HALVES_M = (0.045, 0.036, 0.027, 0.018)
#: How far a bout's caul may move away from the waist to make room. [m]
_SHIFTS_M = (0.0, 0.010, 0.020, 0.030)
#: Least room between neighbouring blocks, for a hand and a tool. [m]; our choice
_ROOM_M = 0.005
#: Faces nearer to each other than this along the line leave no such room: leads and
#: rounded ends take at least as much. [m]
_ALONGSIDE_M = 0.012
#: What the horn's caul takes of the gentler bend on either side. [m]; our choice
_BESIDE_HORN_M = 0.015
#: Said of a horn's caul that leaves no room for the scoop's ram; the recipe looks for it.
MAKES_WAY = "take it off before the scoop's ram comes in"
#: A strap's hold beyond the horn on either side. [m]; our choice
_STRAP_HOLD_M = 0.080


@dataclass(frozen=True, slots=True)
class _Taken:
    """Room that a neighbour takes: its stretch of the outer line, and its edge. [m]"""

    start_m: float
    end_m: float
    points: FloatArray


def design_cauls(job: Job, rams: Sequence[Ram]) -> tuple[tuple[Part, ...], tuple[str, ...]]:
    """Hollow cauls for the horn and the widest places, clear of the rams and one another.

    Parameters
    ----------
    job : Job
        The piece of rim with its bundle.
    rams : sequence of Ram
        The piece's rams, which have the first right to the room.

    Returns
    -------
    tuple of Part, tuple of str
        The cauls in body coordinates, and warnings.
    """
    taken = [_Taken(ram.block.start_m, ram.block.end_m, ram.points) for ram in rams]
    parts: list[Part] = []
    warnings: list[str] = []
    # The horn first: it needs its caul more than a bout does.
    for place in sorted(job.features, key=lambda feature: feature.name != "horn"):
        if place.name == "horn":
            part, room, warning = _horn_caul(job, place, rams, taken)
            warnings += warning
        elif place.kind == "widest":
            notes = ("Holds the side flat across its width where no slat presses.",)
            tries = _bout_stretches(job, place)
            part, room = _first_clear(job, place, tries, taken=taken, notes=notes)
        else:
            continue
        if part is not None and room is not None:
            parts.append(part)
            taken.append(room)
    return tuple(parts), tuple(warnings)


def _horn_caul(
    job: Job, horn: Feature, rams: Sequence[Ram], taken: Sequence[_Taken]
) -> tuple[Part | None, _Taken | None, tuple[str, ...]]:
    """A caul that stays while the scoop's ram comes in, or one that must make way for it."""
    strap = f"a strap of slat stock, {length_text(_strap(job, horn), job.design.show)} long"
    tries = _horn_stretches(job, horn, rams)
    notes = (f"Wrap the horn with it before the scoop; {strap}, does the same work.",)
    part, room = _first_clear(job, horn, tries, taken=taken, notes=notes)
    if part is not None:
        return part, room, ()
    way = f"{MAKES_WAY}, and hold the horn with {strap}"
    notes = (f"Wrap the horn with it before the scoop; {way}.",)
    part, room = _first_clear(job, horn, tries, taken=(), notes=notes)
    if part is None:
        return None, None, (f"{job.words}: wrap the horn with {strap}; no caul reaches it.",)
    return part, room, (f"{job.words}, horn caul: {way}; there is no room for both.",)


def _first_clear(
    job: Job,
    place: Feature,
    tries: Sequence[tuple[float, float]],
    *,
    taken: Sequence[_Taken],
    notes: tuple[str, ...],
) -> tuple[Part | None, _Taken | None]:
    """The first caul that neither strikes the bundle nor another block."""
    for start, end in tries:
        near = any(
            start < other.end_m + _ALONGSIDE_M and end > other.start_m - _ALONGSIDE_M
            for other in taken
        )
        if near or end > job.rim.length:
            continue
        if job.samples.curvature[[job.samples.index(s) for s in (start, end)]].min() < -1.0:
            continue
        block = block_on(job, start, end, lead=_LEAD_M, rounding=_LIP_M)
        if block.strikes(job.outside_line):
            continue
        points = block.sawn
        if any(crowd(points, other.points, _ROOM_M) for other in taken):
            continue
        outline, face = block.exact(job)
        part = Part(
            name=f"caul-{place.name.replace(' ', '-')}-{job.tag}",
            title=f"Hollow caul, {place.name}, {job.words}",
            outline=outline,
            working=face,
            depth_m=job.depth_m,
            least_radius_m=block.least_radius_m,
            notes=(job.stack_note(job.outside_m, "side and caul"), *notes),
            assumed=job.design.equipment.assumed,
            stack_m=job.outside_m,
        )
        return job.put_back(part, block.back), _Taken(block.start_m, block.end_m, points)
    return None, None


def _bout_stretches(job: Job, bout: Feature) -> list[tuple[float, float]]:
    """About the widest place, or moved away from the waist; longest first."""
    waist = next((p.s_m for p in job.features if p.name == "waist"), 0.0)
    away = 1.0 if bout.s_m > waist else -1.0
    middles = [bout.s_m + away * shift for shift in _SHIFTS_M]
    return [(max(s - half, 0.0), s + half) for half in _HALVES_M for s in middles]


def _horn_stretches(job: Job, horn: Feature, rams: Sequence[Ram]) -> list[tuple[float, float]]:
    """From all of the horn down to where only its approach is left, longest first."""
    first, last = _tight_stretch(job, horn)
    start = first - _BESIDE_HORN_M
    limit = min(
        (ram.block.start_m for ram in rams if ram.block.end_m > horn.s_m),
        default=job.rim.length,
    )
    whole = min(last + _BESIDE_HORN_M, limit)
    return [(start, float(end)) for end in np.linspace(whole, horn.s_m, 5)]


def _tight_stretch(job: Job, horn: Feature) -> tuple[float, float]:
    """Where the rim bends at least half as tight as at the horn's place. [m]"""
    s = job.samples.s
    slack = job.samples.curvature < 0.5 * horn.curvature
    before = s[(s < horn.s_m) & slack]
    after = s[(s > horn.s_m) & slack]
    return (
        float(before[-1]) if before.size else 0.0,
        float(after[0]) if after.size else job.rim.length,
    )


def _strap(job: Job, horn: Feature) -> float:
    """Length of a strap that wraps the horn. [m]"""
    first, last = _tight_stretch(job, horn)
    return float(np.ceil((last - first + 2.0 * _STRAP_HOLD_M) * 100.0) / 100.0)
