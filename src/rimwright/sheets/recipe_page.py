"""The recipe on paper, as large as the pages allow."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from rimwright.sheets.drawing import FINE, OUTLINE, VISIBLE, Drawing, Shape, Text, line, rectangle
from rimwright.sheets.fonts import fitting, wrapped
from rimwright.sheets.paper import MARGIN
from rimwright.sheets.pdf import Page, Placed
from rimwright.units import temperature_text, time_text

if TYPE_CHECKING:
    from rimwright.bending.results import Step
    from rimwright.plan import Plan

_GUTTER = 8.0
_HEAD = 12.0
#: Height of a capital in the text, tried from large to small. [mm]
_SIZES = (3.4, 3.2, 3.0, 2.8, 2.7, 2.6)
_PHASES = {"cold": "Cold", "hot": "Under heat", "after": "After the heat"}


@dataclass(frozen=True, slots=True)
class _Block:
    """One step set in its column: shapes from its top downwards, and its height. [mm]"""

    shapes: tuple[Shape, ...]
    height: float


def recipe_pages(plan: Plan, paper: tuple[float, float], date_text: str) -> list[Page]:
    """The steps in two columns: the largest type that needs no further page, never small."""
    width, height = paper
    column = 0.5 * (width - 2 * MARGIN - _GUTTER)
    tall = height - 2 * MARGIN - _HEAD
    set_in = [_columns(_blocks(plan, column, size), tall) for size in _SIZES]
    # As many pages as the smallest type needs; the largest that needs no more.
    fewest = max(2, math.ceil(len(set_in[-1]) / 2))
    columns = next(found for found in set_in if len(found) <= 2 * fewest)
    pages = []
    count = -(-len(columns) // 2)
    for number in range(count):
        shapes = _page_head(plan, paper, date_text, f"{number + 1} of {count}")
        for i, blocks in enumerate(columns[2 * number : 2 * number + 2]):
            x, y = MARGIN + i * (column + _GUTTER), height - MARGIN - _HEAD
            for block in blocks:
                shapes += [shape.moved(x, y) for shape in block.shapes]
                y -= block.height
        drawing = Drawing(f"{plan.design.name}, recipe {number + 1}", tuple(shapes))
        pages.append(Page(width, height, (Placed(drawing),), drawing.title))
    return pages


def _page_head(plan: Plan, paper: tuple[float, float], date_text: str, page: str) -> list[Shape]:
    right, y = paper[0] - MARGIN, paper[1] - MARGIN - 5.5
    foot = Text(
        (right, y), " · ".join(w for w in (f"plan {plan.code}", date_text, page) if w), 2.5, "end"
    )
    title = f"{plan.design.name}, recipe"
    room = right - MARGIN - foot.width - 4.0
    return [
        Text((MARGIN, y), title, fitting(title, 5.0, room, bold=True), bold=True),
        foot,
        line((MARGIN, y - 2.5), (right, y - 2.5), OUTLINE),
    ]


def _columns(blocks: list[_Block], tall: float) -> list[list[_Block]]:
    columns: list[list[_Block]] = [[]]
    used = 0.0
    for block in blocks:
        if used + block.height > tall and columns[-1]:
            columns.append([])
            used = 0.0
        columns[-1].append(block)
        used += block.height
    return columns


def _blocks(plan: Plan, room: float, size: float) -> list[_Block]:
    phase = ""
    told: tuple[str, ...] = ()
    blocks = [_before(plan, room, size)]
    for number, step in enumerate(plan.recipe.steps, start=1):
        heading = _PHASES.get(step.phase, step.phase) if step.phase != phase else ""
        phase = step.phase
        # A caution stands where it begins to hold, not again at the very next step.
        fresh = replace(step, cautions=tuple(c for c in step.cautions if c not in told))
        told = step.cautions
        blocks.append(_block(plan, fresh, number, heading, room=room, size=size))
    return blocks


def _block(
    plan: Plan, step: Step, number: int, heading: str, *, room: float, size: float
) -> _Block:
    """Number and title, target and time, what to do, watch for, and cautions."""
    shapes: list[Shape] = []
    y = 0.0
    if heading:
        y -= 1.35 * size
        shapes.append(Text((0.0, y), heading, 1.15 * size, bold=True))
        shapes.append(line((0.0, y - 0.6 * size), (room, y - 0.6 * size), FINE))
        y -= 1.1 * size
    indent = 3.0 * size
    y -= 1.25 * size
    shapes.append(Text((0.0, y), str(number), 1.25 * size, bold=True))
    title = step.title if step.applies == "both sides" else f"{step.title} ({step.applies})"
    for i, row in enumerate(wrapped(title, 1.15 * size, room - indent, bold=True)):
        y -= 1.7 * size if i else 0.0
        shapes.append(Text((indent, y), row, 1.15 * size, bold=True))
    figures = _figures(plan, step)
    paragraphs = [(w, size, b) for w, b in ((figures, True), (_sentence(step.do), False)) if w]
    if step.watch:
        paragraphs.append((f"Watch: {step.watch.rstrip('.')}.", 0.9 * size, False))
    for words, high, bold in paragraphs:
        y -= 0.25 * size
        for row in wrapped(words, high, room - indent, bold=bold):
            y -= 1.5 * high
            shapes.append(Text((indent, y), row, high, bold=bold))
    y = _cautions(shapes, step, room, size, y)
    return _Block(tuple(shapes), -y + 1.5 * size)


def _cautions(shapes: list[Shape], step: Step, room: float, size: float, y: float) -> float:
    """Cautions in bold behind a heavy bar; the height where they end."""
    indent = 3.0 * size
    for caution in step.cautions:
        y -= 0.5 * size
        top = y
        for row in wrapped(caution, 0.9 * size, room - indent - 2.0, bold=True):
            y -= 1.35 * size
            shapes.append(Text((indent + 2.0, y), row, 0.9 * size, bold=True))
        shapes.append(line((indent + 0.3, top - 0.2 * size), (indent + 0.3, y), OUTLINE))
    return y


def _before(plan: Plan, room: float, size: float) -> _Block:
    """What matters most and what was assumed, framed, ahead of the first step."""
    assumed = [words.replace(": assumed ", ": ") for words in plan.assumed]
    y = -2.0
    shapes: list[Shape] = []
    for heading, said in (("Before you begin", plan.matters), ("Assumed", assumed)):
        if not said:
            continue
        y -= 1.15 * size + 1.5 * size * bool(shapes)
        shapes.append(Text((2.5, y), heading, 1.15 * size, bold=True))
        for words in dict.fromkeys(said):
            y -= 0.5 * size
            rows = wrapped(f"{_sentence(words).rstrip('.')}.", 0.9 * size, room - 8.0)
            shapes.append(Text((2.5, y - 1.35 * size), "–", 0.9 * size))
            for row in rows:
                y -= 1.35 * size
                shapes.append(Text((5.5, y), row, 0.9 * size))
    shapes.append(rectangle(0.0, y - 2.5, room, -y + 2.5, VISIBLE))
    return _Block(tuple(shapes), -y + 2.5 + 2.0 * size)


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"


def _figures(plan: Plan, step: Step) -> str:
    """Target and duration of a step in one line."""
    parts = []
    if step.target_c is not None:
        parts.append(temperature_text(step.target_c, plan.design.show))
    if step.duration_s is not None:
        took = step.duration_s
        low, middle, high = (time_text(v) for v in (took.low, took.middle, took.high))
        parts.append(middle if low == high else f"{middle} ({low} to {high})")
    return " · ".join(parts)
