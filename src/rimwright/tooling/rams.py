"""Rams for the concave bends: waist and scoop."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from rimwright.curves.piece import FloatArray
from rimwright.tooling.blocks import Block, block_on
from rimwright.tooling.bundle import Job
from rimwright.tooling.loops import close, lower_hull
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
    #: The concave stretch on the outer line. [m]
    start_m: float
    end_m: float
    warnings: tuple[str, ...] = ()


def concave_stretches(job: Job) -> tuple[tuple[float, float], ...]:
    """Where the piece bends inwards enough to want a ram, along the outer line. [m]"""
    return tuple(_merged(job, list(_runs(job))))


def _runs(job: Job) -> Iterator[tuple[float, float]]:
    chain = job.rim.chain
    start: float | None = None
    end = 0.0
    for station, piece in zip(chain.stations, chain.pieces, strict=False):
        s = np.linspace(0.0, piece.length, max(int(piece.length / 0.004), 2) + 1)
        for i, concave in enumerate(piece.at(s).curvature < -_FLAT):
            if concave:
                start = float(station + s[i]) if start is None else start
                end = float(station + s[i])
            elif start is not None:
                yield start, end
                start = None
    if start is not None:
        yield start, end


def _merged(job: Job, runs: list[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    i = 0
    while i < len(runs):
        start, end = runs[i]
        while i + 1 < len(runs) and runs[i + 1][0] - end < _GAP_M:
            i += 1
            end = runs[i][1]
        i += 1
        turn = np.diff(job.rim.turn_to(np.array([start, end])))[0]
        if -turn > _LEAST_TURN:
            yield start, end


def design_rams(job: Job) -> tuple[Ram, ...]:
    """A ram for each concave bend of the piece, tail to neck.

    The nose is the outside of the bundle over the concave stretch. The waist's ram travels
    square to the centreline, any other along the middle of its bend.

    Raises
    ------
    FoldedOffsetError
        If a concave bend is tighter than what lies between side and ram.
    """
    _ = job.outside_line  # refuses a fold here, before any block is drawn
    return tuple(_ram(job, start, end) for start, end in concave_stretches(job))


def _ram(job: Job, start: float, end: float) -> Ram:
    name = _name(job, start, end)
    where = f"{name} ram for the {job.words}"
    warnings = []
    headings = job.rim.chain.at(np.array([start, end])).heading
    heading = 0.0 if name == "waist" else float(headings.mean())
    if np.abs(headings - heading).max() > _STEEPEST:
        heading = float(headings.mean())
        start, end = _entering(job, start, end, heading)
        warnings.append(f"{where}: the bend closes too far for one push; finish its ends by hand.")
    blocks = (
        block_on(job, start, end, heading=heading, lead=_LEAD_M, rounding=rounding)
        for rounding in _ROUNDINGS_M
    )
    block = next((b for b in blocks if not b.strikes(job.outside_line)), None)
    if block is None:
        block = block_on(job, start, end, heading=heading, lead=_LEAD_M, rounding=_ROUNDINGS_M[-1])
        warnings.append(
            f"{where}: it does not clear the bundle beside the bend on its way in; "
            "make it narrower or bring it in from the edge."
        )
    return _built(job, name, block, (start, end), warnings=tuple(warnings))


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
    s = np.linspace(start, end, 257)
    reach = np.abs(job.rim.chain.at(s).heading - heading) <= _STEEPEST
    return float(s[reach][0]), float(s[reach][-1])


def _built(
    job: Job,
    name: str,
    block: Block,
    stretch: tuple[float, float],
    warnings: tuple[str, ...],
) -> Ram:
    start, end = stretch
    s = np.linspace(start, end, 129)
    face = block.face.at(np.linspace(0.0, block.face.length, 129))
    top = int(np.argmax(face.position[:, 1]))
    apex = face.position[top]
    travel = _travel(job, block)
    radius = 1.0 / float(np.abs(block.face.curvature_range()).max())
    s_apex = float(s[top])
    place = job.rim.chain.at(np.array([s_apex]))
    tag = f"ram-{name}-{job.tag}"
    line = np.array([apex, [apex[0], block.back_y]])
    show = job.design.show
    part = Part(
        name=tag,
        title=f"Ram, {name}, {job.words}",
        outline=close(block.pieces),
        working=block.face,
        depth_m=job.depth_m,
        least_radius_m=radius,
        marks=(("line of travel", line),),
        notes=(
            job.stack_note(job.outside_m, "side and ram"),
            f"Travel from flat strip to home {length_text(travel, show)}.",
            *warnings,
        ),
        assumed=job.design.equipment.assumed,
        stack_m=job.outside_m,
    )
    part = job.put_back(part, block.back)
    direction = 0.5 * np.pi - block.turn.rotation
    return Ram(
        part=part,
        travel=RamTravel(
            name=tag,
            hand=job.hand,
            piece=job.rim.name,
            s_outer_m=s_apex,
            x_m=float(place.position[0, 0]),
            travel_m=travel,
            direction_rad=-direction if job.hand == "treble" else direction,
            nose_radius_m=radius,
        ),
        block=block,
        points=block.sawn,
        start_m=start,
        end_m=end,
        warnings=warnings,
    )


def _travel(job: Job, block: Block) -> float:
    """From where the front first meets the flat strip to home. [m]

    The strip lies straight over the bends beside, the whole bundle's thickness off the form.
    """
    under = lower_hull(block.turn.points(job.with_ends(job.form_line, 2e-4)))
    front = block.front[(block.front[:, 0] >= under[0, 0]) & (block.front[:, 0] <= under[-1, 0])]
    slope = np.diff(under[:, 1]) / np.maximum(np.diff(under[:, 0]), 1e-12)
    span = np.clip(np.searchsorted(under[:, 0], front[:, 0]) - 1, 0, len(slope) - 1)
    form = under[span, 1] + slope[span] * (front[:, 0] - under[span, 0])
    thickness = job.inside_m + job.size.thickness_m + job.outside_m
    strip = form - thickness * np.hypot(1.0, slope[span])
    return float((front[:, 1] - strip).max(initial=0.0))
