"""What is remembered of one probe while a run is watched."""

from __future__ import annotations

from collections import deque
from itertools import pairwise

from rimwright.live.alarms_table import DEFINITIONS, AlarmKey
from rimwright.live.judging import HeatContext
from rimwright.live.readings import FAULT_WORDS, Fault, Sample
from rimwright.live.watching_trend import Trend

#: Older is no reading. [s]
STALE_S = 2.0
#: Nearer to the limit than this, at the present rate, is too hot already. [s]
TOO_SOON_S = 10.0
#: Further below the limit no rate counts: 3 K/s, more than any blanket gives, is 30 K in 10 s,
#: and a probe put back into a hot stack rises faster than that at first. Assumed. [K]
RATE_COUNTS_K = 40.0
#: A rise slower than this reaches nothing. Assumed. [K/s]
LEAST_RATE_K_S = 0.05
#: So many jumps in so long, or one that lasts, are no spark from a switch. Assumed. [s]
JUMPS, JUMPS_S, JUMP_LASTS_S = 3, 10.0, 1.0
#: The line through the last seconds is begun anew where a gap ends at another level. [K], [s]
OTHER_LEVEL_K, _GAP_S = 8.0, 0.5
#: Faults of the place, not of the link: "Probe doubtful" tells them, not "No reading".
DOUBTFUL = frozenset({Fault.STUCK, Fault.JUMPED, Fault.DETACHED, Fault.REVERSED})
_SPARKS = frozenset({Fault.JUMPED, Fault.OUT_OF_RANGE})
#: Heat that nobody marked: so much in one go, each piece of it so fast, and the last not much
#: slower than the fastest, as it is where a probe is put into something warm. The first two
#: are the rule, the others assumed. [K], [K/s], [s]
SEEN_K, SEEN_K_S, _SEEN_PIECE_S, _SEEN_PIECES, _SEEN_STEADY = 10.0, 0.3, 4, 3, 0.4
_SEEN_S = 36.0


class ProbeWatch:
    """One probe: its last readings, their trend, and whether it is too hot."""

    def __init__(self, place: str) -> None:
        self.place = place
        self.heard_s: float | None = None
        self.fault: Fault | None = None
        #: The newest temperature, its time, and when last heard without a fault of the link.
        self.celsius = 0.0
        self.valid_s: float | None = None
        self.linked_s: float | None = None
        self.trend = Trend()
        self.hot = False
        self._last: deque[float] = deque(maxlen=3)
        self._jumps_s: deque[float] = deque()
        #: One level a second. [s], [degC]
        self._levels: deque[tuple[float, float]] = deque()

    def take(self, sample: Sample, heat: HeatContext) -> bool:
        """Take a sample; tells whether it is a temperature."""
        at_s, celsius = sample.at_s, sample.celsius
        before, self.fault = self.fault, sample.fault
        self.heard_s = at_s
        if celsius is None or sample.fault is not None:
            if sample.fault in DOUBTFUL:
                self.linked_s = at_s
            # A spark may leave the range as well; a board that stays there is no jump.
            spark = sample.fault is Fault.OUT_OF_RANGE and before is None
            if spark or sample.fault is Fault.JUMPED:
                self._jumps_s.append(at_s)
            return False
        gap = self.valid_s is None or at_s - self.valid_s > _GAP_S
        if gap and abs(celsius - self.celsius) > OTHER_LEVEL_K:
            self.trend.clear()
            self._levels.clear()
            self._last.clear()
        self.celsius, self.valid_s, self.linked_s = celsius, at_s, at_s
        self._last.append(celsius)
        self.trend.add(at_s, celsius)
        levels = self._levels
        if not levels or at_s - levels[-1][0] >= 1.0:
            levels.append((at_s, self.level_c))
            while at_s - levels[0][0] > _SEEN_S:
                levels.popleft()
        self.hot = self._is_hot(heat.limit_c)
        return True

    @property
    def level_c(self) -> float:
        """The newest reading with its noise taken out. [degC]"""
        level = self.trend.level_c()
        return self.celsius if level is None else level

    @property
    def highest_c(self) -> float:
        """Of the last three readings. [degC]"""
        return max(self._last, default=self.celsius)

    def fresh(self, at_s: float) -> bool:
        """Whether there is a temperature now."""
        if self.valid_s is None or at_s - self.valid_s > STALE_S:
            return False
        # One spark between good readings is no cause to blank the figure.
        return self.fault is None or (self.fault in _SPARKS and not self.jumping(at_s))

    def now(self, at_s: float) -> tuple[float | None, Fault | None, str, float | None]:
        """What to show: temperature or fault, its words, and when it was last heard."""
        if self.fresh(at_s):
            return self.celsius, None, "", self.heard_s
        fault = self.fault
        if fault is None or self.heard_s is None or at_s - self.heard_s > STALE_S:
            fault = Fault.SILENT
        return None, fault, FAULT_WORDS[fault], self.heard_s

    def jumping(self, at_s: float) -> bool:
        """Whether jumps are more than a spark."""
        jumps = self._jumps_s
        while jumps and at_s - jumps[0] > JUMPS_S:
            jumps.popleft()
        if len(jumps) >= JUMPS:
            return True
        lasting = [one for one in jumps if self.valid_s is None or one > self.valid_s]
        return bool(lasting) and lasting[-1] - lasting[0] >= JUMP_LASTS_S

    def to_limit_s(self, limit_c: float) -> float | None:
        """Until it is at the limit at its present rate, 0 past it; None: it does not rise. [s]"""
        level = self.level_c
        if level >= limit_c:
            return 0.0
        rate = self.trend.rate_k_s()
        if rate is None or rate < LEAST_RATE_K_S:
            return None
        return (limit_c - level) / rate

    def _is_hot(self, limit_c: float) -> bool:
        """Two of the last three over the limit, or there too soon; with a deadband once it is."""
        last = self._last
        if last[-1] < limit_c - RATE_COUNTS_K and not self.hot:
            return False
        if sum(one >= limit_c for one in last) >= 2:
            return True
        if self._is_soon(limit_c):
            return True
        return self.hot and self.level_c >= limit_c - DEFINITIONS[AlarmKey.TOO_HOT].deadband_k

    def _is_soon(self, limit_c: float) -> bool:
        """At the limit within ten seconds, by its last six and by its last three alone."""
        soon, level = self.to_limit_s(limit_c), self.level_c
        if soon is None or soon >= TOO_SOON_S or level < limit_c - RATE_COUNTS_K:
            return False
        late = self.trend.late_rate_k_s()
        return late is None or level + TOO_SOON_S * late > limit_c

    def tells_heat(self, at_s: float) -> bool:
        """Whether it rises as only heat makes it rise."""
        if not self.fresh(at_s):
            return False
        levels = [one[1] for one in self._levels][::-_SEEN_PIECE_S]
        gains: list[float] = []
        for later, earlier in pairwise(levels):
            if later - earlier <= SEEN_K_S * _SEEN_PIECE_S:
                break
            gains.append(later - earlier)
        return (
            len(gains) >= _SEEN_PIECES
            and sum(gains) > SEEN_K
            and gains[0] >= _SEEN_STEADY * max(gains)
        )
