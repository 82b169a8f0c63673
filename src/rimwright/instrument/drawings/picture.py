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


def read_picture(path: Path) -> Sheet:
    """The lines of a picture.

    Raises
    ------
    PictureError
        If it cannot be decoded within the limits, or shows no line.
    """
    from rimwright.pictures.lines import read_lines

    picture = read_lines(path)
    _refuse_cropped(picture.lines, picture.closed, picture.size, path.name)
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
        notes=picture.findings,
    )


def _refuse_cropped(
    lines: tuple[FloatArray, ...], closed: tuple[bool, ...], size: tuple[int, int], where: str
) -> None:
    """Refuse a body cut off by the picture: its longest curve ends at two different edges.

    At one edge alone it may be half a body drawn up to the paper's edge.
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
        if not whole and edges[0] and edges[1] and not edges[0] & edges[1]:
            off = " and ".join(sorted({min(edges[0]), min(edges[1])}))
            raise PictureError(
                f"a line that runs off the picture at its {off} edges",
                "the whole body, or half of it from tail to neck",
                "scan it whole",
                where=where,
            )
        return
