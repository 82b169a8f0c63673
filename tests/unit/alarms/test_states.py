"""Each alarm's way through its states, by its line in the table."""

from dataclasses import replace
from itertools import pairwise

import pytest

from rimwright.errors import RunError
from rimwright.live.alarms import (
    DEFINITIONS,
    AlarmChange,
    AlarmKey,
    Alarms,
    AlarmState,
    Sounded,
    acknowledged,
    advanced,
    can_shelve,
    put_back,
    replayed,
    shelved,
    taken_out,
    unshelved,
)
from rimwright.live.watching import Condition

TOO_HOT, NO_READING, DOUBTFUL, ALONE, RECORDING = AlarmKey
ACTIVE, SEEN = AlarmState.ACTIVE_UNACKNOWLEDGED, AlarmState.ACTIVE_ACKNOWLEDGED
NORMAL, RETURNED = AlarmState.NORMAL, AlarmState.RETURNED_UNACKNOWLEDGED


def moved(alarms, key, true, *times_s, heat=True):
    """One cause held through some ticks; the log of them."""
    log = ()
    for at_s in times_s:
        cause = Condition(alarm=key, true=true, words=f"seen at {at_s:g}", probe=0)
        alarms, told = advanced(alarms, [cause], at_s, heat_on=heat)
        log += told
    return alarms, log


def active(key, at_s=10.0):
    return moved(Alarms(), key, True, at_s, at_s + 0.3)[0]


def state(alarms, key):
    return alarms.of(key).state


def test_the_table_is_the_short_list_with_its_delays_and_deadband():
    table = {
        key: (one.high, one.can_shelve, one.on_delay_s, one.off_delay_s, one.deadband_k, one.then)
        for key, one in DEFINITIONS.items()
    }
    assert table == {
        TOO_HOT: (True, False, 0.2, 5.0, 2.0, "latches"),
        NO_READING: (True, False, 0.0, 1.0, 0.0, "waits"),
        DOUBTFUL: (True, True, 0.0, 0.0, 0.0, "latches"),
        ALONE: (True, False, 0.0, 0.0, 0.0, "goes"),
        RECORDING: (False, True, 0.0, 0.0, 0.0, "waits"),
    }
    assert DEFINITIONS[TOO_HOT].again_s == 30.0
    assert all(one.action and one.title for one in DEFINITIONS.values())


def test_too_hot_waits_out_its_on_delay_and_a_moment_is_not_it():
    alarms, told = moved(Alarms(), TOO_HOT, True, 10.0, 10.1)
    assert told == ()
    alarms, told = moved(alarms, TOO_HOT, False, 10.15)
    alarms, told = moved(alarms, TOO_HOT, True, 10.2, 10.35)
    assert state(alarms, TOO_HOT) is NORMAL
    alarms, told = moved(alarms, TOO_HOT, True, 10.4)
    assert [type(one) for one in told] == [AlarmChange, Sounded]
    assert told[0].words == "seen at 10.4"
    assert (told[0].before, told[0].after, told[0].at_s) == (NORMAL, ACTIVE, 10.4)


def test_too_hot_latches_until_acknowledged():
    alarms, told = moved(active(TOO_HOT), TOO_HOT, False, 11.0, 16.0, 30.0)
    assert state(alarms, TOO_HOT) is ACTIVE
    assert alarms.sounding
    assert told == ()
    alarms, told = acknowledged(alarms, TOO_HOT, 31.0)
    assert state(alarms, TOO_HOT) is NORMAL
    assert told[0].reason == "acknowledged"


def test_too_hot_acknowledged_goes_after_its_off_delay():
    alarms, _ = acknowledged(active(TOO_HOT), TOO_HOT, 11.0)
    assert state(alarms, TOO_HOT) is SEEN
    assert not alarms.sounding
    alarms, _ = moved(alarms, TOO_HOT, False, 12.0, 16.9)
    assert state(alarms, TOO_HOT) is SEEN
    alarms, told = moved(alarms, TOO_HOT, False, 17.0)
    assert state(alarms, TOO_HOT) is NORMAL
    assert told[0].reason == "returned"


def test_too_hot_acknowledged_and_still_there_is_called_again_each_half_minute():
    alarms, calls = active(TOO_HOT), []
    for tick in range(2400):
        at_s = 11.0 + 0.05 * tick
        alarms, told = moved(alarms, TOO_HOT, True, at_s)
        calls += [one.at_s for one in told if isinstance(one, AlarmChange)]
        if alarms.of(TOO_HOT).state is ACTIVE:
            alarms, _ = acknowledged(alarms, TOO_HOT, at_s)
    assert calls == pytest.approx([41.0, 71.0, 101.0])
    assert alarms.of(TOO_HOT).since_s == pytest.approx(10.3)


def test_not_acknowledged_it_is_called_out_at_least_each_half_minute():
    alarms, calls = Alarms(), []
    for tick in range(4000):
        alarms, told = moved(alarms, NO_READING, True, 0.05 * tick)
        calls += [one.at_s for one in told if isinstance(one, Sounded)]
    assert calls[0] == 0.0
    gaps = [later - earlier for earlier, later in pairwise(calls)]
    print(f"longest silence of a high alarm: {max(gaps):.2f} s, limit 30 s")
    assert max(gaps) <= 30.0


def test_one_that_is_not_high_is_called_out_once():
    alarms, told = moved(Alarms(), RECORDING, True, *(float(second) for second in range(200)))
    assert [type(one) for one in told] == [AlarmChange, Sounded]
    assert not alarms.sounding
    assert alarms.shown[0].key is RECORDING


def test_no_reading_waits_silently_once_there_are_readings_for_a_second():
    alarms, _ = moved(active(NO_READING), NO_READING, False, 12.0, 12.9)
    assert state(alarms, NO_READING) is ACTIVE
    alarms, _ = moved(alarms, NO_READING, False, 13.0)
    assert state(alarms, NO_READING) is RETURNED
    assert not alarms.sounding
    assert alarms.shown[0].words  # what it was is still told
    alarms, _ = acknowledged(alarms, NO_READING, 14.0)
    assert state(alarms, NO_READING) is NORMAL


def test_returned_and_there_again_is_called_anew_and_must_be_gone_for_longer():
    alarms, _ = moved(active(NO_READING), NO_READING, False, 12.0, 13.0)
    alarms, told = moved(alarms, NO_READING, True, 14.0)
    assert [type(one) for one in told] == [AlarmChange, Sounded]
    alarms, _ = moved(alarms, NO_READING, False, 15.0, 16.9)
    assert state(alarms, NO_READING) is ACTIVE
    alarms, _ = moved(alarms, NO_READING, False, 17.0)
    assert state(alarms, NO_READING) is RETURNED
    # Ten minutes later it is a new one.
    alarms, _ = moved(alarms, NO_READING, True, 700.0)
    assert alarms.of(NO_READING).off_delay_s == 1.0


def test_left_alone_goes_with_the_tap():
    alarms, told = moved(active(ALONE), ALONE, False, 12.0)
    assert state(alarms, ALONE) is NORMAL
    assert told[0].reason == "returned"


def test_doubtful_stays_until_a_hand_has_acknowledged_it():
    alarms, _ = moved(active(DOUBTFUL), DOUBTFUL, False, 12.0, 60.0)
    assert state(alarms, DOUBTFUL) is ACTIVE
    alarms, _ = acknowledged(alarms, DOUBTFUL, 61.0)
    assert state(alarms, DOUBTFUL) is NORMAL


def test_a_shelf_lasts_as_long_as_was_said_and_then_it_is_called_at_once():
    alarms = active(RECORDING)
    assert can_shelve(alarms, RECORDING)
    alarms, told = shelved(alarms, RECORDING, 20.0, 120.0, "cleaning the disk")
    assert (told[0].until_s, told[0].reason) == (140.0, "cleaning the disk")
    assert not can_shelve(alarms, RECORDING)
    alarms, told = moved(alarms, RECORDING, True, 21.0, 139.9)
    assert state(alarms, RECORDING) is AlarmState.SHELVED
    assert alarms.shown
    alarms, told = moved(alarms, RECORDING, True, 140.0)
    assert [getattr(one, "after", None) for one in told] == [NORMAL, ACTIVE, None]


def test_unshelved_by_hand():
    alarms, _ = shelved(active(RECORDING), RECORDING, 20.0, 120.0)
    alarms, _ = unshelved(alarms, RECORDING, 30.0)
    alarms, told = moved(alarms, RECORDING, True, 30.05)
    assert told[0].after is ACTIVE


@pytest.mark.parametrize(
    ("heat", "act", "words"),
    [
        (False, lambda a: shelved(a, TOO_HOT, 9.0, 60.0), "'Too hot' to be put aside; expected an"),
        (False, lambda a: shelved(a, NO_READING, 9.0, 60.0), "'No reading' to be put aside"),
        (True, lambda a: shelved(a, DOUBTFUL, 9.0, 60.0), "while the heat is on.*tells of fire"),
        (False, lambda a: shelved(a, DOUBTFUL, 9.0, 301.0), "for 301 s; expected at most 5 min"),
        (False, lambda a: shelved(a, DOUBTFUL, 9.0, 0.0), "for 0 s"),
        (False, lambda a: taken_out(a, TOO_HOT, 9.0, "why not"), "'Too hot' to be taken out"),
        (True, lambda a: taken_out(a, NO_READING, 9.0, "broken"), "while the heat is on"),
        (False, lambda a: taken_out(a, RECORDING, 9.0, " "), "for no reason.*say why"),
        (False, lambda a: unshelved(a, RECORDING, 9.0), "not on the shelf"),
        (False, lambda a: put_back(a, RECORDING, 9.0), "not out of service"),
        (False, lambda a: acknowledged(a, RECORDING, 9.0), "does not stand.*another device"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(heat, act, words):
    alarms = replace(Alarms(), heat_on=heat)
    with pytest.raises(RunError, match=words) as refusal:
        act(alarms)
    assert "\n" not in str(refusal.value)


def test_twice_is_told():
    alarms, _ = taken_out(active(NO_READING), RECORDING, 9.0, "no disk today")
    with pytest.raises(RunError, match=r"out of service already.*put it back first"):
        taken_out(alarms, RECORDING, 9.0, "again")
    alarms, _ = acknowledged(alarms, NO_READING, 11.0)
    with pytest.raises(RunError, match=r"acknowledged already.*another device"):
        acknowledged(alarms, NO_READING, 11.1)


def test_heat_puts_every_high_alarm_back_and_calls_what_is_there():
    alarms, _ = taken_out(Alarms(), NO_READING, 9.0, "board at the mender's")
    alarms, told = moved(alarms, NO_READING, False, 10.0, heat=False)
    assert (told, state(alarms, NO_READING)) == ((), AlarmState.OUT_OF_SERVICE)
    assert alarms.of(NO_READING).reason == "board at the mender's"
    alarms, told = moved(alarms, NO_READING, True, 11.0, heat=True)
    assert [(one.before, one.after) for one in told[:2]] == [
        (AlarmState.OUT_OF_SERVICE, NORMAL),
        (NORMAL, ACTIVE),
    ]
    assert told[0].reason == "the heat is on"


def test_what_sounds_is_shown_before_what_does_not():
    alarms, _ = acknowledged(active(TOO_HOT), TOO_HOT, 11.0)
    alarms, _ = moved(alarms, DOUBTFUL, True, 12.0)
    alarms, _ = moved(alarms, RECORDING, True, 12.0)
    assert [one.key for one in alarms.shown] == [DOUBTFUL, RECORDING, TOO_HOT]


def test_words_are_kept_up_while_it_is_active():
    alarms, _ = moved(active(TOO_HOT), TOO_HOT, True, 12.0, 13.0)
    assert alarms.of(TOO_HOT).words == "seen at 13"


def test_after_a_restart_the_log_goes_on_where_it_was():
    alarms, first = moved(Alarms(), TOO_HOT, True, 10.0, 10.2)
    alarms, second = acknowledged(alarms, TOO_HOT, 12.0)
    again = replayed(first + second)
    assert state(again, TOO_HOT) is SEEN
    again, told = moved(again, TOO_HOT, True, 41.9, 42.0)
    assert told[0].reason == "acknowledged and still there"
