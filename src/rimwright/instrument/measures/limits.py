"""Which measures of a body cannot be, and what would."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np

from rimwright.errors import GeometryError
from rimwright.instrument.design import Landmarks

#: Measures in words, in the order in which they are suspected.
WORDS = {
    "tail_fullness": "tail fullness",
    "shoulder_fullness": "shoulder fullness",
    "waist_width_m": "waist width",
    "waist_station_m": "waist station",
    "lower_station_m": "lower bout station",
    "upper_station_m": "upper bout station",
    "lower_width_m": "lower bout width",
    "upper_width_m": "upper bout width",
    "body_length_m": "body length",
}
#: Factors tried on a measure to find what would work, nearest first.
_TRIES = np.array([0.05, 0.15, 0.3])
#: Two arcs lead from bout to waist without hanging over while the half widths differ by
#: less than the stations do; a fair line wants a little more room. Ours, by trial.
_STEEPEST = 0.95
#: Tail and shoulders: distance along the body to half width, least and greatest. Ours.
_LEAST_SHARE, _GREATEST_SHARE = 0.2, 3.0


def millimetres(value: float) -> str:
    """A length as it stands in a message."""
    return f"{1e3 * value:.1f} mm"


def refuse(words: str, value: str, expected: str, step: str) -> GeometryError:
    """The one line about one measure."""
    return GeometryError(f"{words} {value}", expected, step, where="outline by landmarks")


def check_measures(m: Landmarks) -> None:
    """Refuse measures that contradict each other before any curve is drawn.

    Raises
    ------
    GeometryError
        Naming the first such measure and the range it must lie in.
    """
    for name, words in WORDS.items():
        value = getattr(m, name)
        if value is None:
            continue
        if "fullness" in name:
            if not 0.5 < value < 1.0:
                raise refuse(
                    words,
                    f"{value:.3f}",
                    "a share above 0.5 and below 1, an ellipse having 0.785",
                    "give a fuller or leaner share or leave it out",
                )
        elif not 1e-3 < value < 10.0:
            raise refuse(words, millimetres(value), "1 mm to 10 m", "check the number and its unit")
    stations = [
        ("the tail seam", 0.0),
        (WORDS["lower_station_m"], m.lower_station_m),
        (WORDS["waist_station_m"], m.waist_station_m),
        (WORDS["upper_station_m"], m.upper_station_m),
        (WORDS["body_length_m"], m.body_length_m),
    ]
    for i in range(1, 5):
        if stations[i][1] > stations[i - 1][1]:
            continue
        # Of a pair in the wrong order the later is named, but not the body's length.
        named = min(i, 3)
        (before, low), (words, value), (after, high) = stations[named - 1 : named + 2]
        raise refuse(
            words,
            millimetres(value),
            f"more than {before} {millimetres(low)} and less than {after} {millimetres(high)}",
            "give stations as distances from the tail seam, in order",
        )
    narrow = min(m.lower_width_m, m.upper_width_m)
    if m.waist_width_m >= narrow:
        raise refuse(
            "waist width",
            millimetres(m.waist_width_m),
            f"less than the narrower bout, {millimetres(narrow)}",
            "make the waist narrower or the bout wider",
        )
    _check_steepness(m)


def _check_steepness(m: Landmarks) -> None:
    """Refuse bouts too wide for the length they have to curve in."""
    before = 0.5 * (m.lower_width_m - m.waist_width_m) / _STEEPEST
    after = 0.5 * (m.upper_width_m - m.waist_width_m) / _STEEPEST
    first, last = m.lower_station_m + before, m.upper_station_m - after
    if first > last:
        # No waist station would do: both bouts come too near for this depth of waist.
        least = m.waist_width_m + _STEEPEST * (first - last)
        raise refuse(
            "waist width",
            millimetres(m.waist_width_m),
            f"{millimetres(least)} or more between bouts "
            f"{millimetres(m.upper_station_m - m.lower_station_m)} apart",
            "widen the waist or move the bouts apart",
        )
    if not first <= m.waist_station_m <= last:
        raise refuse(
            "waist station",
            millimetres(m.waist_station_m),
            f"{millimetres(first)} to {millimetres(last)}, so that the line need not hang over "
            "on its way to the bouts",
            "move the waist or make it wider",
        )
    ends = [
        ("lower bout", m.lower_width_m, m.lower_station_m, 0.0),
        ("upper bout", m.upper_width_m, m.upper_station_m, m.body_length_m),
    ]
    for bout, width, station, end in ends:
        low, high = (0.5 * width * share for share in (_LEAST_SHARE, _GREATEST_SHARE))
        if not low <= abs(end - station) <= high:
            near, far = sorted((abs(end - low), abs(end - high)))
            raise refuse(
                f"{bout} station",
                millimetres(station),
                f"{millimetres(near)} to {millimetres(far)}, so that the body can round to its end",
                f"move the {bout} or change its width",
            )


def name_the_culprit(m: Landmarks, works: Callable[[Landmarks], bool]) -> GeometryError:
    """Say which single measure, least changed, would let the body be drawn, and how far."""
    for size in _TRIES:
        for name, words in WORDS.items():
            value = getattr(m, name)
            if value is None:
                continue
            for sign in (1.0, -1.0):
                better = value * (1.0 + sign * size)
                if works(replace(m, **{name: better})):
                    return _suggestion(m, name, words, better, works)
    return refuse(
        "measures",
        "that no fair outline can follow",
        "bouts and waist with room between them",
        "check widths and stations against a drawing",
    )


def _suggestion(
    m: Landmarks, name: str, words: str, better: float, works: Callable[[Landmarks], bool]
) -> GeometryError:
    value = getattr(m, name)
    far = better
    for size in _TRIES:
        further = better + np.sign(better - value) * abs(value) * size
        changed: dict[str, Any] = {name: float(further)}
        if not works(replace(m, **changed)):
            break
        far = float(further)
    low, high = sorted((better, far))
    if "fullness" in name:
        found, expected = f"{value:.3f}", f"{low:.3f} to {high:.3f}"
    else:
        found, expected = millimetres(value), f"{millimetres(low)} to {millimetres(high)}"
    return refuse(
        words,
        f"{found}, with which the outline would hook or loop",
        f"about {expected} with the other measures as they are",
        f"change the {words} or its neighbours",
    )
