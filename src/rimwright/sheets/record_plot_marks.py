"""What stands at a run's curve: calls, alarms with their names, where steps began."""

from __future__ import annotations

from collections.abc import Iterator

from rimwright.sheets.callouts import Callout, rows_for
from rimwright.sheets.drawing import Path, Pen, Shape, Text, circle, line, polygon
from rimwright.sheets.fonts import width
from rimwright.sheets.record_axes import Axes
from rimwright.sheets.record_curve import Panel
from rimwright.sheets.record_pens import ALARM, CALL, STEP, WORD

#: From one row of names to the next, in heights of a capital.
_PITCH = 1.55


def marks_of(panel: Panel, axes: Axes, letter: float) -> Iterator[Shape]:
    """A ring for a call, a black triangle with its name for an alarm."""
    half = 0.45 * letter
    for one in panel.marks:
        x = axes.x_of(one.at_s)
        y = axes.bottom + 2.0 * half if one.celsius is None else axes.y_of(one.celsius)
        if one.kind == "call":
            yield circle((x, y), half, CALL, fill="white")
            continue
        tip = y + 1.2 * half
        corners = ((x, tip), (x - half, tip + 2.0 * half), (x + half, tip + 2.0 * half))
        yield polygon(corners, ALARM, fill="black")
        # Framed on a clear ground, whatever line runs there.
        left, wide = x + 1.8 * half, width(one.words, letter, bold=True)
        left = min(left, axes.right - wide - 0.8)
        foot = tip + 0.6 * half
        yield _cleared(left - 0.7, foot - 0.7, wide + 1.4, letter + 1.4, ALARM)
        yield Text((left, foot), one.words, letter, bold=True, pen=WORD)


def _cleared(left: float, bottom: float, wide: float, high: float, pen: Pen) -> Path:
    """A frame that hides what is under it. [mm]"""
    right, top = left + wide, bottom + high
    corners = ((left, bottom), (right, bottom), (right, top), (left, top))
    return Path(corners, pen, closed=True, fill="white")


def steps_of(panel: Panel, axes: Axes, letter: float, under: float | None) -> Iterator[Shape]:
    """Where each step began: its name in stairs under the curve, or only its number."""
    small = 0.9 * letter
    pitch = _PITCH * small
    named = [
        Callout(axes.x_of(one.at_s), axes.bottom, (f"{one.number} {one.title}",))
        for one in panel.ticks
    ]
    rows = rows_for(named, small)
    # There is room for so many under the curve, once it has risen.
    if under is not None and pitch * (max(rows, default=0) + 1) <= under - axes.bottom:
        for callout, row in zip(named, rows, strict=True):
            foot = axes.bottom + row * pitch + 0.5 * small
            yield line((callout.x, axes.bottom), (callout.x, foot + small), STEP)
            # The curve begins in the corner: words there stand clear of it.
            aside = 5.0 if callout.x - axes.left < 3.0 else 0.8
            yield Text((callout.x + aside, foot), callout.lines[0], small, pen=WORD)
        return
    free = axes.left
    for one in panel.ticks:
        x = axes.x_of(one.at_s)
        yield line((x, axes.bottom), (x, axes.bottom + 1.6), STEP)
        wide = width(str(one.number), letter)
        if x - 0.5 * wide >= free:
            at = (x, axes.bottom + 2.2)
            yield Text(at, str(one.number), letter, "middle", pen=WORD)
            free = x + 0.5 * wide + 0.6 * letter
