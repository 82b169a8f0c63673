"""A scan or photograph as a sheet of strokes: its lines in pixels."""

from __future__ import annotations

from pathlib import Path

from rimwright.instrument.drawings.convert import polyline_segments
from rimwright.instrument.drawings.strokes import Sheet, Stroke


def read_picture(path: Path) -> Sheet:
    """The lines of a picture.

    Raises
    ------
    PictureError
        If it cannot be decoded within the limits, or shows no line.
    """
    from rimwright.pictures.lines import read_lines

    picture = read_lines(path)
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
