"""Whether a reading can be a temperature: what plug, wire and board cannot say of themselves."""

from __future__ import annotations

import math
from collections import deque
from dataclasses import dataclass

from rimwright.live.readings import Fault, RawReading

#: No bender is colder or hotter; a blanket without control ends at 260 °C (common practice, no
#: source). Assumed. [degC]
COLDEST_C, HOTTEST_C = -40.0, 400.0
#: Faster than any slat: 10 W/in² give some 2 K/s. Assumed. [K/s]
FASTEST_K_S = 20.0
#: What noise may add to a step without being taken for a jump. Assumed. [K]
_NOISE_K = 8.0
#: The same figure for so long is a board that hangs. One that tells whole or half degrees stands
#: still by itself, in a steady hold for minutes. Assumed. [s]
STUCK_S, STUCK_COARSE_S = 30.0, 300.0
_COARSE_K = 0.5 - 1e-6
#: A stack left alone loses at most a sixth of its heat in this time (heat model, over all its
#: ranges); a probe in air loses a quarter and more, up to a time constant of 90 s. [s]
FALL_S, FALL_SHARE = 26.0, 0.25
#: A dip from a spray of water turns up again within seconds; a fall does not: for so long it
#: rises by no more than noise. Assumed. [s], [K]
_FALLEN_FOR_S, _TURNED_K = 2.2, 1.5
#: Colder than that over the room a fall tells nothing. Assumed. [K]
FALL_FROM_K = 20.0
#: A cold start that falls by this as the heat comes on has its wires swapped. Assumed. [K]
REVERSED_K = 5.0
_COLD_START_K = 15.0
#: A probe that is put back warms by this in 15 s; one beside the blanket does not. Assumed. [K]
_BACK_K, _BACK_S = 10.0, 15.0
_LEVEL_S = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatContext:
    """What is known of the heat while a reading is judged."""

    #: Marked on, by hand or because a probe told it.
    on: bool
    #: Since when, in the run's time; turning it down does not move this. [s]
    since_s: float | None = None
    #: Of the probe. [degC]
    target_c: float = 110.0
    limit_c: float = 180.0
    room_c: float = 21.0
    #: Of full power; below 1 once somebody turned it down.
    share: float = 1.0


class ProbeJudge:
    """One probe's recent past, and what its next reading can be.

    What a source says of itself (open, short, garbled, unplugged) is taken as it is. Told apart
    here: no number or none of this world, a jump, a figure that stands still, a fall while the
    heat is on, and swapped wires. A jump is one until there has been time to get there at
    20 K/s, so that a probe put back into a hot stack is believed again within seconds. Detached
    and reversed stay until the reading comes back or the heat is turned on anew.

    Examples
    --------
    >>> judge = ProbeJudge()
    >>> heat = HeatContext(on=False)
    >>> for tenth, celsius in enumerate([21.0, 21.1, 85.0, 65535.0, 21.2]):
    ...     raw = RawReading(probe=0, celsius=celsius)
    ...     print(*judge.judge(raw, 0.1 * tenth, heat))
    21.0 None
    21.1 None
    None jumped
    None out of range
    21.2 None
    """

    def __init__(self) -> None:
        #: Believed values of the last second, with their times.
        self._recent: deque[tuple[float, float]] = deque()
        #: One mean a second, over the time of a fall.
        self._seconds: deque[tuple[float, float]] = deque()
        self._figure: float | None = None
        self._figure_since_s = 0.0
        self._finest_k = 0.0
        self._heat_since_s: float | None = None
        self._start_c: float | None = None
        self._rose = False
        self._fallen_since_s: float | None = None
        self._lowest_c = 0.0
        self._standing: Fault | None = None
        self._fell_from_c = 0.0
        self._fell_to_c = 0.0

    def judge(
        self, raw: RawReading, at_s: float, heat: HeatContext
    ) -> tuple[float | None, Fault | None]:
        """The temperature, or why there is none: never both.

        Parameters
        ----------
        raw : RawReading
            As heard.
        at_s : float
            In the run's time, not before the reading before. [s]
        heat : HeatContext
            As marked at that time.
        """
        fault = raw.fault or _of_itself(raw.celsius)
        if fault is not None or raw.celsius is None:
            return None, fault
        celsius = raw.celsius
        self._note_figure(celsius, at_s)
        if self._is_jump(celsius, at_s):
            return None, Fault.JUMPED
        self._believe(celsius, at_s)
        self._begin_heat(heat)
        self._standing = self._stands(at_s, heat)
        return (celsius, None) if self._standing is None else (None, self._standing)

    def _note_figure(self, celsius: float, at_s: float) -> None:
        if self._figure is None:
            self._figure, self._figure_since_s = celsius, at_s
        elif celsius != self._figure:
            step = abs(celsius - self._figure)
            self._finest_k = min(step, self._finest_k) if self._finest_k else step
            self._figure, self._figure_since_s = celsius, at_s
            if self._standing is Fault.STUCK:
                self._standing = None

    def _is_jump(self, celsius: float, at_s: float) -> bool:
        if not self._recent:
            return False
        newest = self._recent[-1][0]
        last = [one for one in self._recent if newest - one[0] <= _LEVEL_S][-5:]
        middle_c = sorted(one[1] for one in last)[len(last) // 2]
        seconds = max(at_s - last[len(last) // 2][0], 0.0)
        return abs(celsius - middle_c) > _NOISE_K + FASTEST_K_S * seconds

    def _believe(self, celsius: float, at_s: float) -> None:
        recent, seconds = self._recent, self._seconds
        recent.append((at_s, celsius))
        while at_s - recent[0][0] > _LEVEL_S:
            recent.popleft()
        if not seconds or at_s - seconds[-1][0] >= 1.0:
            seconds.append((at_s, self._level_c()))
        while at_s - seconds[0][0] > FALL_S:
            seconds.popleft()

    def _level_c(self) -> float:
        return sum(one[1] for one in self._recent) / len(self._recent)

    def _begin_heat(self, heat: HeatContext) -> None:
        if not heat.on or heat.since_s == self._heat_since_s:
            return
        self._heat_since_s = heat.since_s
        self._start_c = self._level_c()
        self._rose = False
        self._fallen_since_s = None
        self._seconds.clear()
        if self._standing is not Fault.STUCK:
            self._standing = None

    def _stands(self, at_s: float, heat: HeatContext) -> Fault | None:
        """The fault that the reading stands in, after this reading."""
        if self._standing is Fault.STUCK:
            return Fault.STUCK  # until the figure moves, heat or no heat
        if self._standing is not None:
            return self._standing_or_back()
        if not heat.on:
            return None
        still_s = STUCK_COARSE_S if self._finest_k >= _COARSE_K else STUCK_S
        if at_s - max(self._figure_since_s, heat.since_s or 0.0) >= still_s:
            return Fault.STUCK
        return self._falls(at_s, heat)

    def _falls(self, at_s: float, heat: HeatContext) -> Fault | None:
        level = self._level_c()
        if self._start_c is not None and self._start_c < heat.room_c + _COLD_START_K:
            # Once it has risen it is the right way round.
            self._rose = self._rose or level >= self._start_c + REVERSED_K
            if not self._rose and level <= self._start_c - REVERSED_K:
                self._fell_from_c, self._fell_to_c = self._start_c, level
                return Fault.REVERSED
        peak = max((one[1] for one in self._seconds), default=level)
        over_room = peak - heat.room_c
        if over_room < FALL_FROM_K or peak - level < FALL_SHARE * over_room:
            self._fallen_since_s = None
            return None
        if self._fallen_since_s is None:
            self._fallen_since_s, self._lowest_c = at_s, level
        self._lowest_c = min(self._lowest_c, level)
        lasts = at_s - self._fallen_since_s >= _FALLEN_FOR_S
        if not lasts or level > self._lowest_c + _TURNED_K:
            return None
        self._fell_from_c, self._fell_to_c = peak, level
        return Fault.DETACHED

    def _standing_or_back(self) -> Fault | None:
        level = self._level_c()
        if self._standing is Fault.REVERSED:
            back = level >= self._fell_from_c - 1.0
        else:
            self._fell_to_c = min(self._fell_to_c, level)
            newest = self._recent[-1][0]
            lately = (one[1] for one in self._seconds if newest - one[0] <= _BACK_S)
            back = level >= min(lately, default=level) + _BACK_K or (
                level >= 0.5 * (self._fell_from_c + self._fell_to_c)
            )
        if back:
            # What it fell from is no peak to fall from again.
            self._seconds.clear()
            return None
        return self._standing


def _of_itself(celsius: float | None) -> Fault | None:
    """What one value alone tells."""
    if celsius is None or not math.isfinite(celsius):
        return Fault.GARBLED
    if not COLDEST_C <= celsius <= HOTTEST_C:
        return Fault.OUT_OF_RANGE
    return None
