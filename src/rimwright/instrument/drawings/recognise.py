"""Lines of a drawing brought into body coordinates: tail and neck, bass and treble.

The rules: the centreline is the drawn line nearest to the body's own line of symmetry; the
tail is at the wider bout, the neck where the line is open or cut away; what the maker says
goes before what the drawing is called, that before the side the plan is seen from, and an
unlabelled cutaway half is the treble.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from rimwright.curves.chain import Chain
from rimwright.curves.piece import FloatArray, Similarity
from rimwright.errors import DrawingError
from rimwright.instrument.design import Drawing
from rimwright.instrument.drawings.recognise_arms import Arm, cut_at_centreline
from rimwright.instrument.drawings.recognise_axis import (
    Axis,
    DrawnLine,
    drawn_axis,
    line_axis,
    size_and_centre,
    symmetry_axis,
)

#: A middling miss of the mirrored half above this share of the size is no symmetry.
_WORST_SYMMETRY = 0.012


@dataclass(frozen=True)
class Posed:
    """A body laid along its centreline with the neck to the right."""

    arms: tuple[Arm, ...]
    tail_x_m: float
    length_m: float
    axis: Axis
    notes: tuple[str, ...]


def find_axis(
    points: tuple[FloatArray, ...], lines: tuple[DrawnLine, ...], *, half: bool, where: str
) -> tuple[Axis, list[str]]:
    """The centreline from points along the outline, and what had to be said about it.

    One of source "symmetry" is rough yet; `refined_axis` makes it exact.
    """
    every = np.vstack(points)
    if half:
        return _half_axis(every, lines)
    size, centre = size_and_centre(every)
    fitted = symmetry_axis(points, lines)
    if fitted.spread > _WORST_SYMMETRY:
        called = [line_axis(start, end) for start, end, named in lines if named]
        if not called:
            raise DrawingError(
                "a body whose sides nowhere mirror each other, and no centreline",
                "two halves alike at the lower bout, or a line called centreline",
                "draw the centreline on a layer of that name",
                where=where,
            )
        return called[0], ["the sides differ; the drawn centreline was taken as it is"]
    drawn = drawn_axis(lines, fitted, every)
    if drawn is None:
        return fitted, ["no centreline is drawn; it was found where the plain parts mirror"]
    middle = centre - float((centre - np.array(drawn.point)) @ drawn.normal) * drawn.normal
    off = abs(float((middle - np.array(fitted.point)) @ fitted.normal)) / size
    turn = abs((drawn.angle - fitted.angle + math.pi / 2) % math.pi - math.pi / 2)
    if (off > 1e-3 or turn > 2e-3) and fitted.spread < 1e-4:
        return fitted, [
            f"the drawn centreline lies {100.0 * off:.2f} % of the body and "
            f"{math.degrees(turn):.2f}° off the line about which it mirrors; the latter was taken"
        ]
    return Axis(drawn.point, drawn.angle, "drawn", fitted.spread), []


def rough_size(points: tuple[FloatArray, ...], axis: Axis, *, half: bool) -> tuple[float, float]:
    """Length on the centreline and greatest width of a body, about, from its points."""
    local = np.vstack(points) - np.array(axis.point)
    along, across = local @ axis.direction, local @ axis.normal
    width = 2.0 * float(np.abs(across).max()) if half else float(np.ptp(across))
    middle, whole = along[np.abs(across) < 0.1 * width], float(np.ptp(along))
    length = float(np.ptp(middle)) if middle.size else 0.0
    # Open at the neck block, the line meets the centreline at the tail alone.
    return (length if length > 0.5 * whole else whole), width


def _half_axis(points: FloatArray, lines: tuple[DrawnLine, ...]) -> tuple[Axis, list[str]]:
    """The centreline of half a body: drawn, or through its ends."""
    size, _ = size_and_centre(points)
    ends = points[[0, -1]]
    drawn = []
    for start, end, named in lines:
        axis = line_axis(start, end)
        away = np.abs((ends - np.array(axis.point)) @ axis.normal)
        across = (points - np.array(axis.point)) @ axis.normal
        one_sided = min(-across.min(), across.max()) < 0.02 * size
        if one_sided and away.min() < 0.02 * size and away.max() < 0.2 * size:
            drawn.append((not named, float(away.sum()), axis))
    if drawn:
        return min(drawn, key=lambda row: row[:2])[2], []
    (x0, y0), (x1, y1) = ends.tolist()
    chord = line_axis((x0, y0), (x1, y1))
    return (
        Axis(chord.point, chord.angle, "ends"),
        ["no centreline is drawn; it was taken through both ends of the half"],
    )


def pose(
    chains: tuple[Chain, ...], points: FloatArray, axis: Axis, drawing: Drawing, *, half: bool
) -> Posed:
    """The body turned so that its centreline is y = 0, and cut there; its tail at `tail_x_m`."""
    heading, notes = _heading(chains, axis, points, drawing)
    away = -float(Similarity(rotation=-heading).points(np.array([axis.point]))[0, 1])
    turned = Similarity(rotation=-heading, shift=(0.0, away))
    laid = [chain.transformed(turned) for chain in chains]
    size, _ = size_and_centre(points)
    reach = float(turned.points(points)[:, 0].max())
    arms, tail_x, neck_x = cut_at_centreline(laid, size, reach, half=half)
    if not arms:
        raise DrawingError(
            "an outline that does not meet its centreline at the tail",
            "a line that crosses the centreline at the tail seam",
            "close the outline at the tail, or name the centreline's layer",
            where=drawing.path.name,
        )
    return Posed(tuple(arms), tail_x, neck_x - tail_x, axis, tuple(notes))


def _heading(
    chains: tuple[Chain, ...], axis: Axis, points: FloatArray, drawing: Drawing
) -> tuple[float, list[str]]:
    """Direction from tail to neck. [rad]"""
    local = points - np.array(axis.point)
    along, across = local @ axis.direction, np.abs(local @ axis.normal)
    if drawing.tail is not None:
        towards = {"left": (1, 0), "right": (-1, 0), "top": (0, -1), "bottom": (0, 1)}[drawing.tail]
        agrees = float(np.array(towards) @ axis.direction)
        if abs(agrees) > 0.1:
            return axis.angle + (0.0 if agrees > 0 else math.pi), []
    share = (along - along.min()) / max(float(np.ptp(along)), 1e-300)
    wide = [float(across[share < 0.42].max()), float(across[share > 0.58].max())]
    opening = _opening(chains, axis, float(np.ptp(along)))
    if opening is not None:
        at = (opening - along.min()) / max(float(np.ptp(along)), 1e-300)
        if not 0.2 < at < 0.8:
            neck_ahead = at > 0.5
            if neck_ahead != (wide[0] >= wide[1]) and max(wide) > 1.02 * min(wide):
                return axis.angle + (0.0 if neck_ahead else math.pi), [
                    "the outline is open at its wider end, which was taken as the neck; "
                    "the tail can be named"
                ]
            return axis.angle + (0.0 if neck_ahead else math.pi), []
    notes = []
    if max(wide) < 1.01 * min(wide):
        notes.append("both bouts are equally wide; which end is the tail was guessed")
    return axis.angle + (0.0 if wide[0] >= wide[1] else math.pi), notes


def _opening(chains: tuple[Chain, ...], axis: Axis, size: float) -> float | None:
    """Where along the axis one open line has its two ends, if off the axis or apart."""
    if len(chains) != 1:
        return None
    first, last = chains[0].pieces[0], chains[0].pieces[-1]
    ends = np.vstack([first.at(np.zeros(1)).position, last.at(np.array([last.length])).position])
    apart = float(np.hypot(*(ends[1] - ends[0])))
    if apart < 1e-6 * size or apart > size:
        return None
    return float(((ends - np.array(axis.point)) @ axis.direction).mean())
