"""The lines of a scan or photograph, ready to be fitted: `read_lines`."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy import ndimage

from rimwright.errors import PictureError
from rimwright.pictures.decode import Picture, open_picture
from rimwright.pictures.ink import Ink, dark_on_light, find_ink, find_shape, without_surround
from rimwright.pictures.refine import edge, line_centre
from rimwright.pictures.skeleton import BoolArray, FloatArray, Stroke, strokes, thin

#: Lines and closed things smaller than this share of the picture's diagonal are specks,
#: writing or sound holes drawn small, and left.
SMALLEST_LINE = 0.05
#: More lines than this are no drawing of a body; the longest are kept.
MOST_LINES = 24
#: Ink on more of the picture than this is no line drawing.
_MOST_INK = 0.2


@dataclass(frozen=True, kw_only=True)
class TracedPicture:
    """Lines found in a picture, longest first.

    Points are in pixels of the file's own size along x, with y up and (0, 0) at the middle
    of the lowest left pixel.
    """

    #: Each of shape (n, 2). [pixels]
    lines: tuple[FloatArray, ...]
    #: Whether each line joins its own start.
    closed: tuple[bool, ...]
    #: As the file records it; None where it does not. [1/in]
    dots_per_inch: float | None
    #: Width and height, upright. [pixels]
    size: tuple[int, int]
    #: "line" where the middle of a drawn line was followed, "edge" of a filled shape.
    kind: str
    #: What was taken and left, and why.
    findings: tuple[str, ...] = ()


def read_lines(path: str | Path) -> TracedPicture:
    """The lines drawn in a PNG or JPEG, or the edge of a filled shape in it.

    Uneven light is taken out, pixels darker than the paper and its noise are ink, and the
    middle of each line is found to a part of a pixel from the ink across it. At a crossing
    each line goes straight on, so that a centreline does not cut the body.

    Parameters
    ----------
    path : str or Path
        A PNG or JPEG; the limits are named in `rimwright.pictures.decode`.

    Returns
    -------
    TracedPicture
        Lines in pixels, and the resolution where the file records one.

    Raises
    ------
    PictureError
        If the file cannot be decoded within the limits, or no line stands out of it.
    """
    path = Path(path)
    picture = open_picture(path)
    notes = [*picture.notes]
    if picture.reduction > 1:
        notes.append(f"read at 1/{picture.reduction} of its size, averaged")
    shape = find_shape(picture.grey)
    if shape is not None:
        found = [(edge(picture.grey, stroke.pixels), True) for stroke in _outline(shape)]
        kind = "edge"
        notes.append("taken: the edge of the largest filled shape")
    else:
        grey, surrounded = without_surround(picture.grey)
        if surrounded:
            notes.append("left: what lies dark around the paper")
        grey, inverted = dark_on_light(grey)
        if inverted:
            notes.append("light lines on a dark ground; read the other way round")
        ink = find_ink(grey)
        if ink is None or ink.mask.mean() > _MOST_INK:
            raise PictureError(
                "no line that stands out of the paper" if ink is None else "dark all over",
                "a drawn line, or a shape on an even ground",
                "scan it with more contrast, or draw the line over with a soft pencil",
                where=path.name,
            )
        found, small = _drawn(ink)
        kind = "line"
        if small:
            notes.append(f"left: {small} specks, letters and small things")
    if not found:
        raise PictureError(
            "only specks and small marks",
            f"a line longer than {SMALLEST_LINE:.0%} of the picture",
            "cut the picture down to the body, or scan it larger",
            where=path.name,
        )
    found = sorted(found, key=lambda line: -len(line[0]))[:MOST_LINES]
    return TracedPicture(
        lines=tuple(_upright(line, picture) for line, _ in found),
        closed=tuple(closed for _, closed in found),
        dots_per_inch=picture.dots_per_inch,
        size=picture.size,
        kind=kind,
        findings=tuple(notes),
    )


def _drawn(ink: Ink) -> tuple[list[tuple[FloatArray, bool]], int]:
    """Middles of the lines long enough, and how many marks were left."""
    least = SMALLEST_LINE * float(np.hypot(*ink.mask.shape))
    mask, small = _without_specks(ink.mask, least)
    skeleton = thin(mask)
    length = int(skeleton.sum())
    if length == 0:
        return [], small
    width = float(mask.sum()) / length
    marks = strokes(skeleton, width)
    long = [stroke for stroke in marks if len(stroke.pixels) >= least]
    small += len(marks) - len(long)
    middles = [line_centre(ink.darkness, s.pixels, width, closed=s.closed) for s in long]
    lines = []
    for number, stroke in enumerate(long):
        line = middles[number]
        if not stroke.closed:
            others = np.vstack([np.zeros((0, 2)), *middles[:number], *middles[number + 1 :]])
            line = _run_into(line[::-1], stroke.into[0], others, width)[::-1]
            line = _run_into(line, stroke.into[1], others, width)
        lines.append((line, stroke.closed))
    return lines, small


def _run_into(
    line: FloatArray, junction: FloatArray | None, others: FloatArray, width: float
) -> FloatArray:
    """The line carried straight on to the middle of the one it ends at."""
    if junction is None or len(line) < 8:
        return line
    way = line[-1] - line[-min(len(line), int(3.0 * width) + 6)]
    way /= max(float(np.hypot(*way)), 1e-9)
    beside = others[np.hypot(*(others - junction).T) < 4.0 * width + 8.0]
    if len(beside) < 6:
        return line
    middle = beside.mean(axis=0)
    along = np.linalg.svd(beside - middle, full_matrices=False)[2][0]
    across = np.array([-along[1], along[0]])
    slope = float(way @ across)
    short = float((middle - line[-1]) @ across) / slope if abs(slope) > 0.2 else 0.0
    if not 0.0 < short < 6.0 * width + 6.0:
        return line
    return np.vstack([line, line[-1] + short * way])


def _without_specks(mask: BoolArray, least: float) -> tuple[BoolArray, int]:
    """The mask without marks whose box is smaller than a line may be, and their number."""
    numbers, count = ndimage.label(mask, np.ones((3, 3), bool))
    keep = np.zeros(count + 1, dtype=bool)
    for number, box in enumerate(ndimage.find_objects(numbers), start=1):
        rows, columns = box
        keep[number] = np.hypot(rows.stop - rows.start, columns.stop - columns.start) >= 0.6 * least
    return keep[numbers], int(count - keep.sum())


def _outline(shape: BoolArray) -> list[Stroke]:
    """The ring of pixels around a shape, opened by a pixel first so that hairs fall off."""
    opened = ndimage.binary_opening(shape, np.ones((5, 5), bool))
    opened[[0, -1], :] = opened[:, [0, -1]] = False
    numbers, count = ndimage.label(opened)
    if count == 0:
        return []
    opened = numbers == 1 + int(np.argmax(np.bincount(numbers.ravel())[1:]))
    ring = opened & ~ndimage.binary_erosion(opened)
    closed = [stroke for stroke in strokes(thin(ring), 1.0) if stroke.closed]
    return sorted(closed, key=lambda stroke: -len(stroke.pixels))[:1]


def _upright(line: FloatArray, picture: Picture) -> FloatArray:
    """(row, column) of the reduced picture as (x, y) of the file, y up."""
    scale = picture.reduction
    rows = scale * (line[:, 0] + 0.5) - 0.5
    columns = scale * (line[:, 1] + 0.5) - 0.5
    return np.column_stack([columns, (picture.size[1] - 1.0 - rows) * picture.aspect])
