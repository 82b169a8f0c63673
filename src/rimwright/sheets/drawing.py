"""One drawing for paper, browser and machine: paths and words in millimetres, y upwards.

A view makes a `Drawing`; the writers of DXF, SVG and PDF only translate it, so that the
same line has the same weight everywhere. Words are placed after the geometry was turned
or mirrored, never with it, so they always read the right way round.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

from rimwright.sheets import fonts

Point = tuple[float, float]
Style = Literal["solid", "chain", "dashed"]
Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True, slots=True)
class Pen:
    """A kind of line after ISO 128: its layer, weight and dash; never its colour alone."""

    layer: str
    #: [mm]
    weight: float
    style: Style = "solid"
    #: Number of the layer's colour in a DXF, where a machine picks by colour.
    colour: int = 7


OUTLINE = Pen("OUTLINE", 0.5, colour=7)
VISIBLE = Pen("VISIBLE", 0.35, colour=3)
HIDDEN = Pen("HIDDEN", 0.35, "dashed", colour=4)
CENTRE = Pen("CENTRELINE", 0.18, "chain", colour=1)
FINE = Pen("CONSTRUCTION", 0.18, colour=8)
DIMENSION = Pen("DIMENSIONS", 0.18, colour=140)
MARK = Pen("MARKS", 0.35, colour=6)
PROUD = Pen("PROUD", 0.18, "dashed", colour=30)
WORDS = Pen("WORDS", 0.18, colour=2)
PENS = (OUTLINE, VISIBLE, HIDDEN, CENTRE, FINE, DIMENSION, MARK, PROUD, WORDS)

#: Lengths of dash and gap. [mm]
DASHES: dict[Style, tuple[float, ...]] = {
    "solid": (),
    "chain": (8.0, 1.5, 1.0, 1.5),
    "dashed": (3.0, 1.5),
}


@dataclass(frozen=True)
class Path:
    """Straight and circular strokes from point to point.

    Examples
    --------
    A circle is two half turns.

    >>> round(circle((0.0, 0.0), 10.0, FINE).bounds[2], 6)  # [mm]
    10.0
    """

    points: tuple[Point, ...]
    pen: Pen
    #: For each point the bulge of the stroke that leaves it: tangent of a quarter of its
    #: turn, left positive; empty: all straight.
    bulges: tuple[float, ...] = ()
    closed: bool = False
    #: "black" for arrow heads and the squares of a code, "white" to clear the ground.
    fill: Literal["none", "black", "white"] = "none"

    def moved(self, dx: float, dy: float) -> Path:
        """The same path elsewhere. [mm]"""
        return replace(self, points=tuple((x + dx, y + dy) for x, y in self.points))

    def scaled(self, factor: float) -> Path:
        """The same path larger or smaller; its pen keeps its weight."""
        return replace(self, points=tuple((factor * x, factor * y) for x, y in self.points))

    def strokes(self) -> Iterator[tuple[Point, Point, float]]:
        """Start, end and bulge of each stroke, the closing one included."""
        ends = self.points[1:] + (self.points[:1] if self.closed else ())
        bulges = self.bulges or (0.0,) * len(self.points)
        return zip(self.points, ends, bulges, strict=False)

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top, arcs included. [mm]"""
        xs = [x for x, _ in self.points]
        ys = [y for _, y in self.points]
        if self.bulges:
            for start, end, bulge in self.strokes():
                if bulge:
                    for x, y in _arc_extremes(start, end, bulge):
                        xs.append(x)
                        ys.append(y)
        return min(xs), min(ys), max(xs), max(ys)


@dataclass(frozen=True)
class Text:
    """Words; `size` is the height of a capital, `at` the foot of the line."""

    at: Point
    words: str
    #: [mm]
    size: float
    anchor: Anchor = "start"
    bold: bool = False
    #: Turn, counter-clockwise. [deg]
    angle: float = 0.0
    pen: Pen = WORDS

    def moved(self, dx: float, dy: float) -> Text:
        """The same words elsewhere. [mm]"""
        return replace(self, at=(self.at[0] + dx, self.at[1] + dy))

    @cached_property
    def width(self) -> float:
        """Set width. [mm]"""
        return fonts.width(self.words, self.size, bold=self.bold)

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top of the set line. [mm]"""
        start = {"start": 0.0, "middle": -0.5, "end": -1.0}[self.anchor] * self.width
        c, s = math.cos(math.radians(self.angle)), math.sin(math.radians(self.angle))
        corners = [
            (self.at[0] + c * u - s * v, self.at[1] + s * u + c * v)
            for u in (start, start + self.width)
            for v in (-0.3 * self.size, self.size)
        ]
        xs, ys = zip(*corners, strict=True)
        return min(xs), min(ys), max(xs), max(ys)


Shape = Path | Text


@dataclass(frozen=True)
class Drawing:
    """Shapes with a title; `scale` is drawn size over true size."""

    title: str
    shapes: tuple[Shape, ...]
    scale: float = 1.0

    def moved(self, dx: float, dy: float) -> Drawing:
        """The same drawing elsewhere. [mm]"""
        return replace(self, shapes=tuple(shape.moved(dx, dy) for shape in self.shapes))

    def plus(self, shapes: Iterable[Shape]) -> Drawing:
        """The drawing with more on it."""
        return replace(self, shapes=(*self.shapes, *shapes))

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top of everything drawn. [mm]"""
        left, bottom, right, top = zip(*(shape.bounds for shape in self.shapes), strict=True)
        return min(left), min(bottom), max(right), max(top)

    @property
    def width(self) -> float:
        """[mm]"""
        return self.bounds[2] - self.bounds[0]

    @property
    def height(self) -> float:
        """[mm]"""
        return self.bounds[3] - self.bounds[1]

    def placed(self, left: float, bottom: float) -> Drawing:
        """The drawing with its lower left corner at a place. [mm]"""
        return self.moved(left - self.bounds[0], bottom - self.bounds[1])


def line(start: Point, end: Point, pen: Pen) -> Path:
    """A straight stroke."""
    return Path((start, end), pen)


def polygon(points: Iterable[Point], pen: Pen, *, fill: Literal["none", "black"] = "none") -> Path:
    """A closed loop of straight strokes."""
    return Path(tuple(points), pen, closed=True, fill=fill)


def rectangle(
    left: float,
    bottom: float,
    width: float,
    height: float,
    pen: Pen,
    *,
    fill: Literal["none", "black"] = "none",
) -> Path:
    """A rectangle with sides along the sheet. [mm]"""
    right, top = left + width, bottom + height
    return polygon(((left, bottom), (right, bottom), (right, top), (left, top)), pen, fill=fill)


def circle(
    centre: Point, radius: float, pen: Pen, *, fill: Literal["none", "black", "white"] = "none"
) -> Path:
    """A circle. [mm]"""
    x, y = centre
    return Path(((x - radius, y), (x + radius, y)), pen, (1.0, 1.0), closed=True, fill=fill)


def arc_centre(start: Point, end: Point, bulge: float) -> tuple[Point, float]:
    """Centre and radius of the arc between two points. [mm]"""
    dx, dy = end[0] - start[0], end[1] - start[1]
    # The centre lies (1 - b²) / 4b chords to the left of the chord's middle.
    shift = (1.0 - bulge * bulge) / (4.0 * bulge)
    centre = (0.5 * (start[0] + end[0]) - shift * dy, 0.5 * (start[1] + end[1]) + shift * dx)
    return centre, math.hypot(dx, dy) * (1.0 + bulge * bulge) / (4.0 * abs(bulge))


def _arc_extremes(start: Point, end: Point, bulge: float) -> Iterator[Point]:
    """Where the arc reaches furthest left, right, up and down."""
    (cx, cy), radius = arc_centre(start, end, bulge)
    turn = 4.0 * math.atan(bulge)
    first = math.atan2(start[1] - cy, start[0] - cx)
    for k in range(4):
        angle = 0.5 * math.pi * k
        along = (angle - first if turn > 0 else first - angle) % (2.0 * math.pi)
        if along < abs(turn):
            yield cx + radius * math.cos(angle), cy + radius * math.sin(angle)
