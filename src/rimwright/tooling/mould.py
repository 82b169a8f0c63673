"""The outside mould in two halves, and the plates that join them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from rimwright.curves.chain import Chain
from rimwright.curves.piece import FloatArray, Piece
from rimwright.tooling.bundle import Job
from rimwright.tooling.loops import Point, circle, close, point_of, refuse_crossing, straight
from rimwright.tooling.parts import Part
from rimwright.units import length_text

#: Least wood round the body. [m]; our choice
WALL_M = 0.045
#: Of the rim's least depth, so that linings can be clamped above and below. Our choice.
_DEPTH_SHARE = 0.7
#: Bolts through the joining plates, from the joint, and their holes. [m]; our choice
_BOLT_FROM_JOINT_M, _BOLT_M = 0.025, 0.008
#: Joining plates. [m]; our choice
_PLATE_LENGTH_M, _BOARD_M = 0.090, 0.018
_TICK_M = 0.015
#: An end nearer to the centreline than this is on it. [m]
_ON_CENTRE_M = 0.001
#: A hook smaller than this lets go by itself. [m]
_NO_HOOK_M = 0.0005


def design_mould(
    halves: Sequence[Sequence[Job]], body_length: float, clearance: float = 0.0
) -> tuple[Part, ...]:
    """The two halves of an outside mould, parted on the centreline, and their joining plate.

    Inside they follow the outside of the rim, corners and all; outside they are sawn straight,
    so that they stand on edge and take a clamp, and stay solid behind waist and cutaway.

    Parameters
    ----------
    halves : sequence of sequence of Job
        For each half its pieces, main before return.
    body_length : float
        From tail seam to the body's neck end. [m]
    clearance : float, default 0
        How far the mould stands off the rim. [m]
    """
    ends = np.array([[0.0, 0.0], [body_length, 0.0]])
    # All jobs lie on the bass side, so that both halves come out with the same outside.
    reach = np.vstack([ends, *(job.samples.position for jobs in halves for job in jobs)])
    plate_at = -0.5 * WALL_M
    plate = straight(
        (plate_at - 0.018, -0.5 * _PLATE_LENGTH_M),
        (plate_at + 0.018, -0.5 * _PLATE_LENGTH_M),
        (plate_at + 0.018, 0.5 * _PLATE_LENGTH_M),
        (plate_at - 0.018, 0.5 * _PLATE_LENGTH_M),
    )
    joint = Part(
        name="mould-joint",
        title="Joining plate of the mould",
        outline=close(plate),
        holes=tuple(
            circle((plate_at, y), _BOLT_M) for y in (-_BOLT_FROM_JOINT_M, _BOLT_FROM_JOINT_M)
        ),
        depth_m=_BOARD_M,
        least_radius_m=None,
        notes=("Make four: above and below the joint at tail and neck, bolted through.",),
    )
    return (*(_half(jobs, reach, body_length, clearance) for jobs in halves), joint)


def _half(jobs: Sequence[Job], reach: FloatArray, body_length: float, clearance: float) -> Part:
    main = jobs[0]
    show = main.design.show
    inner, line = _inside(jobs, clearance)
    neck = body_length + clearance
    heading = float(jobs[-1].samples.heading[-1])
    to_joint = [point_of(line[-1]), *_to_joint(line[-1], heading, neck)]
    # The last corner lies on the joint at the tail; `close` runs along it to the tail seam.
    outside = _outside(reach, clearance)
    refuse_crossing(np.vstack([line[::2], to_joint, outside]), where=f"mould, {main.hand} half")
    pieces = [*inner, *straight(*to_joint, *outside)]
    plates = main.design.plates
    holes = tuple(
        circle((x, -_BOLT_FROM_JOINT_M), _BOLT_M) for x in (-0.5 * WALL_M, neck + 0.5 * WALL_M)
    )
    ticks = tuple(
        (place.mark_name, job.across(place.s_m, -clearance, -_TICK_M))
        for job in jobs
        for place in job.features
        if job.rim.name == "main" or place.kind != "end"
    )
    notes = [
        "Inside: the outside of the finished rim"
        + (f" with {length_text(clearance, show, fine=True)} to spare." if clearance else "."),
        "Trim each side flush with the joint while the halves are apart.",
    ]
    if abs(line[-1, 1]) > _ON_CENTRE_M:
        notes.append("Trim the neck end to its mark before the side goes in.")
    hook = _hook(line)
    if hook > _NO_HOOK_M:
        notes.append(
            f"The horn hooks {length_text(hook, show)} behind the cutaway: lift the rim out "
            "upwards, do not draw this half off sideways."
        )
    part = Part(
        name=f"mould-{main.hand}",
        title=f"Outside mould, {main.hand} half",
        outline=close(pieces, point_of(line[0])),
        holes=holes,
        working=Chain(tuple(inner)),
        depth_m=_DEPTH_SHARE * min(plates.depth_tail_m, plates.depth_neck_m),
        least_radius_m=min(job.samples.least_radius(-clearance) for job in jobs),
        marks=ticks,
        notes=tuple(notes),
    )
    return main.put_back(part)


def _inside(jobs: Sequence[Job], clearance: float) -> tuple[list[Piece], FloatArray]:
    """Main and return line in one, exact and as points; at a corner on to where they meet."""
    pieces: list[Piece] = []
    lines: list[FloatArray] = []
    for job in jobs:
        job.refuse_fold(-clearance, "mould")
        line = job.samples.parallel(-clearance)
        if lines and np.hypot(*(line[0] - lines[-1][-1])) > 1e-6:
            before = jobs[0].samples.tangent[-1]
            after = job.samples.tangent[0]
            step = line[0] - lines[-1][-1]
            cross = float(before[0] * after[1] - before[1] * after[0])
            on = float(step[0] * after[1] - step[1] * after[0]) / cross
            corner = lines[-1][-1] + on * before
            pieces += straight(point_of(lines[-1][-1]), point_of(corner), point_of(line[0]))
            lines.append(corner[None])
        pieces += job.parallel(-clearance).pieces
        lines.append(line)
    return pieces, np.vstack(lines)


def _to_joint(at: FloatArray, heading: float, neck: float) -> list[Point]:
    """From where the side ends on to the joint: straight on to the neck's face or the joint."""
    if abs(at[1]) <= _ON_CENTRE_M:
        return [(float(at[0]), 0.0)]
    along = np.array([np.cos(heading), np.sin(heading)])
    to_face = max((neck - at[0]) / along[0], 0.0) if along[0] > 1e-3 else np.inf
    to_joint = -at[1] / along[1] if along[1] > 1e-3 else np.inf
    if to_face <= to_joint:
        stop = at + (to_face if np.isfinite(to_face) else 0.0) * along
        face = max(neck, float(stop[0]))
        return [point_of(stop), (face, float(stop[1])), (face, 0.0)]
    return [(float(at[0] + to_joint * along[0]), 0.0)]


def _outside(reach: FloatArray, clearance: float) -> list[Point]:
    """Corners of the outside, neck to tail: five straight sides at least a wall from the body."""
    angles = np.radians([0.0, -45.0, -90.0, -135.0, -180.0])
    normals = np.column_stack([np.cos(angles), np.sin(angles)])
    far = (reach @ normals.T).max(axis=0) + WALL_M + clearance
    far = np.ceil(far * 1e3 - 1e-6) * 1e-3
    corners = [
        point_of(np.linalg.solve(normals[i : i + 2], far[i : i + 2])) for i in range(len(far) - 1)
    ]
    return [(float(far[0]), 0.0), *corners, (-float(far[-1]), 0.0)]


def _hook(points: FloatArray) -> float:
    """How far the line turns back towards the tail, so that the half cannot be drawn off. [m]"""
    x = points[:, 0]
    return float((np.maximum.accumulate(x) - x).max())
