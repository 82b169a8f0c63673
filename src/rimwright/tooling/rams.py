"""Rams for the concave bends: waist and scoop."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimwright.curves.piece import FloatArray
from rimwright.tooling.blocks import Block, block_on
from rimwright.tooling.bundle import Job
from rimwright.tooling.loops import lower_hull
from rimwright.tooling.parts import Part, RamTravel
from rimwright.units import length_text

#: Flatter than this (2 m radius) or turning less than this is no bend that wants a ram.
_FLAT = 0.5
_LEAST_TURN = np.radians(6.0)
#: Apart by less than this, two concave stretches are one bend. [m]
_GAP_M = 0.010
#: Straight beyond each end of the nose. [m]
_LEAD_M = 0.005
#: Radii tried for the rounded ends, the largest that clears the bundle is taken. [m]
_ROUNDINGS_M = (0.012, 0.008, 0.005, 0.003)
#: A nose steeper than this to its travel would wedge. [rad]
_STEEPEST = np.radians(80.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ram:
    """A ram as it is drawn, with its block for the checks of its neighbours."""

    part: Part
    travel: RamTravel
    block: Block
    #: The part's outline in the working position, as points. [m]
    points: FloatArray
    warnings: tuple[str, ...] = ()


def concave_stretches(job: Job) -> tuple[tuple[float, float], ...]:
    """Where the piece bends inwards enough to want a ram, along the outer line. [m]"""
    rim = job.samples
    concave = np.concatenate([[False], rim.curvature < -_FLAT, [False]])
    edges = np.flatnonzero(concave[1:] != concave[:-1])
    runs: list[tuple[int, int]] = []
    for first, last in zip(edges[::2], edges[1::2] - 1, strict=True):
        if runs and rim.s[first] - rim.s[runs[-1][1]] < _GAP_M:
            runs[-1] = runs[-1][0], int(last)
        else:
            runs.append((int(first), int(last)))
    return tuple(
        (float(rim.s[first]), float(rim.s[last]))
        for first, last in runs
        if rim.heading[first] - rim.heading[last] > _LEAST_TURN
    )


def design_rams(job: Job) -> tuple[Ram, ...]:
    """A ram for each concave bend of the piece, tail to neck.

    The nose is the outside of the bundle over the concave stretch. The waist's ram travels
    square to the centreline, any other along the middle of its bend.

    Raises
    ------
    FoldedOffsetError
        If a concave bend is tighter than what lies between side and ram.
    """
    job.refuse_fold(-job.press_m, "ram")
    return tuple(_ram(job, start, end) for start, end in concave_stretches(job))


def _ram(job: Job, start: float, end: float) -> Ram:
    name = _name(job, start, end)
    where = f"{name} ram for the {job.words}"
    warnings = []
    rim = job.samples
    headings = rim.heading[[rim.index(start), rim.index(end)]]
    heading = 0.0 if name == "waist" else float(headings.mean())
    if np.abs(headings - heading).max() > _STEEPEST:
        heading = float(headings.mean())
        start, end = _entering(job, start, end, heading)
        warnings.append(f"{where}: the bend closes too far for one push; finish its ends by hand.")
    for rounding in _ROUNDINGS_M:
        block = block_on(job, start, end, heading=heading, lead=_LEAD_M, rounding=rounding)
        if not block.strikes(job.outside_line):
            break
    else:
        warnings.append(
            f"{where}: it does not clear the bundle beside the bend on its way in; "
            "make it narrower or bring it in from the edge."
        )
    return _built(job, name, block, tuple(warnings))


def _name(job: Job, start: float, end: float) -> str:
    """What makers call the bend: the waist's or scoop's feature lies in it, or near."""
    places = [p for p in job.features if p.name in ("waist", "scoop")]
    middle = 0.5 * (start + end)
    near = min(places, key=lambda place: abs(place.s_m - middle), default=None)
    if near is None or not start - 0.02 <= near.s_m <= end + 0.02:
        return f"hollow-{middle * 1e3:.0f}"
    return near.name


def _entering(job: Job, start: float, end: float, heading: float) -> tuple[float, float]:
    """The part of the stretch that a straight push can reach."""
    rim = job.samples
    reach = (np.abs(rim.heading - heading) <= _STEEPEST) & (rim.s >= start) & (rim.s <= end)
    return float(rim.s[reach][0]), float(rim.s[reach][-1])


def _built(job: Job, name: str, block: Block, warnings: tuple[str, ...]) -> Ram:
    top = int(np.argmax(block.face[:, 1]))
    at = job.samples.span(block.start_m, block.end_m)[0] + top
    travel = _travel(job, block)
    tag = f"ram-{name}-{job.tag}"
    outline, face = block.exact(job)
    apex = block.face[top]
    part = Part(
        name=tag,
        title=f"Ram, {name}, {job.words}",
        outline=outline,
        working=face,
        depth_m=job.depth_m,
        least_radius_m=block.least_radius_m,
        marks=(("line of travel", np.array([apex, [apex[0], block.back_y]])),),
        notes=(
            job.stack_note(job.outside_m, "side and ram"),
            f"Travel from flat strip to home {length_text(travel, job.design.show)}.",
            *warnings,
        ),
        assumed=job.design.equipment.assumed,
        stack_m=job.outside_m,
    )
    direction = float(np.remainder(1.5 * np.pi - block.turn.rotation, 2.0 * np.pi) - np.pi)
    return Ram(
        part=job.put_back(part, block.back),
        travel=RamTravel(
            name=tag,
            hand=job.hand,
            piece=job.rim.name,
            s_outer_m=float(job.samples.s[at]),
            x_m=float(job.samples.position[at, 0]),
            travel_m=travel,
            direction_rad=-direction if job.hand == "treble" else direction,
            nose_radius_m=block.least_radius_m,
        ),
        block=block,
        points=block.sawn,
        warnings=warnings,
    )


def _travel(job: Job, block: Block) -> float:
    """From where the front first meets the flat strip to home. [m]

    The strip lies straight over the bends beside, the whole bundle's thickness off the form.
    """
    under = lower_hull(block.turn.points(job.with_ends(job.form_distance_m)))
    front = block.front[(block.front[:, 0] >= under[0, 0]) & (block.front[:, 0] <= under[-1, 0])]
    slope = np.diff(under[:, 1]) / np.maximum(np.diff(under[:, 0]), 1e-12)
    span = np.clip(np.searchsorted(under[:, 0], front[:, 0]) - 1, 0, len(slope) - 1)
    form = under[span, 1] + slope[span] * (front[:, 0] - under[span, 0])
    thickness = job.inside_m + job.size.thickness_m + job.outside_m
    strip = form - thickness * np.hypot(1.0, slope[span])
    return float((front[:, 1] - strip).max(initial=0.0))
