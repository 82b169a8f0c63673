"""What a drawing holds, before anything is known about it: strokes on a sheet.

Coordinates are the drawing's own units with y up, as the eye sees the paper; nothing here
knows a body. Segments stay raw numbers until a piece of curve is asked for, because most of
a drawing is never part of the outline.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass, field, replace

import numpy as np

from rimwright.curves.arc import Arc
from rimwright.curves.piece import FloatArray, Piece
from rimwright.curves.spline import Spline

Point = tuple[float, float]
Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Segment:
    """A line, an arc (by its bulge) or a spline between two points."""

    start: Point
    end: Point
    #: Tangent of a quarter of the arc's turn, left positive; zero for a line.
    bulge: float = 0.0
    #: Knots, control points and degree, for a spline.
    spline: tuple[FloatArray, FloatArray, int] | None = None

    @property
    def is_line(self) -> bool:
        """Whether it is straight."""
        return self.spline is None and self.bulge == 0.0

    @property
    def chord(self) -> float:
        """Distance between the ends."""
        return math.dist(self.start, self.end)

    def piece(self) -> Piece:
        """The exact curve."""
        if self.spline is None:
            return Arc.bulge(self.start, self.end, self.bulge)
        return Spline(*self.spline)

    def reversed(self) -> Segment:
        """The same stretch travelled the other way."""
        if self.spline is None:
            return Segment(self.end, self.start, -self.bulge)
        knots, control, degree = self.spline
        turned = (knots[0] + knots[-1] - knots[::-1], control[::-1], degree)
        return Segment(self.end, self.start, 0.0, turned)

    def snapped(self, start: Point, end: Point) -> Segment:
        """The same stretch with its ends moved a little; an arc keeps its turn."""
        if self.spline is None:
            return replace(self, start=start, end=end)
        knots, control, degree = self.spline
        control = control.copy()
        control[0], control[-1] = start, end
        return Segment(start, end, 0.0, (knots, control, degree))

    def headings(self) -> tuple[float, float]:
        """Direction of travel at both ends. [rad]"""
        if self.spline is None:
            chord = math.atan2(self.end[1] - self.start[1], self.end[0] - self.start[0])
            half_turn = 2.0 * math.atan(self.bulge)
            return chord - half_turn, chord + half_turn
        control = self.spline[1]
        near = 1e-9 * float(np.abs(control - control[0]).max(initial=0.0))
        first = next((p for p in control[1:] if math.dist(p, control[0]) > near), control[-1])
        last = next((p for p in control[-2::-1] if math.dist(p, control[-1]) > near), control[0])
        return (
            math.atan2(first[1] - control[0][1], first[0] - control[0][0]),
            math.atan2(control[-1][1] - last[1], control[-1][0] - last[0]),
        )

    def points(self, count: int = 9) -> FloatArray:
        """Points along it, ends included, shape (n, 2)."""
        if self.is_line:
            return np.array([self.start, self.end])
        if self.spline is None:
            piece = self.piece()
            return piece.at(np.linspace(0.0, piece.length, count)).position
        from scipy.interpolate import BSpline

        knots, control, degree = self.spline
        spans = max(len(control) - degree, 1)
        u = np.linspace(knots[degree], knots[-degree - 1], min(spans * (count - 1), 4000) + 1)
        return np.asarray(BSpline(knots, control, degree)(u), dtype=np.float64)

    def box(self) -> Box:
        """A box that holds it, from its control points: (left, low, right, high)."""
        if self.spline is not None:
            low, high = self.spline[1].min(axis=0), self.spline[1].max(axis=0)
            return float(low[0]), float(low[1]), float(high[0]), float(high[1])
        (x0, y0), (x1, y1), b = self.start, self.end, self.bulge
        # Apex of the arc: half the chord times the bulge, to the right of the chord.
        ax, ay = 0.5 * (x0 + x1 + b * (y1 - y0)), 0.5 * (y0 + y1 - b * (x1 - x0))
        return min(x0, x1, ax), min(y0, y1, ay), max(x0, x1, ax), max(y0, y1, ay)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """One drawn thing: its segments end to start, and what the drawing calls it."""

    segments: tuple[Segment, ...]
    #: "LINE", "SPLINE", "path" ...
    kind: str
    layer: str
    #: Handle or id.
    name: str
    #: Every word the drawing has for it: layer, group, block, id; lower case.
    words: str = ""
    dashed: bool = False

    @property
    def closed(self) -> bool:
        """Whether it returns to its start."""
        reach = diagonal(box_of([segment.box() for segment in self.segments]))
        ends = math.dist(self.segments[0].start, self.segments[-1].end)
        return reach > 0.0 and ends <= 1e-9 * reach

    @property
    def straight(self) -> bool:
        """Whether it is one straight line."""
        return len(self.segments) == 1 and self.segments[0].is_line

    def called(self) -> str:
        """How to name it to the maker."""
        label = f"{self.kind} '{self.name}'" if self.name else self.kind
        return f"{label} on layer '{self.layer}'" if self.layer else label


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """Everything read from one file."""

    strokes: tuple[Stroke, ...]
    #: Metres of one drawing unit, if the file says.
    unit_m: float | None
    #: What the file says about units, in words.
    unit_said: str
    #: Kinds of things that hold no line (text, dimensions, pictures) and how many.
    others: Counter[str] = field(default_factory=Counter)
    #: Drawn by a tracer or read from a picture, not by hand or a program.
    traced: bool = False
    #: What the reader of the file has to say.
    notes: tuple[str, ...] = ()
    #: A unit worth trying when the file says none: (metres, words).
    unit_guess: tuple[float, str] | None = None


def box_of(boxes: list[Box]) -> Box:
    """The box around boxes."""
    left, low, right, high = zip(*boxes, strict=True)
    return min(left), min(low), max(right), max(high)


def diagonal(box: Box) -> float:
    """Length of a box's diagonal."""
    return math.hypot(box[2] - box[0], box[3] - box[1])
