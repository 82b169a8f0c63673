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
from rimwright.instrument.recognise_axis import Axis, drawn_axis, line_axis, symmetry_axis

#: A middling miss of the mirrored half above this share of the size is no symmetry.
_WORST_SYMMETRY = 0.012


@dataclass(frozen=True)
class Arm:
    """One side of the body from the tail seam towards the neck, tail at the origin."""

    #: In body coordinates but for y, which is up as seen on the drawing.
    chain: Chain
    #: Which line it is a part of, and from where to where along it. [m]
    line: int
    start_m: float
    end_m: float
    #: Whether it lies above the centreline with the neck to the right.
    above: bool


@dataclass(frozen=True)
class Posed:
    """A body laid with the tail at the origin and the neck to the right."""

    arms: tuple[Arm, ...]
    length_m: float
    axis: Axis
    notes: tuple[str, ...]


def find_axis(
    chains: tuple[Chain, ...],
    lines: tuple[tuple[tuple[float, float], tuple[float, float], bool], ...],
    *,
    half: bool,
    where: str,
) -> tuple[Axis, list[str]]:
    """The centreline, and what had to be said about it."""
    points = np.vstack([chain.at(np.linspace(0, chain.length, 200)).position for chain in chains])
    centre = 0.5 * (points.min(axis=0) + points.max(axis=0))
    size = float(np.ptp(points, axis=0).max())
    if half:
        return _half_axis(chains[0], lines, points, size)
    fitted = symmetry_axis(chains)
    drawn = drawn_axis(lines, fitted, centre, size)
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
    if drawn is None:
        return fitted, ["no centreline is drawn; it was found where the plain parts mirror"]
    middle = centre - float((centre - np.array(drawn.point)) @ drawn.normal) * drawn.normal
    off = abs(float((middle - np.array(fitted.point)) @ fitted.normal))
    turn = abs((drawn.angle - fitted.angle + math.pi / 2) % math.pi - math.pi / 2)
    if (off > 1e-3 * size or turn > 2e-3) and fitted.spread < 1e-4:
        return fitted, [
            f"the drawn centreline lies {1e3 * off:.2f} mm and {math.degrees(turn):.2f}° off the "
            "line about which the body mirrors; the latter was taken"
        ]
    return Axis(drawn.point, drawn.angle, "drawn", fitted.spread), []


def _half_axis(
    chain: Chain,
    lines: tuple[tuple[tuple[float, float], tuple[float, float], bool], ...],
    points: FloatArray,
    size: float,
) -> tuple[Axis, list[str]]:
    """The centreline of half a body: drawn, or through its ends, or square to its tail."""
    ends = np.vstack([chain.start().position, chain.end().position])
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
    chord = line_axis(tuple(ends[0].tolist()), tuple(ends[1].tolist()))
    return (
        Axis(chord.point, chord.angle, "ends"),
        ["no centreline is drawn; it was taken through both ends of the half"],
    )


def pose(
    chains: tuple[Chain, ...], axis: Axis, drawing: Drawing, *, half: bool
) -> Posed:
    """The body laid along x, tail seam at the origin, and cut at its centreline."""
    points = np.vstack([chain.at(np.linspace(0, chain.length, 400)).position for chain in chains])
    heading, notes = _heading(chains, axis, points, drawing)
    turned = Similarity(rotation=-heading)
    origin = turned.points(np.array([axis.point]))[0]
    laid = [
        chain.transformed(turned).transformed(Similarity(shift=(0.0, -float(origin[1]))))
        for chain in chains
    ]
    size = float(np.ptp(points, axis=0).max())
    arms, tail_x, neck_x = _arms(laid, size, half=half)
    if not arms:
        raise DrawingError(
            "an outline that does not meet its centreline at the tail",
            "a line that crosses the centreline at the tail seam",
            "close the outline at the tail, or name the centreline's layer",
            where=drawing.path.name,
        )
    home = Similarity(shift=(-tail_x, 0.0))
    moved = tuple(
        Arm(arm.chain.transformed(home), arm.line, arm.start_m, arm.end_m, arm.above)
        for arm in arms
    )
    return Posed(moved, neck_x - tail_x, axis, tuple(notes))


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
    opening = _opening(chains, axis)
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


def _opening(chains: tuple[Chain, ...], axis: Axis) -> float | None:
    """Where along the axis one open line has its two ends, if off the axis or apart."""
    if len(chains) != 1:
        return None
    ends = np.vstack([chains[0].start().position, chains[0].end().position])
    apart = float(np.hypot(*(ends[1] - ends[0])))
    size = chains[0].length / 3.0
    if apart < 1e-6 * size or apart > size:
        return None
    return float(((ends - np.array(axis.point)) @ axis.direction).mean())


def _arms(
    laid: list[Chain], size: float, *, half: bool
) -> tuple[list[Arm], float, float]:
    """Both sides from the tail on, and where tail and neck lie along x."""
    # Halves drawn apart may stop a little short of the centreline.
    short = 0.01 if half or len(laid) > 1 else 1e-5
    crossed = [
        (line, s, x) for line, chain in enumerate(laid) for s, x in crossings(chain, size, short)
    ]
    if not crossed:
        return [], 0.0, 0.0
    tail_x = min(x for _, _, x in crossed)
    tails: dict[int, float] = {}
    for line, s, x in crossed:
        if x - tail_x < 0.02 * size:
            tails.setdefault(line, s)
    arms: list[Arm] = []
    reach = max(float(chain.points(size * 1e-4)[:, 0].max()) for chain in laid)
    necks = [x for _, _, x in crossed if x - tail_x > 0.5 * (reach - tail_x)]
    for line, s in tails.items():
        chain = laid[line]
        stops = sorted(t for other, t, x in crossed if other == line and x - tail_x > 0.3 * size)
        arms.extend(_both_ways(chain, line, s, stops, size))
    if not arms:
        return [], 0.0, 0.0
    neck_x = max(necks) if necks else _neck_between(arms)
    return arms, tail_x, neck_x


def _neck_between(arms: list[Arm]) -> float:
    """Where the line between the open ends meets the centreline."""
    ends = [arm.chain.end().position[0] for arm in arms]
    if len(ends) < 2:
        return float(ends[0][0])
    (x0, y0), (x1, y1) = ends[0], ends[1]
    share = y0 / (y0 - y1) if y0 * y1 < 0 else 0.5
    return float(x0 + share * (x1 - x0))


def _both_ways(chain: Chain, line: int, s: float, stops: list[float], size: float) -> list[Arm]:
    """The line from the tail both ways, each up to the neck or to its end."""
    closed = float(np.hypot(*(chain.end().position[0] - chain.start().position[0]))) < 1e-9 * size
    arms = []
    for forward in (True, False):
        if closed:
            ahead = sorted(((t - s) if forward else (s - t)) % chain.length for t in stops)
            length = ahead[0] if ahead else 0.0
            whole = _from(chain, s)
        else:
            ahead = sorted((t - s) if forward else (s - t) for t in stops)
            ahead = [t for t in ahead if t > 0]
            room = chain.length - s if forward else s
            length, whole = (ahead[0] if ahead else room), None
        if length < 0.05 * size:
            continue
        if whole is not None:
            part = whole.between(0.0, length) if forward else (
                whole.between(whole.length - length, whole.length).reversed()
            )
        else:
            part = chain.between(s, s + length) if forward else (
                chain.between(s - length, s).reversed()
            )
        end = s + length if forward else s - length
        middle = part.at(np.linspace(0.1, 0.9, 9) * part.length).position[:, 1]
        arms.append(Arm(part, line, s, end, bool(np.median(middle) > 0)))
    return arms


def _from(chain: Chain, s: float) -> Chain:
    """A closed chain begun at `s`."""
    if s < 1e-12 or chain.length - s < 1e-12:
        return chain
    return Chain(chain.between(s, chain.length).pieces + chain.between(0.0, s).pieces)


def crossings(chain: Chain, size: float, short: float) -> list[tuple[float, float]]:
    """Where a chain meets y = 0: arc length and x, with ends within a share of the size."""
    near = 1e-5 * size
    found: list[tuple[float, float]] = []
    for station, piece in zip(chain.stations, chain.pieces, strict=False):
        s = np.linspace(0.0, piece.length, 9 if piece.curvature_range()[1] else 3)
        y = piece.at(s).position[:, 1]
        for i in np.flatnonzero((y[:-1] * y[1:] <= 0) & (y[:-1] != y[1:])):
            low, high = float(s[i]), float(s[i + 1])
            t = low + (high - low) * float(y[i] / (y[i] - y[i + 1]))
            for _ in range(30):
                frame = piece.at(np.array([t]))
                slope = math.sin(float(frame.heading[0]))
                if abs(slope) < 1e-6:
                    break
                step = float(frame.position[0, 1]) / slope
                t = min(max(t - step, low), high)
                if abs(step) < 1e-14:
                    break
            found.append((float(station) + t, 0.0))
    for s in (0.0, chain.length):
        if abs(float(chain.at(np.array([s])).position[0, 1])) < short * size and not any(
            abs(s - t) < 0.05 * size for t, _ in found
        ):
            found.append((s, 0.0))
    # A crossing at a joint is cut at the joint, so that no sliver is left.
    stations = chain.stations
    snapped = []
    for s, _ in found:
        nearest = float(stations[np.argmin(np.abs(stations - s))])
        s = nearest if abs(nearest - s) < near else s
        snapped.append((s, float(chain.at(np.array([s])).position[0, 0])))
    unique: list[tuple[float, float]] = []
    for s, x in sorted(snapped):
        if not unique or s - unique[-1][0] > near:
            unique.append((s, x))
    return unique
