"""A long curve in few points: the lowest and highest of every stretch, so that no peak is lost."""

from __future__ import annotations

from dataclasses import dataclass

#: Stretches kept before two are made one.
_MOST = 1200
#: Length of a stretch to begin with. [s]
_FIRST_S = 2.0


@dataclass(slots=True)
class _Stretch:
    at_s: float
    low_c: float
    high_c: float


class Thinned:
    """One probe's curve so far; a stretch without a temperature stays a gap.

    Examples
    --------
    >>> curve = Thinned()
    >>> for second in range(6):
    ...     curve.add(float(second), 20.0 + second)
    >>> curve.rows()
    [(0.0, 20.0, 21.0), (2.0, 22.0, 23.0), (4.0, 24.0, 25.0)]
    """

    def __init__(self) -> None:
        self._every_s = _FIRST_S
        self._stretches: list[_Stretch] = []

    def add(self, at_s: float, celsius: float) -> None:
        """Take one more reading, later than those before."""
        begin = at_s - at_s % self._every_s
        last = self._stretches[-1] if self._stretches else None
        if last is not None and begin <= last.at_s:
            last.low_c = min(last.low_c, celsius)
            last.high_c = max(last.high_c, celsius)
            return
        self._stretches.append(_Stretch(begin, celsius, celsius))
        if len(self._stretches) > _MOST:
            self._coarser()

    def _coarser(self) -> None:
        self._every_s *= 2.0
        merged: list[_Stretch] = []
        for one in self._stretches:
            begin = one.at_s - one.at_s % self._every_s
            if merged and merged[-1].at_s == begin:
                merged[-1].low_c = min(merged[-1].low_c, one.low_c)
                merged[-1].high_c = max(merged[-1].high_c, one.high_c)
            else:
                merged.append(_Stretch(begin, one.low_c, one.high_c))
        self._stretches = merged

    @property
    def every_s(self) -> float:
        """Length of a stretch now. [s]"""
        return self._every_s

    def rows(self) -> list[tuple[float, float, float]]:
        """Beginning of each stretch, its lowest and its highest. [s], [degC], [degC]"""
        return [(one.at_s, one.low_c, one.high_c) for one in self._stretches]
