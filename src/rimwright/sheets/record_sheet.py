"""A run on paper: one page for how it went, one for its steps; black on white."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from rimwright.sheets.drawing import FINE, OUTLINE, VISIBLE, Drawing, Shape, Text, line, rectangle
from rimwright.sheets.fonts import fitting, width, wrapped
from rimwright.sheets.paper import SIZES
from rimwright.sheets.pdf import Page, Placed
from rimwright.sheets.record_blocks import Block, beside, heading, pairs, paragraphs, table
from rimwright.sheets.record_plot import Size, plot
from rimwright.sheets.record_steps import PHASE_TITLES, Step
from rimwright.sheets.record_told import PRACTICE, Told
from rimwright.sheets.record_words import counted, time_text_of, zone_text
from rimwright.units import time_text

_MARGIN = 14.0
#: Heights of a capital. [mm]
_TITLE, _BODY, _SMALL = 5.5, 2.4, 2.1
#: Of the plot with the rest below it, and without. [mm]
_PLOT, _PLOT_ALONE = 118.0, 86.0
_KEY = (
    "Heavy line: the probe. Hatched: where it was expected before the run, its middle "
    "chain-dashed. Rings: calls. Filled triangles: alarms. A gap is a time without a reading."
)


def record_pages(told: Told) -> list[Page]:
    """The pages of a run's printout: A4, or letter where the maker works in inches.

    Parameters
    ----------
    told : Told
        The run in words.
    """
    wide, high = SIZES["a4" if told.show == "metric" else "letter"]
    room = wide - 2.0 * _MARGIN
    pages = _flowed(
        [
            _top(told, room), _curve(told, room), *_compared(told, room), *_said(told, room),
            _facts(told, room), *_steps(told, room),
        ],
        high,
    )  # fmt: skip
    total = len(pages)
    made = []
    for number, shapes in enumerate(pages, start=1):
        title = f"{told.title}, run {told.run}, page {number}"
        foot = _foot(told, room, f"page {number} of {total}")
        drawing = Drawing(title, (*(shape.moved(_MARGIN, 0.0) for shape in shapes), *foot))
        made.append(Page(wide, high, (Placed(drawing),), title))
    return made


def _flowed(blocks: Sequence[Block], high: float) -> list[list[Shape]]:
    """Blocks one under the other, on as many pages as they need."""
    top, floor = high - _MARGIN, _MARGIN + 6.0
    pages: list[list[Shape]] = [[]]
    y = top
    for number, block in enumerate(blocks):
        following = blocks[number + 1].height if number + 1 < len(blocks) else 0.0
        # A heading never stands alone at the foot of a page.
        needed = block.height + (following if block.keeps else 0.0)
        if y - needed < floor and pages[-1]:
            pages.append([])
            y = top
        pages[-1] += [shape.moved(0.0, y) for shape in block.shapes]
        y -= block.height
    return pages


def _top(told: Told, room: float) -> Block:
    """Title, what it is of, and how it came out in large letters."""
    run = f"run {told.run}"
    size = fitting(told.title, _TITLE, room - width(run, _TITLE, bold=True) - 6.0, bold=True)
    y = -_TITLE
    shapes: list[Shape] = [
        Text((0.0, y), told.title, size, bold=True),
        Text((room, y), run, _TITLE, "end", bold=True),
    ]
    y -= 2.4
    shapes.append(line((0.0, y), (room, y), OUTLINE))
    alarms = counted(told.alarms, "alarm")
    rows = [
        " · ".join(filter(None, (told.shop, told.player, f"plan {told.plan_code}", told.span))),
        " · ".join(filter(None, (told.state, alarms, told.face))),
    ]
    for words in rows:
        for row in wrapped(words, _BODY, room):
            y -= 1.75 * _BODY
            shapes.append(Text((0.0, y), row, _BODY))
    if told.simulated:
        y -= 2.6 * _BODY
        shapes.append(Text((2.5, y), PRACTICE, _BODY, bold=True))
        wide = width(PRACTICE, _BODY, bold=True) + 5.0
        shapes.append(rectangle(0.0, y - 0.7 * _BODY, wide, 2.4 * _BODY, VISIBLE))
        y -= 0.7 * _BODY
    came = [words for _, words in told.outcomes] or [told.outcome]
    size = 4.2 if told.outcomes and sum(map(len, came)) < 50 else 3.0
    y -= 0.6 * size
    top = y
    for words in came:
        for row in wrapped(words, size, room - 5.0, bold=bool(told.outcomes)):
            y -= 1.6 * size
            shapes.append(Text((4.0, y), row, size, bold=bool(told.outcomes)))
    shapes.append(rectangle(0.0, y - 0.3 * size, 1.2, top - y - 0.2 * size, OUTLINE, fill="black"))
    return Block(tuple(shapes), -y + 5.0)


def _compared(told: Told, room: float) -> list[Block]:
    """What was predicted beside what came."""
    rows = [
        (one.what, one.predicted, ", ".join(filter(None, (one.came, one.verdict))))
        for one in told.compared
    ]
    if not rows:
        return []
    return [
        heading("Predicted before, and what came", room),
        *table(rows, (0.28, 0.42, 0.3), room, _SMALL),
    ]


def _facts(told: Told, room: float) -> Block:
    """The side on the left, the bench on the right."""
    column = 0.5 * (room - 7.0)
    side, bench = (
        [heading(title, column), *pairs(facts, column, _SMALL)]
        for title, facts in (("The side", told.side_facts), ("The bench", told.bench_facts))
    )
    return beside(side, bench, column + 7.0)


def _curve(told: Told, room: float) -> Block:
    if not told.curve.main.curves:
        return paragraphs(["No temperature was read in this run."], room, _BODY)[0]
    high = _PLOT if told.curve.rest else _PLOT_ALONE
    drawing = plot(told.curve, Size(width=room, height=high, letter=2.1))
    shapes = list(drawing.moved(0.0, -high - 2.0).shapes)
    y = -high - 2.0
    for row in wrapped(_KEY, 1.9, room):
        y -= 2.9
        shapes.append(Text((0.0, y), row, 1.9))
    return Block(tuple(shapes), -y + 4.0)


def _said(told: Told, room: float) -> list[Block]:
    """What was learnt, notes, and which photographs there are."""
    blocks: list[Block] = []
    if told.learnt:
        blocks += [heading("What was learnt", room), *paragraphs(told.learnt, room, _BODY)]
    notes = [f"{moment}: {words}" for moment, words in told.notes]
    notes += [f"{moment}, of the side: {words}" for moment, words in told.side_notes]
    if notes:
        blocks += [heading("Notes", room), *paragraphs(notes, room, _BODY)]
    if told.pictures:
        named = "; ".join(one.words or f"number {one.id}" for one in told.pictures)
        words = f"{counted(len(told.pictures), 'photograph')} on the record's page: {named}"
        blocks += [heading("Photographs", room), *paragraphs([words], room, _BODY)]
    return blocks


def _steps(told: Told, room: float) -> list[Block]:
    """Every step with when it was begun and how long it took, and what was called in it."""
    blocks = [heading("Step by step", room)]
    for phase, group in groupby(told.steps, key=lambda step: step.phase):
        y = -5.4
        shapes = (
            Text((0.0, y), PHASE_TITLES[phase], _BODY, bold=True),
            line((0.0, y - 1.4), (room, y - 1.4), FINE),
        )
        blocks.append(Block(shapes, -y + 1.6, keeps=True))
        for step in group:
            blocks += _step(told, step, room)
    zone = zone_text(told.begun_wall_s)
    words = f"Times by the shop computer, {zone}. Rimwright watched; it switched nothing."
    return [*blocks, *paragraphs([words], room, _SMALL)]


def _step(told: Told, step: Step, room: float) -> list[Block]:
    indent, times = 8.0, room - 42.0
    y = -1.75 * _BODY
    took = "" if step.took_s is None else time_text(step.took_s)
    shapes: list[Shape] = [
        Text((0.0, y), str(step.number), _BODY),
        Text((indent, y), step.title, fitting(step.title, _BODY, times - indent)),
        Text((room - 20.0, y), time_text_of(step.wall_s, told.begun_wall_s), _BODY, "end"),
        Text((room, y), took, _BODY, "end"),
    ]
    blocks = [Block(tuple(shapes), -y, keeps=bool(step.lines))]
    marks = {"call": "○ ", "alarm": "▲ ", "note": "", "other": ""}
    said = [
        (time_text_of(one.wall_s, told.begun_wall_s), marks[one.kind] + one.words, one.kind)
        for one in step.lines
    ]
    if step.more:
        said.append(("", f"and {counted(step.more, 'more line')}, in an export", "other"))
    stamp = max((width(clock, _SMALL) for clock, *_ in said), default=0.0) + 2.0
    for clock, words, kind in said:
        y, rows = 0.0, []
        for row in wrapped(words, _SMALL, times - indent - stamp, bold=kind == "alarm"):
            y -= 1.65 * _SMALL
            rows.append(Text((indent + stamp, y), row, _SMALL, bold=kind == "alarm"))
        first = Text((indent, -1.65 * _SMALL), clock, _SMALL)
        blocks.append(Block((first, *rows), -y))
    return blocks


def _foot(told: Told, room: float, page: str) -> tuple[Shape, ...]:
    words = f"{told.model} · {told.side} · run {told.run} · plan {told.plan_code} · {told.span}"
    y = _MARGIN
    size = fitting(words, 1.9, room - width(page, 1.9) - 4.0)
    return (
        line((_MARGIN, y + 4.0), (_MARGIN + room, y + 4.0), FINE),
        Text((_MARGIN, y), words, size),
        Text((_MARGIN + room, y), page, 1.9, "end"),
    )
