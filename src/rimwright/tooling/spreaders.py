"""Boards inside the rim that press it into the mould."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

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
        places = [next((p for p in job.features if p.name == name), None) for job in (bass, treble)]
        if places[0] is None or places[1] is None:
            continue
        x = 0.5 * (places[0].x_m + places[1].x_m)
        for job, place in zip((bass, treble), places, strict=True):
            if place is not None:
                yield _spreader(job, name, x, place.s_m)


def _spreader(job: Job, name: str, x: float, near: float) -> Part:
    start, end = (_s_at(job, station, near) for station in (x - _HALF_FOOT_M, x + _HALF_FOOT_M))
    thickness = job.size.thickness_m - job.sanded_m
    rim = job.samples
    i, j = rim.span(start, end)
    inside = rim.parallel(thickness)
    first, last = point_of(inside[i]), point_of(inside[j])
    face = job.parallel(thickness, start, end)
    title = f"Spreader, {name}, {job.hand} half"
    back = straight(last, (last[0], -_HALF_GAP_M), (first[0], -_HALF_GAP_M))
    gap = length_text(2.0 * _HALF_GAP_M, job.design.show)
    return job.put_back(
        Part(
            name=f"spreader-{name.replace(' ', '-')}-{job.hand}",
            title=title,
            outline=close([*face.pieces, *back], first),
            working=face,
            depth_m=_BOARD_M,
            least_radius_m=rim.least_radius(thickness, i, j),
            notes=(
                f"Drive two wedges into the {gap} between the pair; cork or leather on the foot.",
            ),
        )
    )


def _s_at(job: Job, x: float, near: float) -> float:
    """The sample beside `near` that lies nearest to station `x`. [m]"""
    rim = job.samples
    beside = np.abs(rim.s - near) < 3.0 * _HALF_FOOT_M
    away = np.where(beside, np.abs(rim.position[:, 0] - x), np.inf)
    return float(rim.s[int(np.argmin(away))])
