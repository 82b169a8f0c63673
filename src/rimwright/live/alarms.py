"""The alarms' states: a value, moved on by causes, by time and by hands.

After the states of IEC 62682 and ISA-18.2 (read about, not read). Nothing here makes a sound or
switches anything: it tells which alarms stand, what became of them, and when one is called out.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from rimwright.live.alarms_hands import (
    acknowledged,
    can_shelve,
    put_back,
    shelved,
    taken_out,
    unshelved,
)
from rimwright.live.alarms_state import (
    ACKNOWLEDGED,
    NORMAL,
    OUT,
    RETURNED,
    ROUNDING_S,
    SHELVED,
    UNACKNOWLEDGED,
    Alarm,
    AlarmChange,
    Alarms,
    Sounded,
    Told,
    after,
    change,
)
from rimwright.live.alarms_table import DEFINITIONS, AlarmKey, AlarmState, Definition
from rimwright.live.watching import Condition

__all__ = [
    "DEFINITIONS", "Alarm", "AlarmChange", "AlarmKey", "AlarmState", "Alarms", "Definition",
    "Sounded", "Told", "acknowledged", "advanced", "can_shelve", "put_back", "replayed",
    "shelved", "taken_out", "unshelved",
]  # fmt: skip

#: A high alarm that nobody acknowledged is called out again so often: a little under the half
#: minute, so that ticks that come late do not make it more. [s]
CALLED_EVERY_S = 29.0


def advanced(
    alarms: Alarms, conditions: Sequence[Condition], at_s: float, *, heat_on: bool = False
) -> tuple[Alarms, tuple[Told, ...]]:
    """The alarms a moment later, and what happened to them.

    Parameters
    ----------
    alarms : Alarms
    conditions : sequence of Condition
        The causes now; an alarm without one is left as it stands.
    at_s : float
        Now, in the run's time. [s]
    heat_on : bool
        Whether heat is marked on; turning it on puts every high alarm back into service.

    Examples
    --------
    >>> from rimwright.live.watching import Condition
    >>> cause = Condition(alarm=AlarmKey.NO_READING, true=True, words="nothing from the waist")
    >>> alarms, told = advanced(Alarms(), [cause], 12.0, heat_on=True)
    >>> alarms.shown[0].definition.title, alarms.sounding, len(told)
    ('No reading', True, 2)
    """
    by_key = {condition.alarm: condition for condition in conditions}
    every, told = [], []
    for alarm in alarms.every:
        now, said = _advanced_one(alarm, by_key.get(alarm.key), at_s, heat_on)
        every.append(now)
        told += said
    return Alarms(every=tuple(every), heat_on=heat_on), tuple(told)


def _advanced_one(
    alarm: Alarm, condition: Condition | None, at_s: float, heat_on: bool
) -> tuple[Alarm, list[Told]]:
    told: list[Told] = []
    if condition is not None:
        if not condition.true and alarm.state is NORMAL and alarm.true_since_s is None:
            return alarm, told
        alarm = _timed(alarm, condition, at_s)
    # Coming off the shelf and being active again may be one moment.
    for _ in range(2):
        line = _next(alarm, condition, at_s, heat_on)
        if line is None:
            break
        alarm = after(alarm, line)
        told.append(line)
    first = alarm.sounded_s is None
    again = alarm.definition.high and at_s - (alarm.sounded_s or 0.0) >= CALLED_EVERY_S
    if alarm.state is UNACKNOWLEDGED and (first or again):
        called = Sounded(alarm=alarm.key, at_s=at_s)
        alarm = after(alarm, called)
        told.append(called)
    return alarm, told


def _timed(alarm: Alarm, condition: Condition, at_s: float) -> Alarm:
    """How long the cause has been there or gone, and the words as they are now."""
    if not condition.true:
        if alarm.false_since_s is None:
            return replace(alarm, true_since_s=None, false_since_s=at_s)
        return alarm
    since_s = at_s if alarm.true_since_s is None else alarm.true_since_s
    if not alarm.active:
        return replace(alarm, true_since_s=since_s, false_since_s=None)
    return replace(
        alarm,
        true_since_s=since_s,
        false_since_s=None,
        words=condition.words,
        probe=condition.probe,
    )


def _next(
    alarm: Alarm, condition: Condition | None, at_s: float, heat_on: bool
) -> AlarmChange | None:
    """The next state by itself, if there is one now."""
    definition, state = alarm.definition, alarm.state
    if state in (SHELVED, OUT):
        return _off_the_shelf(alarm, at_s, heat_on)
    if state in (NORMAL, RETURNED):
        there_s = None if alarm.true_since_s is None else at_s - alarm.true_since_s
        if condition is None or there_s is None or there_s < definition.on_delay_s - ROUNDING_S:
            return None
        line = change(alarm, UNACKNOWLEDGED, at_s)
        return replace(line, words=condition.words, probe=condition.probe)
    after_s = definition.again_s
    again = (
        state is ACKNOWLEDGED
        and after_s is not None
        and at_s - alarm.state_since_s >= after_s - ROUNDING_S
    )
    if alarm.gone(at_s) and (state is ACKNOWLEDGED or definition.then != "latches"):
        waits = state is UNACKNOWLEDGED and definition.then == "waits"
        return change(alarm, RETURNED if waits else NORMAL, at_s, "returned")
    if again and alarm.true_since_s is not None:
        return change(alarm, UNACKNOWLEDGED, at_s, "acknowledged and still there")
    return None


def _off_the_shelf(alarm: Alarm, at_s: float, heat_on: bool) -> AlarmChange | None:
    if alarm.definition.high and heat_on:
        return change(alarm, NORMAL, at_s, "the heat is on")
    if alarm.state is SHELVED and (alarm.until_s is None or at_s >= alarm.until_s):
        return change(alarm, NORMAL, at_s, "its time on the shelf is over")
    return None


def replayed(log: Iterable[Told]) -> Alarms:
    """The alarms after all that the log tells; delays that were running begin anew.

    Examples
    --------
    >>> from rimwright.live.watching import Condition
    >>> cause = Condition(alarm=AlarmKey.TOO_HOT, true=True, words="183 °C at the waist")
    >>> alarms, first = advanced(Alarms(), [cause], 300.0)
    >>> alarms, told = advanced(alarms, [cause], 300.2)
    >>> replayed(first + told).of(AlarmKey.TOO_HOT).state.value
    'active_unacknowledged'
    """
    every = {alarm.key: alarm for alarm in Alarms().every}
    for told in log:
        every[told.alarm] = after(every[told.alarm], told)
    return Alarms(every=tuple(every.values()))
