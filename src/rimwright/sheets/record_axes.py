"""Scales of a plot: from seconds and degrees to millimetres on the sheet."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Axes:
    """A panel of a plot: its sides on the sheet, and what they stand for. [mm], [s], [degC]"""

    left: float
    right: float
    bottom: float
    top: float
    x: tuple[float, float]
    y: tuple[float, float]

    def x_of(self, at_s: float) -> float:
        """Where a moment is. [mm]"""
        share = (at_s - self.x[0]) / (self.x[1] - self.x[0])
        return self.left + share * (self.right - self.left)

    def y_of(self, celsius: float) -> float:
        """Where a temperature is. [mm]"""
        share = (celsius - self.y[0]) / (self.y[1] - self.y[0])
        return self.bottom + share * (self.top - self.bottom)


def time_unit(seconds: float) -> tuple[float, str]:
    """The unit in which so long a time is told along an axis: seconds in it, and its name.

    Examples
    --------
    >>> time_unit(600.0), time_unit(90_000.0), time_unit(90.0)
    ((60.0, 'minutes'), (3600.0, 'hours'), (1.0, 'seconds'))
    """
    if seconds <= 180.0:
        return 1.0, "seconds"
    return (60.0, "minutes") if seconds <= 4.0 * 3600.0 else (3600.0, "hours")


def ticks_in(low: float, high: float, room: float) -> list[float]:
    """Round values between two ends, each with its room.

    Parameters
    ----------
    low, high : float
        The ends.
    room : float
        What one value's words take, as a share of the axis.

    Examples
    --------
    >>> ticks_in(18.0, 185.0, 0.09)
    [20.0, 40.0, 60.0, 80.0, 100.0, 120.0, 140.0, 160.0, 180.0]
    """
    span = high - low
    least = max(room, 0.05) * span
    if not span > 0.0:
        return []
    ten = 10.0 ** math.floor(math.log10(least))
    step = next(times * ten for times in (1.0, 2.0, 5.0, 10.0) if times * ten >= least - 1e-12)
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return [round(step * number, 10) for number in range(first, last + 1)]


def spread(places: Sequence[float], apart: float) -> list[float]:
    """Places of words in rising order, moved as little as they must to stand apart.

    Examples
    --------
    >>> spread([10.0, 10.5, 30.0], 4.0)
    [8.25, 12.25, 30.0]
    """
    groups: list[tuple[float, int]] = []
    for place in sorted(places):
        middle, count = place, 1
        # Words that would overlap share one middle.
        while groups and middle - groups[-1][0] < 0.5 * apart * (count + groups[-1][1]):
            other, many = groups.pop()
            middle = (middle * count + other * many) / (count + many)
            count += many
        groups.append((middle, count))
    return [
        middle + (number - 0.5 * (count - 1)) * apart
        for middle, count in groups
        for number in range(count)
    ]
