"""How fast a reading rises: a straight line through its last seconds."""

from __future__ import annotations

from collections import deque

#: Long enough that noise of 1 °C at ten readings a second leaves 0.08 K/s. Assumed. [s]
SPAN_S = 6.0
_LEAST_SPAN_S, _LEAST_COUNT = 2.5, 4
#: What comes back from a dip rises ever slower: its last half tells. [s]
LATE_S = 3.0
#: Sums are taken anew before the times in them grow long. [s]
_ANEW_S = 300.0


class Trend:
    """Least squares over the last six seconds, kept as running sums.

    Examples
    --------
    >>> trend = Trend()
    >>> for tenth in range(60):
    ...     trend.add(0.1 * tenth, 80.0 + 0.09 * tenth)
    >>> round(trend.rate_k_s(), 3), round(trend.level_c(), 2)
    (0.9, 85.31)
    """

    def __init__(self) -> None:
        self.clear()

    def clear(self) -> None:
        """Forget: what comes next has nothing to do with what was."""
        self._points: deque[tuple[float, float]] = deque()
        self._base_s: float | None = None
        self._t = self._c = self._tt = self._tc = 0.0

    def add(self, at_s: float, celsius: float) -> None:
        """Take a reading, not before the one before. [s], [degC]"""
        points = self._points
        points.append((at_s, celsius))
        if self._base_s is None or at_s - self._base_s > _ANEW_S:
            while at_s - points[0][0] > SPAN_S:
                points.popleft()
            self._base_s = points[0][0]
            self._t = self._c = self._tt = self._tc = 0.0
            for time_s, value in points:
                self._count(time_s, value, 1.0)
            return
        self._count(at_s, celsius, 1.0)
        while at_s - points[0][0] > SPAN_S:
            self._count(*points.popleft(), -1.0)

    def _count(self, at_s: float, celsius: float, sign: float) -> None:
        t = at_s - (self._base_s or 0.0)
        self._t += sign * t
        self._c += sign * celsius
        self._tt += sign * t * t
        self._tc += sign * t * celsius

    def rate_k_s(self) -> float | None:
        """Its slope; None with too few readings to tell. [K/s]"""
        points = self._points
        n = len(points)
        if n < _LEAST_COUNT or points[-1][0] - points[0][0] < _LEAST_SPAN_S:
            return None
        return (n * self._tc - self._t * self._c) / (n * self._tt - self._t * self._t)

    def late_rate_k_s(self) -> float | None:
        """The slope of the last three seconds alone; noisier. [K/s]"""
        late = [one for one in self._points if self._points[-1][0] - one[0] <= LATE_S]
        if len(late) < _LEAST_COUNT or late[-1][0] == late[0][0]:
            return None
        n, base = len(late), late[0][0]
        t = sum(at_s - base for at_s, _ in late) / n
        c = sum(celsius for _, celsius in late) / n
        over = sum((at_s - base - t) * (celsius - c) for at_s, celsius in late)
        return over / sum((at_s - base - t) ** 2 for at_s, _ in late)

    def level_c(self) -> float | None:
        """Where the line stands at the newest reading; its mean where there is no line. [degC]"""
        if not self._points:
            return None
        mean = self._c / len(self._points)
        rate = self.rate_k_s()
        if rate is None:
            return mean
        newest = self._points[-1][0] - (self._base_s or 0.0)
        return mean + rate * (newest - self._t / len(self._points))
