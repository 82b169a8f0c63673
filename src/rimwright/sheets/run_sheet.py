"""The run sheet for the shop wall: the body, its marks, the stack and the recipe."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal

from rimwright.sheets.body import body_drawing
from rimwright.sheets.dimension import BODY, SMALL, nice_scale
from rimwright.sheets.drawing import FINE, VISIBLE, Drawing, Point, Shape, Text, line
from rimwright.sheets.flat import piece_words
from rimwright.sheets.fonts import fitting, wrapped
from rimwright.sheets.paper import MARGIN, SIZES, code_to_scan
from rimwright.sheets.pdf import Page, Placed
from rimwright.sheets.recipe_page import recipe_pages
from rimwright.sheets.stack import stack_drawing
from rimwright.units import length_text

if TYPE_CHECKING:
    from rimwright.plan import Plan
    from rimwright.sides.pattern import SidePattern
    from rimwright.tooling.parts import SlatCheck

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
    top, foot = height - MARGIN - _CODE - 2.0, MARGIN
    stack = stack_drawing(plan)
    tables, table_height = _tables(plan, room)
    slats, slats_height = _slats(plan, room - stack.width - 8.0)
    beside = max(stack.height, slats_height)
    body = _body(plan, room, top - foot - table_height - beside - 12.0)
    shapes = _head(plan, width, height, date_text)
    placed = [Placed(body.placed(MARGIN + 0.5 * (room - body.width), top - body.height))]
    y = top - body.height - 5.0
    shapes += [shape.moved(MARGIN, y) for shape in tables]
    y -= table_height + 5.0
    placed.append(Placed(stack.placed(MARGIN, y - stack.height)))
    shapes += [shape.moved(width - MARGIN - room + stack.width + 8.0, y) for shape in slats]
    first = Drawing(f"{plan.design.name}, run sheet", tuple(shapes))
    page = Page(width, height, (*placed, Placed(first)), first.title)
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
    room = width - 2 * MARGIN - _CODE - 4.0
    title = f"{design.name}, run sheet"
    size = fitting(title, 7.0, room, bold=True)
    shapes: list[Shape] = [Text((MARGIN, top - 7.5), title, size, bold=True)]
    for i, words in enumerate(rows):
        at = (MARGIN, top - 14.0 - 4.8 * i)
        shapes.append(Text(at, words, fitting(words, 2.8, room)))
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


def _tables(plan: Plan, room: float) -> tuple[list[Shape], float]:
    """Marks of the bass side left, of the treble side right, from the origin down."""
    shapes: list[Shape] = []
    width = 0.5 * (room - 6.0)
    lowest = 0.0
    for column, hand in enumerate(("bass", "treble")):
        y = 0.0
        for pattern in plan.sides:
            if pattern.rim.hand == hand:
                rows, y = _table(plan, pattern, (column * (width + 6.0), y), width)
                shapes += rows
        lowest = min(lowest, y)
    return shapes, -lowest


def _number(plan: Plan, length_m: float) -> str:
    """A length without its unit where the column's head says it."""
    return length_text(length_m, plan.design.show).removesuffix(" mm")


def _table(plan: Plan, pattern: SidePattern, at: Point, width: float) -> tuple[list[Shape], float]:
    """Name, distance on the wood and in the mould, and height of every mark."""
    left, y = at[0], at[1] - BODY
    columns = [(left + share * width) for share in (0.64, 0.83, 1.0)]
    start = "tail" if pattern.rim.name == "main" else "horn tip"
    unit = ", mm" if plan.design.show == "metric" else ""
    words = f"{piece_words(pattern, plan)}, from the {start}{unit}"
    shapes: list[Shape] = [Text((left, y), words, BODY, bold=True)]
    y -= _ROW
    for x, name in zip(columns, ("wood", "mould", "height"), strict=True):
        shapes.append(Text((x, y), name, SMALL, "end"))
    shapes.append(line((left, y - 1.4), (left + width, y - 1.4), VISIBLE))
    for mark in pattern.marks:
        y -= _ROW
        values = (mark.s_middle_m, mark.s_outer_m, mark.height_m)
        numbers = [
            Text((x, y), _number(plan, value), BODY, "end")
            for x, value in zip(columns, values, strict=True)
        ]
        words = mark.name + (", slats too" if mark.on_slats else "")
        room = columns[0] - left - numbers[0].width - 2.0
        shapes += [Text((left, y), words, fitting(words, BODY, room)), *numbers]
        shapes.append(line((left, y - 1.3), (left + width, y - 1.3), FINE))
    return shapes, y - 4.0


def _slats(plan: Plan, room: float) -> tuple[list[Shape], float]:
    """Slats to cut and what the blanket must cover; what a bend is too tight for, in bold."""
    y = -BODY
    shapes: list[Shape] = [Text((0.0, y), "Slats to cut", BODY, bold=True)]
    for name in dict.fromkeys(slat.name for slat in plan.tooling.slats):
        same = [slat for slat in plan.tooling.slats if slat.name == name]
        blanket = name == "blanket"
        # A blanket cut to size is a bare live wire: it is bought, never cut.
        rows = [("blanket, never cut: at least" if blanket else name, blanket)]
        for slat in same:
            piece = f"{slat.hand} return" if slat.piece == "return" else slat.hand
            size = f"{_whole(plan, slat.length_m)} × {_whole(plan, slat.width_m)}"
            rows.append((f"  {piece} {size}", False))
            if not slat.bears_it:
                harm = "bent too tight" if blanket else _set_words(slat)
                rows.append((f"  {harm}: {slat.where}", True))
        y -= 0.8
        for words, bold in rows:
            for row in wrapped(words.strip(), SMALL, room - 3.0, bold=bold):
                y -= 3.6
                indent = 3.0 if words.startswith(" ") else 0.0
                shapes.append(Text((indent, y), row, SMALL, bold=bold))
    return shapes, -y


def _set_words(slat: SlatCheck) -> str:
    """Whether it is sure to take a set, or may by its temper."""
    return "may take a set" if slat.words.startswith("On the edge") else "takes a set"


def _whole(plan: Plan, length_m: float) -> str:
    """A length that is cut with shears, rounded up: whole millimetres, or eighths of an inch."""
    if plan.design.show == "metric":
        return f"{math.ceil(1e3 * length_m - 1e-6)} mm"
    return length_text(math.ceil(8.0 * length_m / 0.0254 - 1e-6) / 8.0 * 0.0254, "inch")
