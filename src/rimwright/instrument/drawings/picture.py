"""A scan or photograph as a sheet of strokes: its lines in pixels."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from rimwright.curves.piece import FloatArray
from rimwright.errors import PictureError
from rimwright.instrument.drawings.convert import polyline_segments
from rimwright.instrument.drawings.strokes import Sheet, Stroke

#: A line that ends so near to the picture's edge runs off it. [share of the longer side]
_AT_EDGE = 0.004
#: A line whose ends are further apart than this share of its length is straight.
_STRAIGHT = 0.95

#: Cosine of the least angle at which half a body meets its centreline at both ends.
_OBLIQUE = 0.5


def read_picture(path: Path) -> Sheet:
    """The lines of a picture.

    Raises
    ------
    PictureError
        If it cannot be decoded within the limits, or shows no line.
    """
    from rimwright.pictures.lines import read_lines

    picture = read_lines(path)
    notes = _cropped(picture.lines, picture.closed, picture.size, path.name)
    strokes = []
    for number, (line, closed) in enumerate(zip(picture.lines, picture.closed, strict=True), 1):
        points = [(float(x), float(y)) for x, y in line]
        segments = tuple(polyline_segments(points, closed=closed))
        if segments:
            strokes.append(Stroke(segments=segments, kind="line", layer="", name=str(number)))
    dpi = picture.dots_per_inch
    return Sheet(
        strokes=tuple(strokes),
        unit_m=0.0254 / dpi if dpi else None,
        unit_said=f"{dpi:g} dots per inch" if dpi else "the picture names no resolution",
        traced=True,
        notes=(*picture.findings, *notes),
    )


def _cropped(
    lines: tuple[FloatArray, ...], closed: tuple[bool, ...], size: tuple[int, int], where: str
) -> tuple[str, ...]:
    """Refuse a body cut off by the picture, where its longest curve ends at the edges.

    At one edge alone, and square to it, it may be half a body drawn up to the paper's edge;
    that is noted.
    """
    for line, whole in zip(lines, closed, strict=True):
        length = float(np.hypot(*np.diff(line, axis=0).T).sum())
        if not whole and float(np.hypot(*(line[-1] - line[0]))) > _STRAIGHT * length:
            continue
        near = _AT_EDGE * max(size)
        edges = [
            {
                name
                for name, away in (
                    ("left", x),
                    ("right", size[0] - 1 - x),
                    ("lower", y),
                    ("upper", size[1] - 1 - y),
                )
                if away < near
            }
            for x, y in (line[0].tolist(), line[-1].tolist())
        ]
        at_edges = not whole and edges[0] and edges[1]
        if at_edges and not (edges[0] & edges[1] and _square(line)):
            off = " and ".join(sorted({min(edges[0]), min(edges[1])}))
            raise PictureError(
                f"a line that runs off the picture at its {off} edge",
                "the whole body, or half of it from tail to neck",
                "scan it whole",
                where=where,
            )
        return ("the line ends at its edge; taken for half a body, not one cut off",) * bool(
            at_edges
        )
    return ()


def _square(line: FloatArray) -> bool:
    """Whether both ends of a line come square, or nearly, to the line between them."""
    across = line[-1] - line[0]
    reach = max(2, len(line) // 100)
    for end, before in ((line[0], line[reach]), (line[-1], line[-1 - reach])):
        way = end - before
        if abs(float(way @ across)) > _OBLIQUE * float(np.hypot(*way) * np.hypot(*across)):
            return False
    return True
