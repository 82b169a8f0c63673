"""Whether the reading follows the heat as it should: what falls short is added up."""

from __future__ import annotations

from collections import deque
from typing import Literal

from rimwright.live.judging import HeatContext

#: This near the target all is well. [K]
NEAR_K = 5.0
#: Shortfall that is too much. [K s]
TOO_MUCH_K_S = 120.0
#: While it warms it must gain so much in so long. [K], [s]
GAIN_K, GAIN_S = 2.0, 20.0
#: The first time longer: a plug comes after the tap that marks it, and the heat after the plug.
#: Assumed. [s]
FIRST_GAIN_S = 40.0
#: From here on water leaves and losses grow, and a pause of a minute and a half is expected.
#: Assumed. [degC], [s]
PAUSE_FROM_C, PAUSE_S = 90.0, 90.0
#: After a dip (a spray of water) it need only come up again. Assumed. [K]
_DIP_K, _RISING_K = 5.0, 1.0
#: And it is given this long to turn. Assumed. [s]
DIP_S = 12.0
#: A stack this little over the room is cold: even a little heat must show. Assumed. [K]
_COLD_K = 30.0
_FULL_SHARE, _LEAST_SHARE = 0.95, 0.02
_LEVEL_S, _BEFORE_S = 1.0, 4.0
#: Without a reading for longer it begins anew. Assumed. [s]
_GAP_S = 2.0

Trouble = Literal["", "not rising", "fallen"]


class Doubt:
    """The shortfall of the leading probe while the heat is marked on.

    At full power the reading must gain 2 K every 20 s until it is near the target, with a pause
    allowed from 90 °C on. Where it does not, and once it has been near the target and is not
    again for 12 s, what it lacks to 5 K under the target is added up while it does not rise;
    120 K s are too much. Coming near, or gaining again, begins at nothing. Turned down, a fall
    is normal: then only a stack that is cold must warm, the slower the less power.
    """

    def __init__(self) -> None:
        self._heat: HeatContext | None = None
        self.restart()

    def restart(self) -> None:
        """Begin anew with the next reading."""
        self.trouble: Trouble = ""
        self._sum_k_s = 0.0
        self._last_s: float | None = None
        self._goal_c = 0.0
        self._until_s = 0.0
        self._was_near = False
        self._well_s = 0.0
        self._recent: deque[tuple[float, float]] = deque()
        self._levels: deque[tuple[float, float]] = deque()

    def take(self, at_s: float, celsius: float, heat: HeatContext) -> None:
        """Take the leading probe's reading. [s], [degC]"""
        gap = self._last_s is not None and at_s - self._last_s > _GAP_S
        if gap or heat != self._heat:
            # Another power, or a probe that was put back: what was lacking tells nothing now.
            self._heat = heat
            self.restart()
        if not heat.on or heat.share < _LEAST_SHARE:
            return
        level = self._level(at_s, celsius)
        turned_down = heat.share < _FULL_SHARE
        if turned_down and level >= heat.room_c + _COLD_K:
            self._last_s = None
            self.trouble = ""
            return
        if self._last_s is None:
            self._last_s = at_s
            slower = 1.0 / heat.share if turned_down else 1.0
            self._goal_c, self._until_s = level + GAIN_K, at_s + FIRST_GAIN_S * slower
            self._well_s = at_s
        seconds, self._last_s = min(at_s - self._last_s, 1.0), at_s
        short_k = heat.target_c - NEAR_K - level
        if short_k <= 0.0:
            self._was_near = True
            self._gained(at_s, level, heat)
        elif level >= self._goal_c:
            self._gained(at_s, level, heat)
        else:
            # A dip lowers what counts as a gain, or nothing after it ever would.
            self._goal_c = min(self._goal_c, level + _DIP_K)
            if self._rising(level):
                return
            self._sum_k_s += short_k * seconds
            until_s = self._well_s + DIP_S if self._was_near else self._until_s
            if at_s >= until_s and self._sum_k_s >= TOO_MUCH_K_S:
                self.trouble = "fallen" if self._was_near else "not rising"

    def _gained(self, at_s: float, level: float, heat: HeatContext) -> None:
        self.trouble = ""
        self._sum_k_s, self._well_s = 0.0, at_s
        self._goal_c = level + GAIN_K
        seconds = GAIN_S + PAUSE_S if level >= PAUSE_FROM_C else GAIN_S
        self._until_s = at_s + seconds / (heat.share if heat.share < _FULL_SHARE else 1.0)

    def _level(self, at_s: float, celsius: float) -> float:
        """Mean of the last second; one a half second is kept, to see it rise."""
        recent, levels = self._recent, self._levels
        recent.append((at_s, celsius))
        while at_s - recent[0][0] > _LEVEL_S:
            recent.popleft()
        level = sum(one[1] for one in recent) / len(recent)
        if not levels or at_s - levels[-1][0] >= 0.5:
            levels.append((at_s, level))
            while at_s - levels[0][0] > _BEFORE_S:
                levels.popleft()
        return level

    def _rising(self, level: float) -> bool:
        return level - min(one[1] for one in self._levels) > _RISING_K
