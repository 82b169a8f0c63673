"""Readings of a run, gathered as they come, so that an hour of them costs no more than a minute."""

from __future__ import annotations

import threading
from collections import deque

import numpy as np

from rimwright.curves.piece import FloatArray

#: Readings are gathered over this long and their median taken, as in `bending.heat_fit`. [s]
GATHER_S = 5.0
#: An open gathering counts from so many readings, or so long after its beginning. [s]
_LEAST_READINGS, _LEAST_S = 10, 2.0
#: What is fitted ends here: by then a curve has told what it can. [s]
FIT_UNTIL_S = 600.0
#: Later ones only say where the probe stands now.
_LATEST = 4
#: Before the heat the median of this long is where the stack starts from. [s]
_BEFORE_S = 30.0


class Gathered:
    """Valid readings by the heat's clock; may be fed by one thread and read by another.

    Examples
    --------
    >>> kept = Gathered()
    >>> for tenth in range(-50, 120):
    ...     kept.add(tenth / 10.0, 21.0 + max(tenth, 0) / 10.0)
    >>> kept.start_c
    21.0
    >>> times, readings = kept.points()
    >>> readings.round(2).tolist()
    [23.45, 28.45, 31.95]
    """

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._before: deque[tuple[float, float]] = deque(maxlen=512)
        self._open: list[tuple[float, float]] = []
        self._place = -1
        self._kept: list[tuple[float, float]] = []
        self._later: deque[tuple[float, float]] = deque(maxlen=_LATEST)

    def add(self, at_s: float, celsius: float) -> None:
        """One valid reading; before the heat `at_s` is below zero. Late comers are left out."""
        with self._lock:
            if at_s < 0.0:
                self._before.append((at_s, celsius))
                return
            place = int(at_s // GATHER_S)
            if place < self._place:
                return
            if place > self._place:
                self._close()
                self._place = place
            self._open.append((at_s, celsius))

    def _close(self) -> None:
        if self._open:
            point = _median(self._open)
            (self._kept if point[0] <= FIT_UNTIL_S else self._later).append(point)
            self._open = []

    @property
    def start_c(self) -> float | None:
        """Where the stack starts from; None before any reading. [degC]"""
        with self._lock:
            if self._before:
                last = self._before[-1][0]
                near = [one for one in self._before if one[0] > last - _BEFORE_S]
                return _median(near)[1]
            first = self._kept[0] if self._kept else None
            early = [one for one in self._open if one[0] < _LEAST_S]
            if first is None and early:
                return _median(early)[1]
            return None

    def points(self) -> tuple[FloatArray, FloatArray]:
        """Gathered readings that are fitted, the open one included. [s], [degC]"""
        with self._lock:
            points = list(self._kept)
            if not points or points[-1][0] <= FIT_UNTIL_S:
                points += [one for one in self._standing() if one[0] <= FIT_UNTIL_S]
        return _arrays(points)

    def latest(self) -> tuple[FloatArray, FloatArray]:
        """The last few gathered readings, whenever they were. [s], [degC]"""
        with self._lock:
            points = [*self._kept[-_LATEST:], *self._later, *self._standing()]
        return _arrays(points[-_LATEST:])

    def _standing(self) -> list[tuple[float, float]]:
        enough = len(self._open) >= _LEAST_READINGS or (
            len(self._open) > 1 and self._open[-1][0] - self._open[0][0] >= _LEAST_S
        )
        return [_median(self._open)] if enough else []


def _median(points: list[tuple[float, float]]) -> tuple[float, float]:
    middle = np.median(np.array(points), axis=0)
    return float(middle[0]), float(middle[1])


def _arrays(points: list[tuple[float, float]]) -> tuple[FloatArray, FloatArray]:
    made = np.array(points, dtype=np.float64).reshape(-1, 2)
    return made[:, 0], made[:, 1]
