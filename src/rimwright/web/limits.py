"""How often something may be tried, by whom."""

from __future__ import annotations

import threading
import time
from collections import OrderedDict
from collections.abc import Callable


class Allowance:
    """So many at once, and so many more as time goes on, for each of many callers.

    Parameters
    ----------
    most : float
        Tries that may be used at once.
    per_s : float
        Tries that come back in a second. [1/s]
    remembered : int, default 1024
        Callers that are remembered; the one heard longest ago is forgotten first.
    now : callable
        Seconds on a clock that never steps. [s]

    Examples
    --------
    >>> clock = [0.0]
    >>> allowance = Allowance(2, 0.1, now=lambda: clock[0])
    >>> [allowance.take("tablet") for _ in range(3)]
    [True, True, False]
    >>> clock[0] = 10.0
    >>> allowance.take("tablet")
    True
    """

    def __init__(
        self, most: float, per_s: float, remembered: int = 1024,
        now: Callable[[], float] = time.monotonic,
    ) -> None:  # fmt: skip
        self._most, self._per_s, self._remembered, self._now = most, per_s, remembered, now
        self._left: OrderedDict[str, tuple[float, float]] = OrderedDict()
        self._lock = threading.Lock()

    def take(self, who: str) -> bool:
        """Use one try; False where none is left."""
        with self._lock:
            left = self._there(who)
            self._left[who] = (left - 1.0 if left >= 1.0 else left, self._now())
            self._left.move_to_end(who)
            while len(self._left) > self._remembered:
                self._left.popitem(last=False)
            return left >= 1.0

    def left(self, who: str) -> bool:
        """Whether a try is left; none is used."""
        with self._lock:
            return self._there(who) >= 1.0

    def _there(self, who: str) -> float:
        left, at = self._left.get(who, (self._most, self._now()))
        return min(self._most, left + self._per_s * (self._now() - at))
