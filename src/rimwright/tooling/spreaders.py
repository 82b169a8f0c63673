"""Boards inside the rim that press it into the mould."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from rimwright.curves.piece import FloatArray
from rimwright.instrument.outline import RimPiece
from rimwright.tooling.bundle import Job
from rimwright.tooling.loops import close, end_of, point_of, start_of, straight
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
        places = [next((p for p in job.features if p.name == name), None) for job in (bass, treble)]
        if places[0] is None or places[1] is None:
            continue
        x = 0.5 * (places[0].x_m + places[1].x_m)
        for job, place in zip((bass, treble), places, strict=True):
            if place is not None:
                yield _spreader(job, name, x, place.s_m)


def _spreader(job: Job, name: str, x: float, near: float) -> Part:
    start, end = _s_at(job, np.array([x - _HALF_FOOT_M, x + _HALF_FOOT_M]), near)
    stretch = RimPiece(job.rim.hand, job.rim.name, job.rim.chain.between(start, end))
    face = stretch.inside(job.size.thickness_m)
    first, last = point_of(start_of(face).position[0]), point_of(end_of(face).position[0])
    title = f"Spreader, {name}, {job.hand} half"
    back = straight(last, (last[0], -_HALF_GAP_M), (first[0], -_HALF_GAP_M))
    low, high = face.curvature_range()
    gap = length_text(2.0 * _HALF_GAP_M, job.design.show)
    return job.put_back(
        Part(
            name=f"spreader-{name.replace(' ', '-')}-{job.hand}",
            title=title,
            outline=close([*face.pieces, *back]),
            working=face,
            depth_m=_BOARD_M,
            least_radius_m=float(1.0 / max(-low, high, 1e-3)),
            notes=(
                f"Drive two wedges into the {gap} between the pair; cork or leather on the foot.",
            ),
        )
    )


def _s_at(job: Job, x: FloatArray, near: float) -> tuple[float, float]:
    """Where the outer line near `near` crosses two stations, by Newton's method. [m]"""
    s = near + x - x.mean()
    for _ in range(20):
        frame = job.rim.chain.at(s)
        step = (x - frame.position[:, 0]) / np.maximum(np.cos(frame.heading), 0.3)
        s = np.clip(s + step, 0.0, job.rim.length)
        if np.abs(step).max() < 1e-9:
            break
    return float(s[0]), float(s[1])
