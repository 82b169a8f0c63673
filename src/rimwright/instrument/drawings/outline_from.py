"""From a drawing to an outline, in the open: what the guarded child process runs."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import numpy as np

from rimwright.curves.chain import Chain
from rimwright.curves.piece import FloatArray, Similarity
from rimwright.errors import DrawingError
from rimwright.instrument.design import Drawing
from rimwright.instrument.drawings.finder import Found, find_outline
from rimwright.instrument.drawings.join import Path as Line
from rimwright.instrument.drawings.limits import check_file
from rimwright.instrument.drawings.recognise import Posed, find_axis, pose, rough_size
from rimwright.instrument.drawings.recognise_arms import Arm
from rimwright.instrument.drawings.recognise_axis import Axis, refined_axis
from rimwright.instrument.drawings.recognise_half import ReadHalf, read_half
from rimwright.instrument.drawings.recognise_hands import Side, treble_side
from rimwright.instrument.drawings.recognise_outline import assemble
from rimwright.instrument.drawings.strokes import Sheet
from rimwright.instrument.drawings.trace import (
    is_polygon,
    is_trace,
    line_width,
    middle_of_line,
    trace_points,
    widest_turn,
)
from rimwright.instrument.drawings.units import LONGEST_BODY, SHORTEST_BODY, Unit, choose_unit
from rimwright.instrument.outline import Finding, Outline, View

if TYPE_CHECKING:
    from rimwright.curves.trace import TracedCurve

#: Filled-in points of a traced line lie this far apart, as a share of its extent.
_STEP_SHARE = 1.0 / 400.0
#: Two edges of one pencil line are nearer than this share of the body's extent.
_WIDEST_LINE = 0.015
_PICTURES = (".png", ".jpg", ".jpeg")


@dataclass(frozen=True, kw_only=True)
class Lines:
    """The outline's lines in metres, and the traces among them."""

    chains: tuple[Chain, ...]
    traced: tuple[TracedCurve | None, ...]
    #: Points along them all, shape (n, 2). [m]
    points: FloatArray
    unit: Unit
    #: Exact where it is drawn, else rough yet.
    axis: Axis
    notes: tuple[Finding, ...]


def outline_from(
    drawing: Drawing, *, seen_from: View | None, player: Literal["right", "left"]
) -> Outline:
    """The outline of the line that is drawn, in body coordinates.

    Raises
    ------
    DrawingError, PictureError
        If the file cannot be read, has no unit, or holds no outline.
    """
    sheet = read_sheet(drawing.path)
    found = find_outline(sheet, drawing)
    lines = _in_metres(sheet, found, drawing)
    axis = refined_axis(lines.chains, lines.axis) if lines.axis.source == "symmetry" else lines.axis
    posed = pose(lines.chains, lines.points, axis, drawing, half=found.half)
    read = tuple(read_half(arm.chain, "treble" if arm.above else "bass") for arm in posed.arms)
    labelled = None if found.half else _labelled(posed, found, lines)
    above, said = _treble(
        posed, read, labelled=labelled, drawing=drawing, seen_from=seen_from, player=player
    )
    assumptions = [lines.unit.assumed] if lines.unit.assumed else []
    outline = assemble(
        posed,
        read,
        lines.traced,
        treble_above=above == "above",
        exact_length_m=drawing.body_length_m,
        assumptions=(*assumptions, *said, *posed.notes),
        findings=(*found.findings, *lines.notes),
    )
    if not SHORTEST_BODY <= outline.length_m <= LONGEST_BODY:
        # The lines span a body's size, but not from tail to neck.
        raise DrawingError(
            f"a body {1e3 * outline.length_m:.0f} mm long from tail to neck",
            f"{1e3 * SHORTEST_BODY:.0f} to {1e3 * LONGEST_BODY:.0f} mm",
            "check which lines are the body's, or name them with --layer or --select",
            where=drawing.path.name,
        )
    return outline


def read_sheet(path: Path) -> Sheet:
    """The strokes of a DXF, an SVG or a picture, told apart by their first bytes."""
    check_file(path)
    with path.open("rb") as file:
        head = file.read(4096)
    if head.startswith((b"\x89PNG", b"\xff\xd8\xff")) or path.suffix.lower() in _PICTURES:
        from rimwright.instrument.drawings.picture import read_picture

        return read_picture(path)
    if path.suffix.lower() == ".svg" or b"<svg" in head or head.lstrip().startswith(b"<?xml"):
        from rimwright.instrument.drawings.svg import read_svg

        return read_svg(path)
    if path.suffix.lower() == ".dxf" or b"SECTION" in head or head.startswith(b"AutoCAD Binary"):
        from rimwright.instrument.drawings.dxf import read_dxf

        return read_dxf(path)
    raise DrawingError(
        f"a file of kind '{path.suffix or 'unknown'}'",
        "a DXF, SVG, PNG or JPEG",
        "export the drawing as DXF or SVG",
        where=path.name,
    )


def _in_metres(sheet: Sheet, found: Found, drawing: Drawing) -> Lines:
    """Decide what is a trace, find the unit from the body's size, and fit what is traced."""
    traced = [
        drawing.trace if drawing.trace is not None else sheet.traced or is_trace(p, found.size)
        for p in found.paths
    ]
    if drawing.trace is None:
        for path, trace in zip(found.paths, traced, strict=True):
            if not trace and is_polygon(path):
                raise _too_coarse(path, drawing)
    step = found.size * _STEP_SHARE
    notes: list[Finding] = []
    points = []
    for path, trace in zip(found.paths, traced, strict=True):
        points.append(trace_points(path, step) if trace else path.points())
        if trace and path.closed:
            points[-1], note = _within_line(points[-1], found, step)
            notes.extend(note)
    axis, said = find_axis(tuple(points), found.axes, half=found.half, where=drawing.path.name)
    notes.extend(Finding("centreline", True, note) for note in said)
    unit = choose_unit(sheet, drawing, *rough_size(tuple(points), axis, half=found.half))
    if unit.note:
        notes.append(Finding("unit", True, unit.note))
    chains: list[Chain] = []
    fits: list[TracedCurve | None] = []
    for p, path, trace in zip(points, found.paths, traced, strict=True):
        if trace:
            from rimwright.curves.trace import fit_trace

            fit = fit_trace(p * unit.metres, closed=path.closed)
            why = f"a trace: fitted within its scatter of {1e3 * fit.noise_m:.2f} mm"
            notes.append(Finding("outline", True, why))
            fits.append(fit)
            chains.append(fit.chain)
        else:
            fits.append(None)
            chains.append(_drawn(path, unit.metres))
    return Lines(
        chains=tuple(chains),
        traced=tuple(fits),
        points=np.vstack(points) * unit.metres,
        unit=unit,
        axis=axis.scaled(unit.metres),
        notes=tuple(notes),
    )


def _too_coarse(path: Line, drawing: Drawing) -> DrawingError:
    turn = math.degrees(widest_turn(path))
    return DrawingError(
        f"an outline of {len(path.segments)} pieces, most of them straight, that turns up to "
        f"{turn:.0f}° where they meet",
        "a curve, or short straight steps that follow one",
        "export it again with arcs or splines, or in steps below 5 mm",
        where=drawing.path.name,
    )


def _drawn(path: Line, unit: float) -> Chain:
    scale = Similarity(scale=unit)
    return Chain(tuple(segment.piece().transformed(scale) for segment in path.segments))


def _within_line(points: np.ndarray, found: Found, step: float) -> tuple[np.ndarray, list[Finding]]:
    """The middle of a pencil line of which both edges were traced."""
    for rival in found.rivals:
        if not rival.closed:
            continue
        inner = trace_points(rival, step)
        middle, worst = line_width(points, inner)
        if middle < _WIDEST_LINE * found.size and worst < 2.5 * middle + 1e-3 * found.size:
            share = 100.0 * middle / found.size
            why = f"both edges of one line, {share:.2f} % of the body wide; its middle was taken"
            return middle_of_line(points, inner), [Finding("the outline's inner edge", True, why)]
    return points, []


def _treble(
    posed: Posed,
    read: tuple[ReadHalf, ...],
    *,
    labelled: Side | None,
    drawing: Drawing,
    seen_from: View | None,
    player: Literal["right", "left"],
) -> tuple[Side, list[str]]:
    """Which side of the drawing is the treble."""
    cut = [_side(a) for a, r in zip(posed.arms, read, strict=True) if r.half.cutaway != "none"]
    cutaway = cut[0] if len(cut) == 1 and len(read) == 2 else None
    lengths = [half.end_m for half in read]
    differ = max(lengths) - min(lengths) > 0.004 * max(lengths)
    return treble_side(
        cutaway=cutaway,
        labelled=labelled,
        alike=len(read) == 1 or (cutaway is None and not differ),
        drawing=drawing,
        seen_from=seen_from,
        player=player,
    )


def _side(arm: Arm) -> Side:
    return "above" if arm.above else "below"


def _labelled(posed: Posed, found: Found, lines: Lines) -> Side | None:
    """The side that the drawing's own words make the treble."""
    votes: Counter[Side] = Counter()
    for arm in posed.arms:
        chain, path = lines.chains[arm.line], found.paths[arm.line]
        if len(chain.pieces) != len(path.segments):
            continue
        low, high = sorted((arm.start_m, arm.end_m))
        middles = 0.5 * (chain.stations[1:] + chain.stations[:-1])
        side: Side = _side(arm)
        other: Side = "below" if arm.above else "above"
        for middle, piece, number in zip(middles, chain.pieces, path.origin, strict=True):
            inside = any(
                low <= m <= high for m in (middle, middle + chain.length, middle - chain.length)
            )
            words = found.strokes[number].words if inside else ""
            weight = round(1e4 * piece.length)
            if "treble" in words and "bass" not in words:
                votes[side] += weight
            elif "bass" in words and "treble" not in words:
                votes[other] += weight
    if not votes:
        return None
    (side, most), *rest = votes.most_common()
    return side if not rest or most > 4 * rest[0][1] else None
