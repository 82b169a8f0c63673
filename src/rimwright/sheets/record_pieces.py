"""What a probe read as lines to draw, left open where it was blind."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import pairwise

from rimwright.journal.rows import EventRow, Stretch

#: Further apart than so many of the steps around it, two readings are not joined.
_APART = 2.6

#: A reading tells of a moment so far from it. [s]
_NEAR_S = 60.0

#: A moment since the heat came on, and the temperature. [s], [degC]
Point = tuple[float, float]


def blind_spans(
    events: Sequence[EventRow], probe: int, end_s: float
) -> tuple[tuple[float, float], ...]:
    """When nothing was watched, or this probe read no temperature. [s in the run]"""
    spans = []
    since: float | None = None
    for event in events:
        if event.kind == "gap" and isinstance(event.data.get("seconds"), int | float):
            spans.append((event.at_s - float(event.data["seconds"]), event.at_s))
        elif event.kind == "probe_fault" and event.data.get("probe") == probe and since is None:
            since = event.at_s
        elif event.kind == "probe_back" and event.data.get("probe") == probe and since is not None:
            spans.append((since, event.at_s))
            since = None
    if since is not None:
        spans.append((since, end_s))
    return tuple(_apart(spans))


def _apart(spans: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """The same times in order, none within another."""
    found: list[tuple[float, float]] = []
    for begin, end in sorted(spans):
        if found and begin <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], end))
        else:
            found.append((begin, end))
    return found


def pieces_of(
    read: Sequence[Stretch],
    every_s: float,
    origin_s: float,
    blind: Sequence[tuple[float, float]],
) -> tuple[tuple[Point, ...], ...]:
    """Lowest and highest of every stretch, joined where nothing lies between.

    Parameters
    ----------
    read : sequence of Stretch
        Of one probe, in order.
    every_s : float
        Length of a stretch. [s]
    origin_s : float
        From which the drawn times count. [s in the run]
    blind : sequence of pair of float
        As `blind_spans` gives them.
    """
    if not read:
        return ()
    ends_s = [end for _, end in blind]
    steps = [0.0, *(b.at_s - a.at_s for a, b in pairwise(read)), 0.0]
    pieces = [_ends(read[0], every_s, origin_s, ())]
    for number, (last, one) in enumerate(pairwise(read), start=1):
        # As far apart as those before or after it: a probe that is read seldom, no gap.
        usual_s = max(every_s, steps[number - 1], steps[number + 1])
        # Of the last it is not known how soon the next came.
        apart = number + 2 < len(steps) and steps[number] > _APART * usual_s
        # Where no stretch is missing between, what was blind is too short to be seen.
        missing = steps[number] > 1.5 * every_s
        next_blind = bisect_right(ends_s, last.at_s)
        blinded = next_blind < len(blind) and blind[next_blind][0] < one.at_s
        if apart or (missing and blinded):
            pieces.append([])
        pieces[-1] += _ends(one, every_s, origin_s, pieces[-1])
    return tuple(tuple(piece) for piece in pieces)


def _ends(one: Stretch, every_s: float, origin_s: float, before: Sequence[Point]) -> list[Point]:
    """A stretch as one point, or two where its readings differ; the nearer to the last first."""
    middle_s = one.at_s + 0.5 * every_s - origin_s
    if one.high_c - one.low_c < 0.05:
        return [(middle_s, 0.5 * (one.low_c + one.high_c))]
    ends = [one.low_c, one.high_c]
    if before and abs(before[-1][1] - one.high_c) < abs(before[-1][1] - one.low_c):
        ends.reverse()
    return [(middle_s - 0.25 * every_s, ends[0]), (middle_s + 0.25 * every_s, ends[1])]


def read_at(
    read: Sequence[Stretch], at_s: float, every_s: float, blind: Sequence[tuple[float, float]]
) -> float | None:
    """What the first probe read at a moment; None where it read nothing then."""
    if any(begin < at_s < end for begin, end in blind):
        return None
    near = min((one for one in read if one.probe == 0),
               key=lambda one: abs(one.at_s + 0.5 * every_s - at_s), default=None)  # fmt: skip
    if near is None or abs(near.at_s - at_s) > max(_NEAR_S, 2.0 * every_s):
        return None
    return 0.5 * (near.low_c + near.high_c)
