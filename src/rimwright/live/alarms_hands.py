"""What hands do with an alarm: acknowledge it, put it aside, out of service, and back."""

from __future__ import annotations

from dataclasses import replace

from rimwright.errors import RunError
from rimwright.live.alarms_state import (
    ACKNOWLEDGED,
    NORMAL,
    OUT,
    RETURNED,
    SHELVED,
    UNACKNOWLEDGED,
    Alarm,
    AlarmChange,
    Alarms,
    Told,
    after,
    change,
)
from rimwright.live.alarms_table import AlarmKey, AlarmState

#: The longest an alarm may be put aside. [s]
LONGEST_SHELF_S = 300.0
_STANDS: dict[AlarmState, str] = {
    NORMAL: "does not stand",
    ACKNOWLEDGED: "acknowledged already",
    SHELVED: "on the shelf",
    OUT: "out of service",
}


def acknowledged(alarms: Alarms, key: AlarmKey, at_s: float) -> tuple[Alarms, tuple[Told, ...]]:
    """Somebody has seen it: it falls silent; what has gone already is normal.

    Raises
    ------
    RunError
        If it is not waiting to be acknowledged.
    """
    alarm = alarms.of(key)
    if alarm.state is RETURNED or (alarm.state is UNACKNOWLEDGED and alarm.gone(at_s)):
        return _put(alarms, change(alarm, NORMAL, at_s, "acknowledged"))
    if alarm.state is UNACKNOWLEDGED:
        return _put(alarms, change(alarm, ACKNOWLEDGED, at_s, "acknowledged"))
    raise RunError(
        f"'{alarm.definition.title}' {_STANDS[alarm.state]}",
        "an alarm that waits to be acknowledged",
        "nothing: it may have been acknowledged on another device",
    )


def shelved(
    alarms: Alarms, key: AlarmKey, at_s: float, seconds: float, reason: str = ""
) -> tuple[Alarms, tuple[Told, ...]]:
    """Put it aside for up to five minutes. [s]

    Raises
    ------
    RunError
        If it is one that never is, a high one while the heat is on, or for too long.
    """
    alarm = alarms.of(key)
    title = alarm.definition.title
    if not 0.0 < seconds <= LONGEST_SHELF_S:
        raise RunError(
            f"'{title}' to be put aside for {seconds:g} s",
            f"at most {LONGEST_SHELF_S / 60.0:.0f} min",
            "put it aside for less, again if need be",
        )
    if not can_shelve(alarms, key):
        raise _refused(alarm, "put aside", alarm.definition.can_shelve)
    line = change(alarm, SHELVED, at_s, reason)
    return _put(alarms, replace(line, until_s=at_s + seconds))


def can_shelve(alarms: Alarms, key: AlarmKey) -> bool:
    """Whether it can be put aside now."""
    alarm = alarms.of(key)
    heat = alarm.definition.high and alarms.heat_on
    return alarm.definition.can_shelve and not heat and alarm.state not in (SHELVED, OUT)


def unshelved(alarms: Alarms, key: AlarmKey, at_s: float) -> tuple[Alarms, tuple[Told, ...]]:
    """Off the shelf; if its cause is there it is called out at once.

    Raises
    ------
    RunError
        If it is not on it.
    """
    return _back(alarms, key, at_s, SHELVED)


def taken_out(
    alarms: Alarms, key: AlarmKey, at_s: float, reason: str
) -> tuple[Alarms, tuple[Told, ...]]:
    """Out of service until put back, or until the heat is turned on for a high one.

    Raises
    ------
    RunError
        Without a reason, for one that never is, or a high one while the heat is on.
    """
    alarm = alarms.of(key)
    if not reason.strip():
        raise RunError(
            f"'{alarm.definition.title}' to be taken out of service for no reason",
            "a few words for the log",
            "say why",
        )
    heat = alarm.definition.high and alarms.heat_on
    if not alarm.definition.can_be_taken_out or heat or alarm.state is OUT:
        raise _refused(alarm, "taken out of service", alarm.definition.can_be_taken_out)
    return _put(alarms, change(alarm, OUT, at_s, reason.strip()))


def put_back(alarms: Alarms, key: AlarmKey, at_s: float) -> tuple[Alarms, tuple[Told, ...]]:
    """Into service again; if its cause is there it is called out at once.

    Raises
    ------
    RunError
        If it is in service.
    """
    return _back(alarms, key, at_s, OUT)


def _back(
    alarms: Alarms, key: AlarmKey, at_s: float, wanted: AlarmState
) -> tuple[Alarms, tuple[Told, ...]]:
    alarm = alarms.of(key)
    if alarm.state is not wanted:
        where = "on the shelf" if wanted is SHELVED else "out of service"
        raise RunError(
            f"'{alarm.definition.title}' not {where}",
            f"an alarm that is {where}",
            "nothing: it may have been put back on another device",
        )
    return _put(alarms, change(alarm, NORMAL, at_s, "put back"))


def _put(alarms: Alarms, line: AlarmChange) -> tuple[Alarms, tuple[Told, ...]]:
    every = tuple(after(one, line) if one.key == line.alarm else one for one in alarms.every)
    return replace(alarms, every=every), (line,)


def _refused(alarm: Alarm, what: str, ever: bool) -> RunError:
    title = alarm.definition.title
    if alarm.state in (SHELVED, OUT):
        return RunError(
            f"'{title}' to be {what}, and {_STANDS[alarm.state]} already",
            "an alarm in service",
            "put it back first",
        )
    if not ever:
        return RunError(f"'{title}' to be {what}", "an alarm that may be", "acknowledge it")
    return RunError(
        f"'{title}' to be {what} while the heat is on",
        "the heat off: it tells of fire",
        "acknowledge it, or turn the heat off first",
    )
