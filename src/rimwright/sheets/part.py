"""A part of the tooling at full size: the line to saw, its marks, and what it rests on."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from rimwright.curves.piece import FloatArray
from rimwright.sheets.dimension import BODY, HEAD, Show, across, leader, scale_bar, upright
from rimwright.sheets.drawing import (
    CENTRE,
    MARK,
    OUTLINE,
    VISIBLE,
    Drawing,
    Path,
    Point,
    Shape,
    Text,
    line,
    rectangle,
)
from rimwright.sheets.fonts import wrapped
from rimwright.sheets.views import BodyView, body_view
from rimwright.units import length_text

if TYPE_CHECKING:
    from rimwright.plan import Plan
    from rimwright.tooling.parts import Part


#: A longer mark runs through the part: it is named beside its middle. [mm]
_LONG = 30.0


def part_drawing(plan: Plan, part: Part, *, titled: bool = True) -> Drawing:
    """The part as it lies on the body's plan, for saw, router or laser.

    Layer OUTLINE holds what is cut and nothing else. A part drawn from an assumed stack
    says ASSUMED with the thickness it was drawn for.
    """
    show = plan.design.show
    view = body_view(plan.design)
    outline = view.path(part.outline, OUTLINE, closed=True)
    shapes: list[Shape] = [outline]
    shapes += [view.path(hole, OUTLINE, closed=True) for hole in part.holes]
    left, low, right, high = outline.bounds
    if low < -1.0 and high > 1.0:
        shapes.append(line((left - 8.0, 0.0), (right + 8.0, 0.0), CENTRE))
    for name, points in part.marks:
        rows = view.points(points)
        shapes.append(Path(tuple(rows), MARK))
        shapes.append(_mark_name(name, rows, outline))
    shapes += _tightest(part, view, shapes, show)
    box = Drawing("", tuple(shapes)).bounds
    shapes += across(left, right, box[3] + 7.0, high, length_text((right - left) / 1e3, show))
    shapes += upright(low, high, box[2] + 7.0, right, length_text((high - low) / 1e3, show))
    title = f"{plan.design.name}: {part.title}"
    if titled:
        shapes += _title(plan, part, title, left, box[1] - 10.0)
    return Drawing(title, tuple(shapes))


def assumed_words(plan: Plan, part: Part) -> str:
    """What an assumed part must say on every drawing of it, or nothing."""
    if not part.assumed:
        return ""
    stack = length_text(part.stack_m, plan.design.show, fine=True)
    return f"ASSUMED stack, {stack} thick"


def part_notes(plan: Plan, part: Part) -> list[str]:
    """How the part lies, how thick it stands and what to heed."""
    show = plan.design.show
    view = body_view(plan.design).words
    notes = [
        f"{view[:1].upper()}{view[1:]}, tail left, neck right.",
        f"Stands {length_text(part.depth_m, show)} thick.",
    ]
    if part.assumed:
        notes.append("Measure your own stack before you saw.")
    # What is assumed stands in its own heavy line.
    return [*notes, *(note for note in part.notes if not note.startswith("ASSUMED"))]


def _mark_name(name: str, rows: list[Point], outline: Path) -> Text:
    """The name past the end of its line that lies inside the part, or beside its middle."""

    def depth(end: Point) -> float:
        return min(math.hypot(x - end[0], y - end[1]) for x, y in outline.points)

    inner, outer = sorted((rows[0], rows[-1]), key=depth, reverse=True)
    dx, dy = inner[0] - outer[0], inner[1] - outer[1]
    length = max(math.hypot(dx, dy), 1e-9)
    level = abs(dy) < 0.1 * abs(dx)
    if length > _LONG:
        x, y = 0.5 * (rows[0][0] + rows[-1][0]), 0.5 * (rows[0][1] + rows[-1][1])
        return Text((x + 2.0, y + 1.2 if level else y - 0.5 * BODY), name, BODY)
    x, y = inner[0] + 2.0 * dx / length, inner[1] + 2.0 * dy / length
    if abs(dx) > 0.5 * abs(dy):
        # A level line may be a centreline that runs on: stand above it.
        y += 1.2 if level else -0.5 * BODY
        return Text((x, y), name, BODY, "start" if dx > 0 else "end")
    return Text((x, y - (BODY if dy < 0 else 0.0)), name, BODY, "middle")


def _tightest(part: Part, view: BodyView, drawn: list[Shape], show: Show) -> list[Shape]:
    """A leader to the tightest bend of the working line, from where nothing else is drawn."""
    if part.working is None or part.least_radius_m is None:
        return []
    frame = part.working.at(np.linspace(0.0, part.working.length, 2001))
    tightest = int(np.argmax(np.abs(frame.curvature)))
    tip = view.points(frame.position[tightest : tightest + 1])[0]
    line_points = np.array(view.points(part.outline.points(1e-4)))
    left, low, right, high = Drawing("", tuple(drawn)).bounds
    away = math.atan2(tip[1] - 0.5 * (low + high), tip[0] - 0.5 * (left + right))
    words = ["tightest working bend", f"radius {length_text(part.least_radius_m, show)}"]
    best: tuple[int, list[Shape]] | None = None
    for reach in (16.0, 26.0):
        for turn in (0.0, 0.5, -0.5, 1.0, -1.0, 1.6, -1.6, 2.4, -2.4):
            angle = away + turn
            foot = (tip[0] + reach * math.cos(angle), tip[1] + reach * math.sin(angle))
            shapes = leader(tip, foot, words)
            clashes = _clashes(shapes, drawn, line_points)
            if best is None or clashes < best[0]:
                best = clashes, shapes
    return best[1] if best else []


def _clashes(shapes: list[Shape], drawn: list[Shape], line_points: FloatArray) -> int:
    """How many words, marks and points of the outline the new words would lie on."""
    count = 0
    strokes = [
        np.linspace(path.points[0], path.points[-1], 60)
        for path in drawn
        if isinstance(path, Path) and len(path.points) == 2
    ]
    crowd = np.vstack([line_points, *strokes])
    for text in (shape for shape in shapes if isinstance(shape, Text)):
        left, low, right, high = text.bounds
        x, y = crowd.T
        count += int(np.count_nonzero((x > left) & (x < right) & (y > low) & (y < high)))
        for other in (shape for shape in drawn if isinstance(shape, Text)):
            a, b, c, d = other.bounds
            count += 10 * int(a < right and c > left and b < high and d > low)
    return count


def _title(plan: Plan, part: Part, title: str, left: float, y: float) -> list[Shape]:
    shapes: list[Shape] = [Text((left, y), title, HEAD, bold=True)]
    y -= 6.0
    if part.assumed:
        text = Text((left + 2.0, y - 1.0), assumed_words(plan, part), HEAD, bold=True)
        shapes += [text, rectangle(left, y - 3.0, text.width + 4.0, HEAD + 4.0, VISIBLE)]
        y -= 8.0
    notes = [*part_notes(plan, part), f"Plan {plan.code}."]
    rows = [words for note in notes for words in wrapped(note, BODY, 150.0)]
    shapes += [Text((left, y - 4.2 * i), words, BODY) for i, words in enumerate(rows)]
    shapes += scale_bar(left, y - 4.2 * len(rows) - 3.0, plan.design.show)
    return shapes
