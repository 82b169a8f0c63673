"""The run sheet for the shop wall: the body, its marks, the stack and the recipe."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from rimwright.sheets.body import body_drawing
from rimwright.sheets.dimension import BODY, HEAD, SMALL, nice_scale
from rimwright.sheets.drawing import DIMENSION, FINE, VISIBLE, Drawing, Shape, Text, line, rectangle
from rimwright.sheets.flat import piece_words
from rimwright.sheets.fonts import wrapped
from rimwright.sheets.paper import MARGIN, SIZES, code_to_scan
from rimwright.sheets.pdf import Page, Placed
from rimwright.sheets.recipe_page import recipe_pages
from rimwright.sheets.stack import stack_drawing
from rimwright.units import length_text

if TYPE_CHECKING:
    from rimwright.plan import Plan
    from rimwright.sides.pattern import SidePattern

_CODE = 26.0
_ROW = 4.6


def plan_code_words(plan: Plan) -> str:
    """What the code on the run sheet says to a reader: compact, no address."""
    design = plan.design
    return f"rimwright:plan;{plan.code};model={design.name};player={design.player}"


def run_sheet_pages(plan: Plan, paper: Literal["a4", "letter"], date_text: str) -> list[Page]:
    """The pages in order: the drawing with its tables, then the recipe in large type."""
    width, height = SIZES[paper]
    room = width - 2 * MARGIN
    shapes = _head(plan, width, height, date_text)
    y = height - MARGIN - _CODE - 3.0
    body = _body(plan, room, 112.0 if paper == "a4" else 96.0)
    placed = body.placed(MARGIN + 0.5 * (room - body.width), y - body.height)
    y -= body.height + 4.0
    tables, y = _tables(plan, MARGIN, y, room)
    stack = stack_drawing(plan)
    lower = stack.placed(MARGIN, y - 3.0 - stack.height)
    shapes += tables
    shapes += _matters(plan, MARGIN + stack.width + 6.0, y - 3.0, width - MARGIN)
    first = Drawing(f"{plan.design.name}, run sheet", tuple(shapes))
    page = Page(width, height, (Placed(placed), Placed(lower), Placed(first)), first.title)
    return [page, *recipe_pages(plan, (width, height), date_text)]


def _head(plan: Plan, width: float, height: float, date_text: str) -> list[Shape]:
    design = plan.design
    top = height - MARGIN
    wood = design.sides.wood or "wood not named"
    thicknesses = sorted({length_text(s.thickness_m, design.show, fine=True) for s in plan.sides})
    rows = [
        f"{design.player}-handed player · sides of {wood}, {' and '.join(thicknesses)} at bending",
        f"plan {plan.code}" + (f" · {date_text}" if date_text else ""),
        *([design.shop] if design.shop else []),
    ]
    shapes: list[Shape] = [Text((MARGIN, top - 7.5), f"{design.name}, run sheet", 7.0, bold=True)]
    shapes += [Text((MARGIN, top - 14.0 - 4.8 * i), w, 2.8) for i, w in enumerate(rows)]
    shapes += code_to_scan(plan_code_words(plan), width - MARGIN - _CODE, top - _CODE, _CODE)
    return shapes


def _body(plan: Plan, room: float, high: float) -> Drawing:
    """The body at the largest usual scale at which it fits with its words."""
    scale = nice_scale(1e3 * plan.outline.length_m, 1.0, room - 60.0, high)
    drawing = body_drawing(plan, scale)
    while (drawing.height > high or drawing.width > room) and scale > 0.02:
        scale = nice_scale(1.0, 1.0, 0.98 * scale, 0.98 * scale)
        drawing = body_drawing(plan, scale)
    return drawing


def _tables(plan: Plan, left: float, top: float, room: float) -> tuple[list[Shape], float]:
    """Marks of the bass side left, of the treble side right; the lower end of both."""
    shapes: list[Shape] = []
    width = 0.5 * (room - 6.0)
    lowest = top
    for column, hand in enumerate(("bass", "treble")):
        y = top
        for pattern in plan.sides:
            if pattern.rim.hand == hand:
                rows, y = _table(plan, pattern, left + column * (width + 6.0), y, width)
                shapes += rows
        lowest = min(lowest, y)
    return shapes, lowest


def _table(
    plan: Plan, pattern: SidePattern, left: float, top: float, width: float
) -> tuple[list[Shape], float]:
    """Name, distance on the wood and in the mould, and height of every mark."""
    show = plan.design.show
    columns = (left + width - 38.0, left + width - 18.5, left + width)
    y = top - _ROW
    start = "tail" if pattern.rim.name == "main" else "horn tip"
    shapes: list[Shape] = [
        Text((left, y), f"{piece_words(pattern, plan)}, from the {start}", BODY, bold=True)
    ]
    for x, words in zip(columns, ("wood", "mould", "height"), strict=True):
        shapes.append(Text((x, y), words, SMALL, "end", bold=True))
    shapes.append(line((left, y - 1.4), (left + width, y - 1.4), VISIBLE))
    for mark in pattern.marks:
        y -= _ROW
        shapes.append(Text((left, y), mark.name + (" •" if mark.on_slats else ""), BODY))
        values = (mark.s_middle_m, mark.s_outer_m, mark.height_m)
        for x, value in zip(columns, values, strict=True):
            shapes.append(Text((x, y), length_text(value, show), BODY, "end"))
        shapes.append(line((left, y - 1.3), (left + width, y - 1.3), FINE))
    return shapes, y - 3.0


def _matters(plan: Plan, left: float, top: float, right: float) -> list[Shape]:
    """What was assumed and what matters most, in a frame beside the stack."""
    room = right - left - 6.0
    y = top - 4.0 - HEAD
    shapes: list[Shape] = [Text((left + 3.0, y), "Before you begin", HEAD, bold=True)]
    marks = "• on slats and blanket too"
    for words in (*plan.words, *plan.tooling.warnings[:2], marks):
        y -= 2.0
        for row in wrapped(words, BODY, room):
            y -= 3.9
            shapes.append(Text((left + 3.0, y), row, BODY))
    shapes.append(rectangle(left, y - 3.0, right - left, top - y + 3.0, DIMENSION))
    return shapes
