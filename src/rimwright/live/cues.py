"""Calls that are no alarms: early call, nearly there, at target, turn down, overdue, wait over.

A cue asks for nothing that would burn if it were missed; it has another sound and colour. Each
is called once a visit of a step. The early call, the target and what goes with them are called
once a heat, and again only where a later visit saw the reading well below.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from rimwright.units import temperature_text, time_text


class CueKey(StrEnum):
    """The cues, in the order in which a bend meets them."""

    SOAK_OVER = "soak_over"
    EARLY = "early"
    NEARLY = "nearly"
    TARGET = "target"
    TURN_DOWN = "turn_down"
    OVERDUE = "overdue"
    REST_OVER = "rest_over"


CUE_TITLES: dict[CueKey, str] = {
    CueKey.SOAK_OVER: "Soak over",
    CueKey.EARLY: "Early call",
    CueKey.NEARLY: "Nearly there",
    CueKey.TARGET: "At target",
    CueKey.TURN_DOWN: "Turn down",
    CueKey.OVERDUE: "Step overdue",
    CueKey.REST_OVER: "Rest over",
}
#: So long before the target hands go to the ram; without a forecast, so many degrees. Assumed.
#: [s], [K]
NEARLY_S, NEARLY_K = 20.0, 4.0
#: Calls that come closer together than this are heard as one. Assumed. [s]
_APART_S = 4.0
#: A later visit calls again where it saw the reading so far below the line. Assumed. [K]
_WELL_BELOW_K = 8.0
#: The recipe holds within this of the target; above it the heat is turned down further. [K]
TURN_DOWN_K = 5.0
_FULL_SHARE = 0.95
#: Where the heat is brought up and set; bends are not told that they are at the target.
_WARMING = ("warm-up", "hold")
_OF_THE_HEAT = (CueKey.EARLY, CueKey.NEARLY, CueKey.TARGET)


@dataclass(frozen=True, slots=True, kw_only=True)
class CueFacts:
    """What is known at a moment of a run."""

    at_s: float
    step_key: str
    step_title: str
    phase: Literal["cold", "check", "hot", "after"]
    #: Moves on with every change of step.
    visit: int
    #: Since the step was begun, less what it was held, and when it is overdue. [s]
    in_step_s: float = 0.0
    overdue_s: float | None = None
    #: When the wait of this step is over, in the run's time; None without one. [s]
    ends_s: float | None = None
    #: Leading reading with its noise taken out; None without one. [degC]
    lead_c: float | None = None
    early_c: float = 100.0
    target_c: float = 110.0
    #: Forecast until the target; None without one. [s]
    to_target_s: float | None = None
    control: Literal["dial", "thermostat", "controller"] = "dial"
    heat_on: bool = False
    heat_since_s: float | None = None
    #: Of full power.
    share: float = 1.0
    #: What holds the target, of full power; None if nobody knows.
    hold_fraction: float | None = None
    #: What comes after this step; "" for nothing.
    next_title: str = ""
    show: Literal["metric", "inch"] = "metric"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cue:
    """One call."""

    key: CueKey
    title: str
    words: str
    #: Of the step it was called in.
    visit: int
    at_s: float


class CueCaller:
    """Remembers what was called, so that nothing is called twice.

    Parameters
    ----------
    called : iterable of (str, int, float)
        Key, visit and time of cues that the journal holds, after a restart.

    Examples
    --------
    >>> facts = CueFacts(at_s=300.0, step_key="warm-up", step_title="Warm up", phase="hot",
    ...                  visit=7, lead_c=100.4, heat_on=True, heat_since_s=210.0)
    >>> caller = CueCaller()
    >>> [cue.title for cue in caller.call(facts)], caller.call(facts)
    (['Early call'], ())
    >>> CueCaller([("early", 7, 300.0)]).call(facts)
    ()
    """

    def __init__(self, called: Iterable[tuple[str, int, float]] = ()) -> None:
        #: The last time of each cue in each visit. [s]
        self._called: dict[tuple[str, int], float] = {}
        for key, visit, at_s in called:
            self._called[key, visit] = at_s
        self._visit: int | None = None
        self._lowest_c: float | None = None

    def call(self, facts: CueFacts) -> tuple[Cue, ...]:
        """What is to be called now, in the order of `CueKey`."""
        if facts.visit != self._visit:
            self._visit, self._lowest_c = facts.visit, None
        if facts.lead_c is not None:
            low = self._lowest_c
            self._lowest_c = facts.lead_c if low is None else min(low, facts.lead_c)
        cues = []
        for key in CueKey:
            words = self._words(key, facts)
            if words:
                self._called[key.value, facts.visit] = facts.at_s
                cues.append(
                    Cue(
                        key=key,
                        title=CUE_TITLES[key],
                        words=words,
                        visit=facts.visit,
                        at_s=facts.at_s,
                    )
                )
        return tuple(cues)

    def _words(self, key: CueKey, facts: CueFacts) -> str:
        """Its words, or none where it is not to be called."""
        if (key.value, facts.visit) in self._called:
            return ""
        if key in _OF_THE_HEAT:
            return self._of_the_heat(key, facts)
        if key is CueKey.TURN_DOWN:
            return self._turn_down(facts)
        return _of_the_step(key, facts)

    def _of_the_heat(self, key: CueKey, facts: CueFacts) -> str:
        lead_c, target_c = facts.lead_c, facts.target_c
        if facts.phase != "hot" or facts.step_key not in _WARMING or lead_c is None:
            return ""
        reached = {
            CueKey.EARLY: facts.early_c <= lead_c < target_c,
            CueKey.NEARLY: self._is_nearly(facts, lead_c),
            CueKey.TARGET: lead_c >= target_c,
        }[key]
        if not reached or not self._may_call(key, facts):
            return ""
        now, target = (temperature_text(one, facts.show) for one in (lead_c, target_c))
        if key is CueKey.EARLY:
            return f"{now}: hands ready, target {target}"
        if key is CueKey.TARGET:
            return now + (f": {facts.next_title.lower()} next" if facts.next_title else "")
        if facts.to_target_s is None:
            return f"{now}: nearly {target}"
        return f"{now}: {target} in about {time_text(facts.to_target_s)}"

    def _is_nearly(self, facts: CueFacts, lead_c: float) -> bool:
        """Close before the target, after the early call and not in one breath with it."""
        early_s = self._called.get((CueKey.EARLY.value, facts.visit))
        if early_s is not None and facts.at_s - early_s < _APART_S:
            return False
        near = lead_c >= facts.target_c - NEARLY_K
        if facts.to_target_s is not None:
            near = facts.to_target_s <= NEARLY_S
        return near and facts.early_c <= lead_c < facts.target_c

    def _may_call(self, key: CueKey, facts: CueFacts) -> bool:
        """Neither it nor the target was called in this heat, or this visit saw it well below."""
        if not any(self._in_this_heat(one, facts) for one in (key, CueKey.TARGET)):
            return True
        line = facts.early_c if key is CueKey.EARLY else facts.target_c
        return self._lowest_c is not None and self._lowest_c <= line - _WELL_BELOW_K

    def _in_this_heat(self, key: CueKey, facts: CueFacts) -> bool:
        since_s = facts.heat_since_s or 0.0
        return any(
            called == key.value and at_s >= since_s for (called, _), at_s in self._called.items()
        )

    def _turn_down(self, facts: CueFacts) -> str:
        """At the target on a dial that stands full; anywhere in the heat above its band."""
        lead_c = facts.lead_c
        if facts.phase != "hot" or not facts.heat_on or lead_c is None:
            return ""
        full = facts.share >= _FULL_SHARE
        # Until the hold is done the dial is marked full in both steps: one call will do.
        at_target = (
            facts.control == "dial"
            and full
            and facts.step_key in _WARMING
            and lead_c >= facts.target_c
            and not self._in_this_heat(CueKey.TURN_DOWN, facts)
        )
        if not at_target and lead_c <= facts.target_c + TURN_DOWN_K:
            return ""
        now, target = (temperature_text(one, facts.show) for one in (lead_c, facts.target_c))
        if facts.control != "dial":
            return f"{now}: set the {facts.control} lower, target {target}"
        if not full:
            return f"{now}: turn the dial down further, target {target}"
        share = facts.hold_fraction
        to = "" if share is None else f" to about {share:.0%} of full power"
        return f"{now}: turn the dial down{to}"


def _of_the_step(key: CueKey, facts: CueFacts) -> str:
    over = facts.ends_s is not None and facts.at_s >= facts.ends_s
    then = f"; next: {facts.next_title.lower()}" if facts.next_title else ""
    if key is CueKey.SOAK_OVER and over and facts.phase != "after":
        return f"{facts.step_title}: time is over{then}"
    if key is CueKey.REST_OVER and over and facts.phase == "after":
        return f"{facts.step_title}: time is over{then}"
    if key is CueKey.OVERDUE and facts.overdue_s is not None and facts.in_step_s >= facts.overdue_s:
        return f"{facts.step_title}: {time_text(facts.in_step_s)}, longer than usual"
    return ""
