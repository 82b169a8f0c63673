"""What a path looks like: a circle, a box, a body, half a body, or none of them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np

from rimwright.curves.piece import FloatArray
from rimwright.instrument.drawings.join import Path
from rimwright.instrument.drawings.strokes import Segment, box_of

#: An open end is a neck block's width: at most this share of the body's extent.
WIDEST_OPENING = 0.45
#: A body is at most this much longer than wide, and half a body twice that.
_SLIMMEST = 3.2
#: Sine of the least angle at which half a body leaves its centreline at the tail.
_SQUAREST = math.sin(math.radians(65.0))
#: Straight ends longer than this share of the extent, turning more than this (its sine),
#: belong to a box and not to a body.
_BOX_SIDE, _BOX_TURN = 0.08, math.sin(math.radians(75.0))

Look = Literal["body", "half", "circle", "straight", "slim", "fragment"]

WHY_LEFT: dict[Look, str] = {
    "body": "another line was the outline",
    "half": "another line was the outline",
    "circle": "a circle: a sound hole or construction",
    "straight": "straight lines: a box, a border or a construction",
    "slim": "too slim for a body",
    "fragment": "neither closed nor half a body",
}


@dataclass(frozen=True)
class Shape:
    """A path with its measures."""

    path: Path

    @cached_property
    def points(self) -> FloatArray:
        """Points along it, shape (n, 2)."""
        return self.path.points()

    @cached_property
    def extent(self) -> float:
        """The longer side of the box around it."""
        left, low, right, high = box_of([segment.box() for segment in self.path.segments])
        return max(right - left, high - low)

    @cached_property
    def opening(self) -> float:
        """Distance between its ends."""
        return 0.0 if self.path.closed else math.dist(self.path.start, self.path.end)

    @cached_property
    def area(self) -> float:
        """Area within it, its ends joined by a line; twice that for a half."""
        x, y = self.points.T
        enclosed = 0.5 * abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))))
        return 2.0 * enclosed if self.look == "half" else enclosed

    @cached_property
    def look(self) -> Look:  # one line a look reads best
        """What it may be."""
        if self.extent <= 0.0:
            return "fragment"
        if self._is_straight:
            return "straight"
        if self._is_circle:
            return "circle"
        if self._is_half:
            return "half" if self._half_slimness < 2.0 * _SLIMMEST else "slim"
        if self.path.closed or self.opening <= WIDEST_OPENING * self.extent:
            return "body" if self._slimness < _SLIMMEST else "slim"
        return "fragment"

    @property
    def _is_straight(self) -> bool:
        """Straight lines alone, too few to be a curve drawn with short ones."""
        lines = [s for s in self.path.segments if s.is_line]
        if len(lines) < len(self.path.segments):
            straight = sum(s.chord for s in lines)
            curved = sum(s.chord for s in self.path.segments) - straight
            return straight > 6.0 * curved
        return len(lines) < 16

    @property
    def _is_circle(self) -> bool:
        low, high = self.points.min(axis=0), self.points.max(axis=0)
        radius = np.hypot(*(self.points - 0.5 * (low + high)).T)
        whole = self.path.closed or self.opening < 0.02 * self.extent
        return whole and bool(np.ptp(radius) < 0.02 * radius.max())

    @property
    def _is_half(self) -> bool:
        """All on one side of the line between its ends, which is about its whole length."""
        if self.path.closed:
            return False
        chord = np.subtract(self.path.end, self.path.start)
        length = float(np.hypot(*chord))
        if length < WIDEST_OPENING * self.extent:
            return False
        along = (self.points - self.path.start) @ chord / length
        across = (self.points - self.path.start) @ [-chord[1], chord[0]] / length
        low, high = float(across.min()), float(across.max())
        one_sided = min(-low, high) < 0.06 * max(-low, high)
        if not one_sided or length < 0.7 * float(np.ptp(along)):
            return False
        # A body's tail stands square to its centreline, or nearly.
        segments, axis = self.path.segments, math.atan2(chord[1], chord[0])
        meets = (segments[0].headings()[0] - axis, segments[-1].headings()[1] - axis)
        return max(abs(math.sin(angle)) for angle in meets) > _SQUAREST

    @property
    def _slimness(self) -> float:
        """Length over width of the smallest box around it, turned in steps of 3 degrees."""
        angle = np.radians(np.arange(0.0, 90.0, 3.0))
        along = np.ptp(self.points @ np.array([np.cos(angle), np.sin(angle)]), axis=0)
        across = np.ptp(self.points @ np.array([-np.sin(angle), np.cos(angle)]), axis=0)
        best = int(np.argmin(along * across))
        long, short = max(along[best], across[best]), min(along[best], across[best])
        return float(long / max(short, 1e-300))

    @property
    def _half_slimness(self) -> float:
        chord = np.subtract(self.path.end, self.path.start)
        across = np.abs((self.points - self.path.start) @ [-chord[1], chord[0]])
        return float(chord @ chord / max(float(across.max()), 1e-300))


def without_axis(path: Path) -> list[Path]:
    """The path cut where a long straight line runs through it: half a body and its centreline.

    A body never has a straight side of more than half its extent.
    """
    shape = Shape(path)
    lines = [i for i, s in enumerate(path.segments) if s.is_line and s.chord > 0.55 * shape.extent]
    if not lines or len(path.segments) < 3:
        return [path]
    if path.closed:
        turn = lines[0] + 1
        path = Path(
            path.segments[turn:] + path.segments[:turn],
            path.origin[turn:] + path.origin[:turn],
            False,
            path.gaps,
        )
        lines = [i - turn for i in lines[1:]] + [len(path.segments) - 1]
    parts, first = [], 0
    for i in [*lines, len(path.segments)]:
        if i > first:
            parts.append(path.between(*_without_box(path, first, i)))
        if i < len(path.segments):
            parts.append(path.between(i, i + 1))
        first = i + 1
    return parts


def _without_box(path: Path, first: int, last: int) -> tuple[int, int]:
    """The stretch less straight lines square to its ends: the box of a half mould."""
    segments = path.segments
    size = Shape(path).extent

    def is_box(end: Segment, following: Segment, *, at_start: bool) -> bool:
        out, on = (end, following) if at_start else (following, end)
        turn = abs(math.sin(on.headings()[0] - out.headings()[1]))
        return end.is_line and end.chord > _BOX_SIDE * size and turn > _BOX_TURN

    while last - first > 2 and is_box(segments[first], segments[first + 1], at_start=True):
        first += 1
    while last - first > 2 and is_box(segments[last - 1], segments[last - 2], at_start=False):
        last -= 1
    return first, last
