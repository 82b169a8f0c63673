"""Pages of drawings as PDF: black on white, true size, no clock time inside."""

from __future__ import annotations

import io
import math
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rimwright.sheets import fonts
from rimwright.sheets.drawing import DASHES, Drawing, Path, Text, arc_centre

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

#: Points in a millimetre.
POINT = 72.0 / 25.4


@dataclass(frozen=True, slots=True)
class Placed:
    """A drawing put on a page: moved, and cut to a window of the page. [mm]"""

    drawing: Drawing
    dx: float = 0.0
    dy: float = 0.0
    #: Left, bottom, width, height on the page; None: all of it.
    window: tuple[float, float, float, float] | None = None


@dataclass(frozen=True, slots=True)
class Page:
    """One sheet of paper. [mm]"""

    width: float
    height: float
    placed: tuple[Placed, ...]
    title: str = ""


def pdf_bytes(pages: list[Page], title: str) -> bytes:
    """The pages as one PDF; a drawing placed many times is stored once.

    Parameters
    ----------
    pages : list of Page
        In order.
    title : str
        Of the document.

    Returns
    -------
    bytes
        The file; equal pages give equal bytes.
    """
    from reportlab.pdfgen.canvas import Canvas

    fonts.register()
    stream = io.BytesIO()
    canvas = Canvas(stream, invariant=1, pageCompression=1)
    canvas.setTitle(title)
    canvas.setAuthor("Rimwright")
    canvas.setSubject("Print at 100 %, without fitting to the page")
    canvas.setViewerPreference("PrintScaling", "None")
    uses = Counter(id(placed.drawing) for page in pages for placed in page.placed)
    forms: dict[int, str] = {}
    for page in pages:
        canvas.setPageSize((page.width * POINT, page.height * POINT))
        for placed in page.placed:
            name = _form(canvas, placed.drawing, forms) if uses[id(placed.drawing)] > 1 else None
            _place(canvas, placed, name)
        if page.title:
            canvas.bookmarkPage(f"page{canvas.getPageNumber()}")
            canvas.addOutlineEntry(page.title, f"page{canvas.getPageNumber()}")
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def _form(canvas: Canvas, drawing: Drawing, forms: dict[int, str]) -> str:
    """The stored form of a drawing, made at its first use."""
    if id(drawing) not in forms:
        name = f"drawing{len(forms)}"
        left, bottom, right, top = drawing.bounds
        box = (*map(math.floor, (left - 1, bottom - 1)), *map(math.ceil, (right + 1, top + 1)))
        canvas.beginForm(name, *box)
        _draw(canvas, drawing)
        canvas.endForm()
        forms[id(drawing)] = name
    return forms[id(drawing)]


def _place(canvas: Canvas, placed: Placed, form: str | None) -> None:
    canvas.saveState()
    canvas.scale(POINT, POINT)
    if placed.window is not None:
        left, bottom, width, height = placed.window
        frame = canvas.beginPath()
        frame.rect(left, bottom, width, height)
        canvas.clipPath(frame, stroke=0, fill=0)
    canvas.translate(placed.dx, placed.dy)
    if form is None:
        _draw(canvas, placed.drawing)
    else:
        canvas.doForm(form)
    canvas.restoreState()


def _draw(canvas: Canvas, drawing: Drawing) -> None:
    canvas.setLineCap(1)
    canvas.setLineJoin(1)
    for shape in drawing.shapes:
        if isinstance(shape, Path):
            _stroke(canvas, shape)
        else:
            _write(canvas, shape)


def _stroke(canvas: Canvas, path: Path) -> None:
    canvas.setLineWidth(path.pen.weight)
    dashes = DASHES[path.pen.style]
    # Round ends lengthen every dash by the weight of the line.
    canvas.setDash(list(dashes)) if dashes else canvas.setDash()
    trace = canvas.beginPath()
    trace.moveTo(*path.points[0])
    for start, end, bulge in path.strokes():
        if bulge:
            _arc(trace, start, end, bulge)
        else:
            trace.lineTo(*end)
    if path.closed:
        trace.close()
    canvas.setFillGray(1.0 if path.fill == "white" else 0.0)
    canvas.drawPath(trace, stroke=int(path.fill != "black"), fill=int(path.fill != "none"))


def _arc(trace: object, start: tuple[float, float], end: tuple[float, float], b: float) -> None:
    """An arc as cubics of at most 30 degrees each, within 1e-7 of the radius."""
    (cx, cy), radius = arc_centre(start, end, b)
    turn = 4.0 * math.atan(b)
    count = max(1, math.ceil(abs(turn) / (math.pi / 6)))
    step = turn / count
    handle = 4.0 / 3.0 * math.tan(step / 4.0) * radius
    angle = math.atan2(start[1] - cy, start[0] - cx)
    for _ in range(count):
        c0, s0 = math.cos(angle), math.sin(angle)
        angle += step
        c1, s1 = math.cos(angle), math.sin(angle)
        trace.curveTo(  # type: ignore[attr-defined]
            cx + radius * c0 - handle * s0, cy + radius * s0 + handle * c0,
            cx + radius * c1 + handle * s1, cy + radius * s1 - handle * c1,
            cx + radius * c1, cy + radius * s1,
        )  # fmt: skip


def _write(canvas: Canvas, text: Text) -> None:
    canvas.setFillGray(0.0)
    canvas.setFont(fonts.NAMES[text.bold], text.size / fonts.CAPITAL)
    x, y = text.at
    if text.angle:
        canvas.saveState()
        canvas.translate(x, y)
        canvas.rotate(text.angle)
        x = y = 0.0
    if text.anchor == "middle":
        canvas.drawCentredString(x, y, text.words)
    elif text.anchor == "end":
        canvas.drawRightString(x, y, text.words)
    else:
        canvas.drawString(x, y, text.words)
    if text.angle:
        canvas.restoreState()
