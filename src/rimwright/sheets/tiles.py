"""Full-size drawings on paper: one large sheet each, or tiles to lay edge over edge."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from rimwright.sheets.dimension import BODY, SMALL, Show, check_side, check_square
from rimwright.sheets.drawing import (
    FINE,
    OUTLINE,
    Drawing,
    Path,
    Pen,
    Point,
    Shape,
    Text,
    circle,
    line,
    rectangle,
)
from rimwright.sheets.paper import MARGIN, SIZES, Heading, print_note, title_block
from rimwright.sheets.pdf import Page, Placed

#: How far neighbouring tiles show the same. [mm]
OVERLAP = 12.0
_GAP = 4.0
#: Lower drawings have one cross in a shared strip, not two. [mm]
_LOW = 80.0
_AIR = 2.0
#: Between low tiles stacked on one page. [mm]
_BETWEEN = 2.0
_FAINT = Pen("CONSTRUCTION", 0.18, "dashed", 8)


@dataclass(frozen=True)
class Subject:
    """A full-size drawing and what its title block says."""

    drawing: Drawing
    heading: Heading


@dataclass(frozen=True, slots=True)
class _Grid:
    """How a drawing is cut: tiles across and down, and the size of each. [mm]"""

    columns: int
    rows: int
    width: float
    height: float

    @classmethod
    def of(cls, drawing: Drawing, room: Point) -> _Grid:
        left, bottom, right, top = _bounds(drawing)
        across = _count(right - left, room[0])
        down = _count(top - bottom, room[1])
        height = room[1] if down > 1 else top - bottom
        return cls(across, down, room[0], height)

    def tiles(self) -> list[tuple[int, int]]:
        """Every (row, column), row by row."""
        return [(row, column) for row in range(self.rows) for column in range(self.columns)]

    def holds(self, drawing: Drawing, row: int, column: int) -> bool:
        """Whether anything is drawn on a tile; empty ones are not printed."""
        left = _bounds(drawing)[0] + column * self.steps[0]
        top = _bounds(drawing)[3] - row * self.steps[1]
        # What lies in the strip shared with the tile before is already on that one.
        inner = left + (OVERLAP if column else 0.0), top - (OVERLAP if row else 0.0)
        bottom, right = top - self.height, left + self.width
        return any(
            box[0] < right and box[2] > inner[0] and box[1] < inner[1] and box[3] > bottom
            for box in (shape.bounds for shape in drawing.shapes)
        )

    @property
    def steps(self) -> Point:
        return self.width - OVERLAP, self.height - OVERLAP


def _bounds(drawing: Drawing) -> tuple[float, float, float, float]:
    """The drawing's own bounds with a little air, so that no word touches a frame."""
    left, bottom, right, top = drawing.bounds
    return left - _AIR, bottom - _AIR, right + _AIR, top + _AIR


def _count(size: float, room: float) -> int:
    return 1 if size <= room else math.ceil((size - OVERLAP) / (room - OVERLAP))


def one_sheet_pages(subjects: list[Subject], show: Show) -> list[Page]:
    """Each drawing whole on a sheet of its own size, for a wide printer or a print shop."""
    pages = []
    side = check_side(show)
    for subject in subjects:
        drawing = subject.drawing
        width = max(drawing.width + 2 * MARGIN, side + 110.0 + 2 * MARGIN)
        height = drawing.height + side + 2 * MARGIN + _GAP + 4.0
        placed = drawing.placed(MARGIN, MARGIN + side + _GAP + 4.0)
        room = min(width - side - 2 * MARGIN - 2 * _GAP, 190.0)
        band = _band(subject, show, room, "one sheet, full size, 1 : 1")
        pages.append(Page(width, height, (Placed(placed), Placed(band)), drawing.title))
    return pages


def _band(subject: Subject, show: Show, room: float, sheet: str) -> Drawing:
    """Check square and title block along the foot of a page."""
    side = check_side(show)
    left = MARGIN + side + 2 * _GAP
    words = title_block(subject.heading, left, MARGIN + side, room, sheet)
    shapes = [*check_square(MARGIN, MARGIN, show), *words, *print_note(left, MARGIN)]
    return Drawing(subject.drawing.title, tuple(shapes))


def tiled_pages(subjects: list[Subject], show: Show, paper: Literal["a4", "letter"]) -> list[Page]:
    """Each drawing at full size over as many sheets as it needs.

    Neighbours share a strip with crosses that must lie on one another; every page carries
    the check square, a map with its own place, and the title block. Low drawings such as
    paper strips are stacked several to a page.
    """
    width, height = SIZES[paper]
    side = check_side(show)
    foot = MARGIN + side + _GAP
    room = (width - 2 * MARGIN, height - MARGIN - foot)
    pages: list[Page] = []
    for subject in subjects:
        pages += _tile(subject, show, (width, height), room, foot)
    return pages


def _tile(subject: Subject, show: Show, paper: Point, room: Point, foot: float) -> list[Page]:
    grid = _Grid.of(subject.drawing, room)
    drawing = subject.drawing.plus(_crosses(subject.drawing, grid))
    left, _, _, top = _bounds(subject.drawing)
    tiles = [tile for tile in grid.tiles() if grid.holds(subject.drawing, *tile)]
    stacked = max(1, int((room[1] + _BETWEEN) // (grid.height + _BETWEEN))) if grid.rows == 1 else 1
    groups = [tiles[i : i + stacked] for i in range(0, len(tiles), stacked)]
    pages = []
    for number, group in enumerate(groups, start=1):
        placed = []
        frames: list[Shape] = []
        for slot, (row, column) in enumerate(group):
            y = foot + room[1] - grid.height - slot * (grid.height + _BETWEEN)
            # The tile's upper left corner of the drawing goes to the window's.
            dx = MARGIN - (left + column * grid.steps[0])
            dy = y + grid.height - (top - row * grid.steps[1])
            window = (MARGIN, y, grid.width, grid.height)
            placed.append(Placed(drawing, dx, dy, window))
            frames += _frame(window, grid, row, column)
        sheet = f"sheet {number} of {len(groups)}"
        words = paper[0] - 2 * MARGIN - check_side(show) - 2 * _GAP
        band = _band(subject, show, words, sheet)
        if grid.columns * grid.rows > 1:
            words_at = (MARGIN + check_side(show) + 2 * _GAP, MARGIN + 7.6)
            join = "Next sheet's frame on the dashed line, cross on cross."
            band = band.plus([Text(words_at, join, SMALL)])
        # The square is empty inside: there is room for the map.
        side = check_side(show)
        at, space = (MARGIN + 8.0, MARGIN + 14.0), (side - 16.0, side - 28.0)
        band = band.plus([*frames, *_map(subject.drawing, grid, group, at, space)])
        title = f"{drawing.title}, {sheet}"
        pages.append(Page(*paper, (*placed, Placed(band)), title))
    return pages


def _crosses(drawing: Drawing, grid: _Grid) -> list[Shape]:
    """Register crosses in the middle of every shared strip, so that both tiles show them."""
    left, bottom, right, top = _bounds(drawing)
    shapes: list[Shape] = []
    for column in range(1, grid.columns):
        x = left + column * grid.steps[0] + 0.5 * OVERLAP
        for row in range(grid.rows):
            head = top - row * grid.steps[1]
            foot = max(head - grid.height, bottom)
            low = head - foot < _LOW
            for share, name in ((0.5, "a"),) if low else ((0.2, "a"), (0.8, "b")):
                y = head - share * (head - foot)
                shapes += _cross((x, y), f"{name}{row * (grid.columns - 1) + column}")
    for row in range(1, grid.rows):
        y = top - row * grid.steps[1] - 0.5 * OVERLAP
        for column in range(grid.columns):
            edge = left + column * grid.steps[0]
            far = min(edge + grid.width, right)
            for share, name in ((0.12, "c"), (0.88, "d")):
                x = edge + share * (far - edge)
                shapes += _cross((x, y), f"{name}{(row - 1) * grid.columns + column + 1}")
    return shapes


def _cross(at: Point, name: str) -> list[Shape]:
    x, y = at
    return [
        line((x - 4.0, y), (x + 4.0, y), FINE),
        line((x, y - 4.0), (x, y + 4.0), FINE),
        circle(at, 2.0, FINE),
        Text((x + 2.2, y + 1.6), name, SMALL),
    ]


def _frame(
    window: tuple[float, float, float, float], grid: _Grid, row: int, column: int
) -> list[Shape]:
    """The tile's edge, and a dashed line where the neighbour's edge comes to lie."""
    left, bottom, width, height = window
    shapes: list[Shape] = [rectangle(left, bottom, width, height, FINE)]
    if column < grid.columns - 1:
        x = left + width - OVERLAP
        shapes.append(line((x, bottom), (x, bottom + height), _FAINT))
    if row < grid.rows - 1:
        y = bottom + OVERLAP
        shapes.append(line((left, y), (left + width, y), _FAINT))
    return shapes


def _map(
    drawing: Drawing, grid: _Grid, group: list[tuple[int, int]], at: Point, room: Point
) -> list[Shape]:
    """The whole drawing small, with the tiles over it; this page's are framed thick."""
    full = (grid.columns - 1) * grid.steps[0] + grid.width
    tall = (grid.rows - 1) * grid.steps[1] + grid.height
    factor = min(room[0] / full, room[1] / tall)
    left, _, _, top = _bounds(drawing)
    shapes: list[Shape] = []
    for shape in drawing.shapes:
        if isinstance(shape, Path) and shape.pen == OUTLINE:
            thin = Path(shape.points, FINE, shape.bulges, closed=shape.closed)
            moved = thin.moved(-left, tall - top)
            shapes.append(moved.scaled(factor).moved(*at))
    for row in range(grid.rows):
        for column in range(grid.columns):
            x = at[0] + factor * column * grid.steps[0]
            y = at[1] + factor * (tall - row * grid.steps[1] - grid.height)
            here = (row, column) in group
            inset = 0.4 if here else 0.0
            box = (x + inset, y + inset, factor * grid.width - 2 * inset)
            shapes.append(
                rectangle(*box, factor * grid.height - 2 * inset, OUTLINE if here else FINE)
            )
            number = str(row * grid.columns + column + 1)
            middle = x + 0.5 * factor * grid.width
            shapes.append(Text((middle, y + 1.0), number, BODY if here else SMALL, "middle", here))
    return shapes
