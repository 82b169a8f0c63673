"""A part of the tooling at full size: the line to saw, its marks, and what it rests on."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from rimwright.sheets.dimension import BODY, HEAD, across, leader, scale_bar, upright
from rimwright.sheets.drawing import (
    CENTRE,
    MARK,
    OUTLINE,
    VISIBLE,
    Drawing,
    Path,
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
        shapes.append(_mark_name(name, rows, (left + right) / 2))
    shapes += _tightest(part, view, outline)
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
    return f"ASSUMED stack, {stack} thick: measure yours before sawing"


def part_notes(plan: Plan, part: Part) -> list[str]:
    """How the part lies, how thick it stands and what to heed."""
    show = plan.design.show
    view = body_view(plan.design).words
    notes = [
        f"{view[:1].upper()}{view[1:]}, tail left, neck right.",
        f"Stands {length_text(part.depth_m, show)} thick.",
    ]
    if part.stack_m and not part.assumed:
        notes.append(f"Drawn for a stack of {length_text(part.stack_m, show, fine=True)}.")
    return [*notes, *part.notes]


def _mark_name(name: str, rows: list[tuple[float, float]], middle: float) -> Text:
    """The name beside the middle of its line, on the side with more room."""
    x = sum(p[0] for p in rows) / len(rows)
    y = sum(p[1] for p in rows) / len(rows)
    right = x <= middle
    return Text((x + (1.5 if right else -1.5), y + 1.5), name, BODY, "start" if right else "end")


def _tightest(part: Part, view: BodyView, outline: Path) -> list[Shape]:
    """A leader to the tightest bend of the working line, from outside the part."""
    if part.working is None or part.least_radius_m is None:
        return []
    stations = np.linspace(0.0, part.working.length, 2001)
    frame = part.working.at(stations)
    tightest = int(np.argmax(np.abs(frame.curvature)))
    tip = view.points(frame.position[tightest : tightest + 1])[0]
    left, low, right, high = outline.bounds
    dx, dy = tip[0] - 0.5 * (left + right), tip[1] - 0.5 * (low + high)
    far = max(np.hypot(dx, dy), 1e-9)
    foot = (tip[0] + 16.0 * dx / far, tip[1] + 16.0 * dy / far)
    return leader(
        tip, foot, ["tightest working bend", f"radius {1e3 * part.least_radius_m:.1f} mm"]
    )


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
