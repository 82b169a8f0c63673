"""The wood to cut: book-match of the sides, every strip to saw, marks from both ends."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from rimwright.sheets.dimension import BODY, HEAD, SMALL
from rimwright.sheets.drawing import FINE, VISIBLE, Drawing, Shape, Text, line
from rimwright.sheets.flat import piece_words
from rimwright.sheets.fonts import fitting, width, wrapped
from rimwright.sheets.paper import MARGIN, SIZES
from rimwright.sheets.pdf import Page, Placed
from rimwright.sheets.wood import bookmatch_drawing
from rimwright.sides.bookmatch import book_match
from rimwright.units import length_text

if TYPE_CHECKING:
    from rimwright.plan import Plan

_ROW = 5.0
#: Fewer rows than this are not begun at the foot of a page.
_FEWEST = 3
_STRIPS = ("strip", "place", "section", "count", "finished", "cut", "mitre")
_MARKS = ("piece", "mark", "from the start", "from the other end", "height")
_USUAL = (2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.5, 10.0, 15.0)


def wood_pages(plan: Plan, paper: Literal["a4", "letter"], date_text: str) -> list[Page]:
    """The book-match with its words, then strips and marks; more pages if they are long."""
    size = SIZES[paper]
    room = size[0] - 2 * MARGIN
    top = size[1] - MARGIN - 14.0
    sketch = next(
        (d for d in (bookmatch_drawing(plan, 1 / n) for n in _USUAL) if d.width <= room),
        None,
    ) or bookmatch_drawing(plan, 0.05)
    placed = Placed(sketch.placed(MARGIN, top - sketch.height))
    words = _words(plan, top - sketch.height - 6.0, room)
    y = words[-1].at[1] - 6.0
    sheets: list[list[Shape]] = [[*_head(plan, size, date_text), *words]]
    for heading, heads, found in (
        ("Strips to saw", _STRIPS, _rows(plan)),
        ("Marks on the flat wood, from both ends", _MARKS, _mark_rows(plan)),
    ):
        rows = found
        while rows:
            fit = int((y - MARGIN - 3 * _ROW) // _ROW)
            if fit < min(len(rows), _FEWEST):
                sheets.append(_head(plan, size, date_text))
                y = top
                continue
            sheets[-1] += _table(heading, heads, rows[:fit], y, room)
            y -= HEAD + _ROW * (len(rows[:fit]) + 2.5)
            rows = rows[fit:]
    title = f"{plan.design.name}, wood to cut"
    drawn = [Placed(Drawing(title, tuple(shapes))) for shapes in sheets]
    return [Page(*size, (placed, drawn[0]), title)] + [
        Page(*size, (sheet,), title) for sheet in drawn[1:]
    ]


def _mark_rows(plan: Plan) -> list[tuple[str, ...]]:
    """Every mark as it is laid out from either end of the drawn piece, middle line."""
    show = plan.design.show
    return [
        (
            piece_words(side, plan),
            mark.name,
            length_text(mark.s_middle_m, show),
            length_text(mark.from_far_end_m, show),
            length_text(mark.height_m, show),
        )
        for side in plan.sides
        for mark in side.marks
    ]


def _head(plan: Plan, size: tuple[float, float], date_text: str) -> list[Shape]:
    y = size[1] - MARGIN - 6.0
    hand = f"{plan.design.player}-handed player"
    words = " · ".join(w for w in (hand, f"plan {plan.code}", date_text) if w)
    foot = Text((size[0] - MARGIN, y), words, BODY, "end")
    title = f"{plan.design.name}, wood to cut"
    room = size[0] - 2 * MARGIN - foot.width - 4.0
    return [
        Text((MARGIN, y), title, fitting(title, 5.0, room, bold=True), bold=True),
        foot,
        line((MARGIN, y - 3.0), (size[0] - MARGIN, y - 3.0), VISIBLE),
    ]


def _words(plan: Plan, y: float, room: float) -> list[Text]:
    match = book_match(plan.sides, plan.design.player, plan.design.show)
    said = [
        "Open the boards like a book: both outside faces up, top edges at the fold, tail left. "
        "Lay both from the tail seam.",
        *(lay.words for lay in match.lays),
        *match.warnings,
    ]
    texts = []
    for words in said:
        for row in wrapped(f"{words[:1].upper()}{words[1:]}", BODY, room):
            texts.append(Text((MARGIN, y), row, BODY))
            y -= 4.2
    return texts


def _rows(plan: Plan) -> list[tuple[str, ...]]:
    """One row for each kind of strip and place; its warnings on rows of their own."""
    show = plan.design.show
    rows: list[tuple[str, ...]] = []
    warned: set[str] = set()
    for strip in plan.strips:
        piece = "return" if strip.piece == "return" else ""
        where = " ".join(dict.fromkeys(w for w in (strip.hand, piece, strip.edge) if w))
        mitre = f"{strip.mitre_rad * 180 / 3.141592653589793:.1f}°" if strip.mitre_rad else ""
        rows.append(
            (
                strip.name,
                where,
                strip.section,
                str(strip.count),
                length_text(strip.length_m, show),
                length_text(strip.cut_length_m, show),
                mitre,
            )
        )
        for warning in strip.warnings:
            if warning not in warned:
                warned.add(warning)
                rows.append((f"! {warning}",))
    return rows


def _table(
    heading: str, heads: tuple[str, ...], rows: list[tuple[str, ...]], top: float, room: float
) -> list[Shape]:
    """Rows under their heads from `top` down; a last column without a word is left out."""
    full = [row for row in rows if len(row) > 1]
    if not any(row[-1] for row in full):
        heads, full = heads[:-1], [row[:-1] for row in full]
        rows = [row[:-1] if len(row) > 1 else row for row in rows]
    needs = [
        max(width(row[i], BODY, bold=True) for row in (heads, *full)) for i in range(len(heads))
    ]
    spare = max(0.0, room - sum(needs)) / (len(heads) - 1)
    lefts = [MARGIN + sum(needs[:i]) + spare * i for i in range(len(heads))]
    y = top - HEAD
    shapes: list[Shape] = [Text((MARGIN, y), heading, HEAD, bold=True)]
    y -= _ROW + 1.0
    shapes += [Text((x, y), w, SMALL, bold=True) for x, w in zip(lefts, heads, strict=True)]
    shapes.append(line((MARGIN, y - 1.5), (MARGIN + room, y - 1.5), VISIBLE))
    for row in rows:
        y -= _ROW
        if len(row) == 1:
            shapes.append(Text((MARGIN + 4.0, y), row[0], SMALL, bold=True))
        else:
            shapes += [Text((x, y), w, BODY) for x, w in zip(lefts, row, strict=True)]
        shapes.append(line((MARGIN, y - 1.5), (MARGIN + room, y - 1.5), FINE))
    return shapes
