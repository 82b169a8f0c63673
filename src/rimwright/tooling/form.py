"""The bending form of one piece of side: working line, ends, base."""

from __future__ import annotations

import numpy as np

from rimwright.curves.chain import Chain
from rimwright.curves.piece import FloatArray, Similarity
from rimwright.tooling.bundle import Job
from rimwright.tooling.loops import Point, circle, close, point_of, refuse_crossing, straight
from rimwright.tooling.parts import Part
from rimwright.units import length_text

#: Wood left under the working line where it comes nearest to the base. [m]; our choice
_LEAST_BODY_M = 0.045
#: Flat beside an end that rises out of a hollow, so that no feather edge is left. [m]
_SHOULDER_M = 0.020
#: Dowels that hold the boards in register, and the form on the bender. [m]; our choice
_DOWEL_M = 0.010
#: An end that runs down more steeply than this (sine) goes straight on into the base.
_STEEP = 0.9
#: An end that rises more steeply than this (sine) gets a shoulder.
_RISING = 0.25
#: Length of the ticks that carry the side's marks onto the form. [m]
_TICK_M = 0.020


def design_form(job: Job) -> Part:
    """The form to saw or rout for one piece of side.

    Its working line lies inside the finished rim by the side's thickness and by what lies
    between form and side. Both ends run on straight for the trim and a clamp, and a straight
    base closes it: parallel to the centreline, on a return piece to its chord.

    Parameters
    ----------
    job : Job
        The piece of rim with its bundle.

    Returns
    -------
    Part
        In body coordinates.

    Raises
    ------
    FoldedOffsetError
        If a bend is tighter than what lies between the outer line and the form; the message
        holds the smallest radius possible.
    GeometryError
        If two stretches of the working line run into each other.
    """
    distance = job.form_distance_m
    job.refuse_fold(distance, "form")
    inside = job.samples.parallel(distance)
    turn = _laid_flat(job, inside)
    working = job.parallel(distance).transformed(turn)
    line = turn.points(inside)
    tail, neck = _ends(job, line, turn.rotation)
    refuse_crossing(
        np.vstack([tail[::-1], line[::2], line[-1:], neck]), where=f"form for the {job.words}"
    )
    feet = point_of(line[0]), point_of(line[-1])
    pieces = [
        *straight(tail[0], feet[0]),
        *working.pieces,
        *straight(feet[1], *neck, *reversed(tail)),
    ]
    show, sanded = job.design.show, job.sanded_m
    least = job.samples.least_radius(distance)
    part = Part(
        name=f"form-{job.tag}",
        title=f"Form, {job.words}",
        outline=close(pieces),
        holes=_dowels((tail[-1], neck[-1])),
        working=working,
        depth_m=job.depth_m,
        least_radius_m=least if np.isfinite(least) else None,
        marks=_marks(job, distance, turn, neck[-1][0]),
        notes=(
            job.stack_note(job.inside_m, "form and side"),
            f"Working line {length_text(distance, show, fine=True)} inside the finished rim: the "
            f"stack and a side of {length_text(job.size.thickness_m, show, fine=True)}"
            + (f", {length_text(sanded, show, fine=True)} of it to sand." if sanded else "."),
            f"Boards to a depth of {length_text(job.depth_m, show)}, on dowels of "
            f"{length_text(_DOWEL_M, show)}.",
            *_thinned_notes(job),
        ),
        assumed=job.design.equipment.assumed,
        stack_m=job.inside_m,
    )
    return job.put_back(part, Similarity(rotation=-turn.rotation))


def _laid_flat(job: Job, inside: FloatArray) -> Similarity:
    """A turn that lays the base along x: none for a main piece, its chord's for a return."""
    if job.rim.name == "main":
        return Similarity()
    chord = inside[-1] - inside[0]
    return Similarity(rotation=-float(np.arctan2(chord[1], chord[0])))


def _ends(job: Job, line: FloatArray, turn: float) -> tuple[list[Point], list[Point]]:
    """Corners from each foot of the working line out and up to the base, the body above."""
    headings = job.samples.heading[[0, -1]] + turn
    along = np.column_stack([np.cos(headings), np.sin(headings)])
    feet, leave = (line[0], line[-1]), (-along[0], along[1])
    rooms = job.tail_room_m, job.neck_room_m
    tips = [foot + room * away for foot, room, away in zip(feet, rooms, leave, strict=True)]
    highest = float(line[:, 1].max()) + _LEAST_BODY_M
    base = float(np.ceil(max(tips[0][1], tips[1][1], highest) * 1e3 - 1e-6)) * 1e-3
    ends: list[list[Point]] = []
    for outwards, foot, away, tip in zip((-1.0, 1.0), feet, leave, tips, strict=True):
        if away[1] > _STEEP:
            ends.append([point_of(foot + away * (base - foot[1]) / away[1])])
            continue
        end = [point_of(tip)]
        if away[1] < -_RISING:
            end.append((end[0][0] + outwards * _SHOULDER_M, end[0][1]))
        ends.append([*end, (end[-1][0], base)])
    return ends[0], ends[1]


def _dowels(base: tuple[Point, Point]) -> tuple[Chain, ...]:
    (x0, y), (x1, _) = base
    return tuple(circle((x0 + share * (x1 - x0), y - 0.020), _DOWEL_M) for share in (0.2, 0.8))


def _marks(
    job: Job, distance: float, turn: Similarity, far: float
) -> tuple[tuple[str, FloatArray], ...]:
    """Ticks at the named places, on the form's own line; on a main piece the centreline."""
    near = float(job.samples.parallel(distance)[0, 0])
    main = job.rim.name == "main"
    centreline = [("centreline", np.array([[near, 0.0], [far, 0.0]]))] if main else []
    ticks = tuple(
        (place.mark_name, turn.points(job.across(place.s_m, distance, _TICK_M)))
        for place in job.features
    )
    return (*ticks, *centreline)


def _thinned_notes(job: Job) -> tuple[str, ...]:
    show = job.design.show
    return tuple(
        f"Between {length_text(zone.from_m, show)} and {length_text(zone.to_m, show)} from the "
        f"tail the side is {length_text(zone.thickness_m, show, fine=True)}: pack "
        f"{length_text(job.size.thickness_m - zone.thickness_m, show, fine=True)} under it there."
        for zone in job.design.sides.thinned
        if zone.hand in (job.hand, "both")
        and job.rim.name == "main"
        and zone.thickness_m < job.size.thickness_m
    )
