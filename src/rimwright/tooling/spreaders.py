"""Boards inside the rim that press it into the mould."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from rimwright.instrument.outline import RimPiece
from rimwright.tooling.bundle import Job
from rimwright.tooling.loops import close, point_of, straight
from rimwright.tooling.parts import Part
from rimwright.units import length_text

#: Half of a foot along the centreline, half of the gap for wedges, and the board. [m]; ours
_HALF_FOOT_M, _HALF_GAP_M, _BOARD_M = 0.028, 0.008, 0.018


def design_spreaders(bass: Job, treble: Job) -> tuple[Part, ...]:
    """Pairs of boards across bouts and waist, shaped to the inside of the sides.

    Parameters
    ----------
    bass, treble : Job
        The main pieces. Both boards of a pair lie on one station, the mean of the two halves'.
    """
    return tuple(_spreaders(bass, treble))


def _spreaders(bass: Job, treble: Job) -> Iterator[Part]:
    for name in ("lower bout", "waist", "upper bout"):
        places = [
            next((p for p in job.features if p.name == name), None) for job in (bass, treble)
        ]
        if places[0] is None or places[1] is None:
            continue
        x = 0.5 * (places[0].x_m + places[1].x_m)
        for job, place in zip((bass, treble), places, strict=True):
            if place is not None:
                yield _spreader(job, name, x, place.s_m)


def _spreader(job: Job, name: str, x: float, near: float) -> Part:
    start, end = (_s_at(job, station, near) for station in (x - _HALF_FOOT_M, x + _HALF_FOOT_M))
    stretch = RimPiece(job.rim.hand, job.rim.name, job.rim.chain.between(start, end))
    face = stretch.inside(job.size.thickness_m)
    first, last = point_of(face.start().position[0]), point_of(face.end().position[0])
    title = f"Spreader, {name}, {job.hand} half"
    outline = close(
        [*face.pieces, *straight(last, (last[0], -_HALF_GAP_M), (first[0], -_HALF_GAP_M), first)],
        where=title,
    )
    low, high = face.curvature_range()
    gap = length_text(2.0 * _HALF_GAP_M, job.design.show)
    return job.put_back(
        Part(
            name=f"spreader-{name.replace(' ', '-')}-{job.hand}",
            title=title,
            outline=outline,
            working=face,
            depth_m=_BOARD_M,
            least_radius_m=float(1.0 / max(-low, high, 1e-3)),
            notes=(
                f"Drive two wedges into the {gap} between the pair; cork or leather on the foot.",
            ),
        )
    )


def _s_at(job: Job, x: float, near: float) -> float:
    """Where the outer line near `near` crosses station `x`, by Newton's method. [m]"""
    s = near
    for _ in range(20):
        frame = job.rim.chain.at(np.array([s]))
        slope = max(float(np.cos(frame.heading[0])), 0.3)
        step = (x - float(frame.position[0, 0])) / slope
        s = float(np.clip(s + step, 0.0, job.rim.length))
        if abs(step) < 1e-10:
            break
    return s
