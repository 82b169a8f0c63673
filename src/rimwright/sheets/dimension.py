"""Dimensions, leaders, scale bars and the check square, as drafting does them."""

from __future__ import annotations

import math
from typing import Literal

from rimwright.sheets.drawing import (
    DIMENSION,
    FINE,
    VISIBLE,
    Path,
    Point,
    Shape,
    Text,
    line,
    polygon,
    rectangle,
)
from rimwright.sheets.fonts import width

Show = Literal["metric", "inch"]
#: Heights of a capital. [mm]
SMALL, BODY, HEAD, TITLE = 2.2, 2.5, 3.5, 5.0
#: From one tile of office paper to the next: words are repeated so that each has them. [mm]
PITCH: dict[Show, float] = {"metric": 182.0, "inch": 187.9}
_ARROW = 3.0


def arrow(tip: Point, heading: float) -> Path:
    """A slim black arrow head whose tip points along `heading` [rad]."""
    c, s = math.cos(heading), math.sin(heading)
    back = (tip[0] - _ARROW * c, tip[1] - _ARROW * s)
    half = 0.17 * _ARROW
    corners = (
        tip,
        (back[0] - half * s, back[1] + half * c),
        (back[0] + half * s, back[1] - half * c),
    )
    return polygon(corners, DIMENSION, fill="black")


def across(x0: float, x1: float, y: float, foot: float, words: str) -> list[Shape]:
    """A level dimension at height `y`, drawn out from `foot`; the words stand above it."""
    out = math.copysign(1.5, y - foot)
    shapes: list[Shape] = [line((x, foot + 0.7 * out), (x, y + out), DIMENSION) for x in (x0, x1)]
    middle = 0.5 * (x0 + x1)
    room = abs(x1 - x0) > 3 * _ARROW
    shapes.append(line((x0, y), (x1, y), DIMENSION))
    shapes += [arrow((x0, y), math.pi if room else 0.0), arrow((x1, y), 0.0 if room else math.pi)]
    shapes.append(Text((middle, y + 1.2), words, BODY, "middle", pen=DIMENSION))
    return shapes


def upright(y0: float, y1: float, x: float, foot: float, words: str) -> list[Shape]:
    """An upright dimension at `x`, drawn out from `foot`; the words stand level beside it."""
    out = math.copysign(1.5, x - foot)
    shapes: list[Shape] = [line((foot + 0.7 * out, y), (x + out, y), DIMENSION) for y in (y0, y1)]
    shapes.append(line((x, y0), (x, y1), DIMENSION))
    low, high = sorted((y0, y1))
    shapes += [arrow((x, low), -math.pi / 2), arrow((x, high), math.pi / 2)]
    at = (x + 1.2 * out, 0.5 * (y0 + y1) - 0.5 * BODY)
    shapes.append(Text(at, words, BODY, "start" if out > 0 else "end", pen=DIMENSION))
    return shapes


def leader(tip: Point, foot: Point, lines: list[str], *, bold_first: bool = False) -> list[Shape]:
    """An arrow to `tip` from words that stand at `foot`, on the side away from the tip."""
    right = foot[0] >= tip[0]
    heading = math.atan2(tip[1] - foot[1], tip[0] - foot[0])
    shapes: list[Shape] = [line(foot, tip, DIMENSION), arrow(tip, heading)]
    x = foot[0] + (1.0 if right else -1.0)
    y = foot[1] + 0.75 * BODY * 1.6 * (len(lines) - 1) - 0.5 * BODY
    for i, words in enumerate(lines):
        at = (x, y - 1.6 * BODY * i)
        bold = bold_first and i == 0
        shapes.append(Text(at, words, BODY, "start" if right else "end", bold, pen=DIMENSION))
    return shapes


def scale_bar(left: float, bottom: float, show: Show, scale: float = 1.0) -> list[Shape]:
    """A bar of black and white fields with its length at true size, and the scale in words."""
    unit, name, fields = (10.0, "mm", 5) if show == "metric" else (25.4 / 2, "in", 4)
    # Fields keep a readable size at any scale.
    times = next((n for n in (1, 2, 5, 10, 20, 50) if n * unit * scale >= 7.0), 100)
    step = times * unit * scale
    shapes: list[Shape] = []
    for i in range(fields):
        fill: Literal["black", "none"] = "none" if i % 2 else "black"
        shapes.append(rectangle(left + i * step, bottom, step, 1.6, FINE, fill=fill))
    shapes.append(rectangle(left, bottom, fields * step, 1.6, FINE))
    whole = fields * times * (10.0 if show == "metric" else 0.5)
    shapes.append(Text((left, bottom + 2.6), "0", SMALL))
    end = left + fields * step
    shapes.append(Text((end, bottom + 2.6), f"{whole:g} {name}", SMALL, "end"))
    shapes.append(Text((end + 2.5, bottom), scale_words(scale), SMALL))
    return shapes


def scale_bar_width(show: Show, scale: float = 1.0) -> float:
    """How much room the bar takes with its words. [mm]"""
    bounds = [shape.bounds for shape in scale_bar(0.0, 0.0, show, scale)]
    return max(b[2] for b in bounds)


def scale_words(scale: float) -> str:
    """Such as "full size" or "scale 1 : 2.5"."""
    return "full size, 1 : 1" if scale == 1.0 else f"scale 1 : {1 / scale:g}"


def check_side(show: Show) -> float:
    """Side of the check square. [mm]"""
    return 100.0 if show == "metric" else 101.6


def check_square(left: float, bottom: float, show: Show) -> list[Shape]:
    """The square to measure before anything is cut: 100 mm or 4 in, both ways."""
    side = check_side(show)
    shapes: list[Shape] = [rectangle(left, bottom, side, side, VISIBLE)]
    count = 10 if show == "metric" else 4
    step = side / count
    for i in range(1, count):
        tick = 3.0 if i == count // 2 else 2.0
        at = i * step
        shapes.append(line((left + at, bottom), (left + at, bottom + tick), FINE))
        shapes.append(line((left, bottom + at), (left + tick, bottom + at), FINE))
    words = f"check square {'100 mm' if show == 'metric' else '4 in'} both ways"
    shapes.append(Text((left + 4.5, bottom + 4.5), words, SMALL))
    return shapes


def nice_scale(true_width: float, true_height: float, room_w: float, room_h: float) -> float:
    """The largest drawing-board scale at which something fits. [mm]"""
    most = min(room_w / true_width, room_h / true_height)
    usual = (1.0, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 7.5, 10.0, 12.5, 15.0, 20.0, 50.0, 100.0)
    return next((1.0 / n for n in usual if 1.0 / n <= most), most)


def text_width(words: str, size: float = BODY, *, bold: bool = False) -> float:
    """Set width of words at a capital height. [mm]"""
    return width(words, size, bold=bold)
