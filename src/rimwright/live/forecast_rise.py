"""Is the probe rising as it should? A pause while water leaves is expected and never called slow.

Two looks. *The whole climb*: when the forecast's range lies beyond the time a good run may take.
*The last quarter of a minute*: when the probe is far from where the forecast of then saw it,
because something has changed. Either must say so for some seconds, and both must be over for a
while before it is taken back, so that no sentence flickers.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field

import numpy as np

from rimwright.bending.heat_unsure import NINETY
from rimwright.curves.piece import FloatArray
from rimwright.live.forecast_ahead import Ahead, Expected
from rimwright.live.forecast_model import Schedule
from rimwright.live.run_plan import Ranged

#: Where water leaves at the speed of the heat, by a probe beside the blanket. Assumed. [degC]
PAUSE_C = (92.0, 120.0)
#: A longer pause is looked at like any other slow rise. Assumed: makers see up to a minute. [s]
LONGEST_PAUSE_S = 120.0
#: What a pause may still take that the model did not see coming: makers see up to a minute
#: (common practice, no source). [s]
USUAL_PAUSE_S = 60.0
#: The model says pause where steam takes this share of the blanket's power.
_STEAM_SHARE = 0.15
#: The readings say pause below this share of the rise that was forecast, and above a fall.
_PAUSE_SHARE, _FALL_K_S = 0.5, -0.15
#: How long ago the forecast was that the probe is held against. [s]
_LOOK_BACK_S = 15.0
#: Further off than the forecast's own range: by this many standard deviations and this much.
_FAR, _FAR_K, _MISS_K = 3.0, 6.0, 1.0
#: For so long, that a spray's dip is let pass; and over for so long. [s]
_ON_S, _OFF_S = 5.0, 10.0


@dataclass
class Latch:
    """On when asked for some seconds, off when clear for longer.

    Examples
    --------
    >>> latch = Latch()
    >>> [latch.moved(at_s, asked, clear=not asked) for at_s, asked in
    ...  ((0.0, True), (6.0, True), (8.0, False), (12.0, True), (16.0, False), (27.0, False))]
    [False, True, True, True, True, False]
    """

    on: bool = False
    _since_s: float | None = None

    def moved(self, at_s: float, asked: bool, *, clear: bool) -> bool:
        """The state after one more look."""
        turning = clear if self.on else asked
        if not turning:
            self._since_s = None
        elif self._since_s is None:
            self._since_s = at_s
        elif at_s - self._since_s >= (_OFF_S if self.on else _ON_S):
            self.on, self._since_s = not self.on, None
        return self.on


@dataclass
class Rise:
    """What was seen of the climb so far."""

    expected: Expected
    wet: bool
    #: How long the probe has stood behind the climb because water left, and since when. [s]
    paused_s: float = 0.0
    paused_at_s: float | None = None
    #: The readings, and not the model, say that it pauses.
    unforeseen: bool = False
    pause: Latch = field(default_factory=Latch)
    slow: Latch = field(default_factory=Latch)
    fast: Latch = field(default_factory=Latch)
    _seen: deque[tuple[float, Schedule, Ahead]] = field(default_factory=lambda: deque(maxlen=40))
    _pause_since_s: float | None = None
    _last_s: float | None = None

    def then(self, at_s: float, schedule: Schedule) -> Ahead | None:
        """What was forecast a quarter of a minute ago, if the power has not changed since."""
        for made_s, of, seen in reversed(self._seen):
            if of != schedule:
                return None
            if made_s <= at_s - _LOOK_BACK_S:
                return seen
        return None

    def water(
        self, at_s: float, latest: tuple[FloatArray, FloatArray], steam: float, schedule: Schedule
    ) -> None:
        """Look for the pause: by the model's steam, or by the readings themselves."""
        time_s, probe_c = latest
        within = bool(self.wet and time_s.size and PAUSE_C[0] <= probe_c[-1] <= PAUSE_C[1])
        share = self._share(latest, schedule) if within else 1.0
        # What is slow already is not water's doing.
        self.unforeseen = share < _PAUSE_SHARE and not self.slow.on
        if within and self.unforeseen:
            self._pause_since_s = at_s if self._pause_since_s is None else self._pause_since_s
            if at_s - self._pause_since_s > LONGEST_PAUSE_S:
                self.unforeseen = False
            elif self._last_s is not None:
                self.paused_s += (1.0 - max(share, 0.0)) * (at_s - self._last_s)
                self.paused_at_s = at_s if self.paused_at_s is None else self.paused_at_s
        elif not within:
            self._pause_since_s = None
        water = self.unforeseen or (within and steam >= _STEAM_SHARE and not self.slow.on)
        self.pause.moved(at_s, water, clear=not water)
        if self.slow.on:
            self.pause = Latch()
        self._last_s = at_s

    def _share(self, latest: tuple[FloatArray, FloatArray], schedule: Schedule) -> float:
        """Rise of the last readings over what was forecast of them; 1 where it falls."""
        time_s, probe_c = latest[0][-3:], latest[1][-3:]
        then = self.then(float(time_s[-1]), schedule)
        if then is None or time_s.size < 2:
            return 1.0
        seconds = float(time_s[-1] - time_s[0])
        rise = float(probe_c[-1] - probe_c[0]) / seconds
        foreseen = (then.at(time_s[-1], then.probe_c) - then.at(time_s[0], then.probe_c)) / seconds
        if foreseen <= 0.0 or rise < _FALL_K_S:
            return 1.0
        return rise / foreseen

    def over(self) -> None:
        """There, or turned down: nothing of the climb is left to be said."""
        self.pause, self.slow, self.fast = Latch(), Latch(), Latch()

    def judged(
        self,
        at_s: float,
        to_target_s: Ranged | None,
        latest: tuple[FloatArray, FloatArray],
        seen: Ahead,
        schedule: Schedule,
    ) -> None:
        """Hold the forecast against what was expected, and the probe against the last forecast.

        `to_target_s` counts from the heat on; None where the target is not in sight.
        """
        off_k, far_k = self._off(latest, schedule)
        late_s, soon_s = self.expected.late_s + self.paused_s, self.expected.soon_s
        usual = self.expected.to_target_s
        usual_s = late_s if usual is None else usual.middle + self.paused_s
        low_s = np.inf if to_target_s is None else to_target_s.low
        middle_s = np.inf if to_target_s is None else to_target_s.middle
        high_s = np.inf if to_target_s is None else to_target_s.high
        self.slow.moved(
            at_s,
            (low_s > late_s or off_k < -far_k) and not (self.unforeseen or self.pause.on),
            clear=middle_s < 0.5 * (late_s + usual_s) and off_k > -0.5 * far_k,
        )
        self.fast.moved(
            at_s,
            high_s < soon_s or off_k > far_k,
            clear=middle_s > 0.5 * (soon_s + usual_s) and off_k < 0.5 * far_k,
        )
        self._seen.append((at_s, schedule, seen))

    def _off(
        self, latest: tuple[FloatArray, FloatArray], schedule: Schedule
    ) -> tuple[float, float]:
        """By how much the probe is off the last forecast, and how much is far. [K]"""
        if latest[0].size == 0:
            return 0.0, _FAR_K
        at_s = float(latest[0][-1])
        then = self.then(at_s, schedule)
        if then is None:
            return 0.0, _FAR_K
        spread = float(np.hypot(then.at(at_s, then.unsure_k) / NINETY, _MISS_K))
        return float(latest[1][-1]) - then.at(at_s, then.probe_c), max(_FAR * spread, _FAR_K)
