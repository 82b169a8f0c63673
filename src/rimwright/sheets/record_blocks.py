"""Words set in blocks that flow down a page: headings, pairs, tables, paragraphs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from rimwright.sheets.drawing import FINE, VISIBLE, Shape, Text, line
from rimwright.sheets.fonts import wrapped

#: Height of a capital in a heading. [mm]
_HEAD = 2.9
#: From one line of words to the next, in heights of a capital.
_LEAD = 1.6


@dataclass(frozen=True, slots=True)
class Block:
    """Shapes from their top at 0 downwards, and how much they take. [mm]"""

    shapes: tuple[Shape, ...]
    height: float
    #: Stays with the block that follows.
    keeps: bool = False


def heading(words: str, room: float) -> Block:
    """A title over a line."""
    y = -3.0 - _HEAD
    shapes: list[Shape] = []
    for number, row in enumerate(wrapped(words, _HEAD, room, bold=True)):
        y -= _LEAD * _HEAD if number else 0.0
        shapes.append(Text((0.0, y), row, _HEAD, bold=True))
    shapes.append(line((0.0, y - 1.5), (room, y - 1.5), VISIBLE))
    return Block(tuple(shapes), -y + 1.9, keeps=True)


def paragraphs(texts: Iterable[str], room: float, size: float) -> list[Block]:
    """Words across the page; a paragraph may go on on the next one."""
    blocks = []
    for text in texts:
        rows = wrapped(text, size, room)
        for number, row in enumerate(rows):
            last = number == len(rows) - 1
            y = -_LEAD * size
            blocks.append(Block((Text((0.0, y), row, size),), -y + (0.9 * size if last else 0.0)))
    return blocks


def pairs(facts: Iterable[tuple[str, str]], room: float, size: float) -> list[Block]:
    """Names and what is said to each, in two columns."""
    left = min(0.34 * room, 46.0)
    return table(list(facts), (left / room, 1.0 - left / room), room, size)


def table(
    rows: Sequence[Sequence[str]], shares: Sequence[float], room: float, size: float
) -> list[Block]:
    """Rows of words in columns of these shares of the room, a fine line under each."""
    blocks = []
    for cells in rows:
        shapes: list[Shape] = []
        x, lowest = 0.0, 0.0
        for cell, share in zip(cells, shares, strict=True):
            y = -0.5 * size
            for row in wrapped(cell, size, share * room - 2.0):
                y -= _LEAD * size
                shapes.append(Text((x, y), row, size))
            lowest = min(lowest, y)
            x += share * room
        lowest -= 0.7 * size
        shapes.append(line((0.0, lowest), (room, lowest), FINE))
        blocks.append(Block(tuple(shapes), -lowest))
    return blocks


def beside(left: Sequence[Block], right: Sequence[Block], at: float) -> Block:
    """Two columns as one block; the second begins at `at`. [mm]"""
    shapes: list[Shape] = []
    heights = []
    for blocks, x in ((left, 0.0), (right, at)):
        y = 0.0
        for block in blocks:
            shapes += [shape.moved(x, y) for shape in block.shapes]
            y -= block.height
        heights.append(-y)
    return Block(tuple(shapes), max(heights) + 3.0)
