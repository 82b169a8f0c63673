"""Readings that climb over the limit, noisy, late and with holes: too hot is never missed."""

import random

import pytest

from counts import SOAK
from rimwright.live.alarms import AlarmKey, AlarmState, acknowledged
from rimwright.live.judging import HeatContext
from watched import Watched, heat_on

LIMIT_C = 180.0
#: What is asked: seconds from the crossing to the alarm, and the peak over the limit.
LATEST_S, PEAK_OVER_K = 0.5, 4.0
TICK_S = 0.05
HEAT_OFF = HeatContext(on=False, limit_c=LIMIT_C)


def climb(ramp_k_s, below_k, hold_s):
    """A hold so far below the limit, then the climb: temperature by time, and its length. [s]"""

    def true_c(at_s):
        return LIMIT_C - below_k + ramp_k_s * max(at_s - hold_s, 0.0)

    return true_c, hold_s + below_k / ramp_k_s + 5.0


def deliveries(dice, true_c, length_s, noise_k, jitter_s, lost=0.05):
    """Readings ten a second, each late by up to `jitter_s`, one in twenty lost.

    A reading is what the board measured at its moment; it arrives later, and a link keeps the
    order of what it carries. Each is its arrival, its value, and what was true when measured.
    """
    newest = 0.0
    for tenth in range(int(10 * length_s)):
        at_s = 0.1 * tenth
        if dice.random() < lost:
            continue
        newest = max(newest, at_s + dice.uniform(0.0, jitter_s))
        yield newest, true_c(at_s) + dice.gauss(0.0, noise_k), true_c(at_s)


def crossed_and_alarmed(seed, readings, *, marked=True):
    """Crossing of the reading, the alarm's time, and the highest reading before it."""
    run = Watched(heat=heat_on(limit_c=LIMIT_C, target_c=160.0) if marked else HEAT_OFF, keep=False)
    now, peak, over_s = random.Random(seed).uniform(0.0, TICK_S), -273.0, None
    for at_s, celsius, true_c in readings:
        while now < at_s:
            run.tick(now)
            now += TICK_S
        alarm_s = run.first(AlarmKey.TOO_HOT)
        if over_s is None and true_c >= LIMIT_C:
            over_s = at_s
        if alarm_s is not None and over_s is not None:
            break
        sample = run.hear(at_s, celsius)
        if alarm_s is None and sample.celsius is not None:
            peak = max(peak, sample.celsius)
    return over_s, run.first(AlarmKey.TOO_HOT), peak


def told(what, runs, results):
    """The figures beside their limits; what was missed, how late, how high."""
    missed = [one for one in results if one[1] is None]
    late = [alarm_s - over_s for over_s, alarm_s, _ in results if alarm_s is not None]
    peaks = [peak - LIMIT_C for _, alarm_s, peak in results if alarm_s is not None]
    print(
        f"{runs} {what}: missed {len(missed)}, limit 0; latest alarm {max(late):+.2f} s from the "
        f"crossing, limit {LATEST_S:+} s (earliest {min(late):+.1f} s); highest reading before it "
        f"{max(peaks):+.1f} K from the limit, limit {PEAK_OVER_K:+} K"
    )
    return missed, max(late), max(peaks)


def steady(dice):
    """A steady climb from far below, as a blanket left at full power makes it."""
    ramp = dice.uniform(0.2, 3.0)
    true_c, length_s = climb(ramp, max(25.0 * ramp, 8.0), 0.0)
    return deliveries(dice, true_c, length_s, dice.uniform(0.0, 2.0), dice.uniform(0.0, 0.3))


def sudden(dice):
    """A hold 4 to 12 K under the limit that takes off: no rate can be known before."""
    true_c, length_s = climb(dice.uniform(0.2, 3.0), dice.uniform(4.0, 12.0), 20.0)
    return deliveries(dice, true_c, length_s, dice.uniform(0.0, 0.3), dice.uniform(0.0, 0.3))


@pytest.mark.parametrize(
    ("what", "made"),
    [
        ("climbs of 0.2 to 3 K/s, noise to 2 K, to 0.3 s late, 5 % lost", steady),
        ("holds just under the limit that take off at 0.2 to 3 K/s", sudden),
    ],
)
def test_a_climb_over_the_limit_is_called_within_half_a_second(what, made):
    runs = 1000 if SOAK else 200
    # One in five is watched with the heat marked off: the limit counts all the same.
    results = [
        crossed_and_alarmed(seed, made(random.Random(f"{what}{seed}")), marked=seed % 5 != 0)
        for seed in range(runs)
    ]
    missed, latest, peak = told(what, runs, results)
    assert not missed
    assert latest <= LATEST_S
    assert peak <= PEAK_OVER_K


def test_a_probe_that_comes_back_over_the_limit_is_called_at_once():
    """After a gap there is no rate: two readings are enough."""
    run = Watched(heat=heat_on(limit_c=LIMIT_C))
    for tenth in range(100):
        run.hear(0.1 * tenth, 150.0)
        run.tick(0.1 * tenth)
    for tenth in range(20):
        run.hear(30.0 + 0.1 * tenth, 185.0 + 0.1 * (tenth % 3))
        run.tick(30.0 + 0.1 * tenth)
    late = run.first(AlarmKey.TOO_HOT) - 30.0
    print(f"back over the limit after a gap: alarm after {late:.2f} s, limit {LATEST_S} s")
    assert late <= LATEST_S


def test_one_reading_over_the_limit_is_not_too_hot():
    run = Watched(heat=heat_on(limit_c=LIMIT_C))
    for tenth in range(200):
        run.hear(0.1 * tenth, 184.0 if tenth == 150 else 175.0)
        run.tick(0.1 * tenth)
    assert run.first(AlarmKey.TOO_HOT) is None


def test_hot_and_then_silent_stays_too_hot_while_the_heat_is_marked_on():
    run = Watched(heat=heat_on(limit_c=LIMIT_C))
    for tenth in range(100):
        run.hear(0.1 * tenth, 182.0)
        run.tick(0.1 * tenth)
    run.alarms, _ = acknowledged(run.alarms, AlarmKey.TOO_HOT, 10.0)
    for tenth in range(100, 600):
        run.tick(0.1 * tenth)
    alarm = run.alarms.of(AlarmKey.TOO_HOT)
    assert alarm.state is AlarmState.ACTIVE_UNACKNOWLEDGED  # called again after half a minute
    assert "when it was last heard" in alarm.words
    run.alarms, _ = acknowledged(run.alarms, AlarmKey.TOO_HOT, 60.0)
    run.heat = HEAT_OFF
    for tenth in range(600, 700):
        run.tick(0.1 * tenth)
    assert run.alarms.of(AlarmKey.TOO_HOT).state is AlarmState.NORMAL


def test_a_step_over_the_limit_is_called_before_any_line_through_it_could_tell():
    """From 169 to 181 °C between two readings: less than a jump, and at once over the limit."""
    run = Watched(heat=heat_on(limit_c=LIMIT_C))
    for tick in range(500):
        at_s = TICK_S * tick
        if tick % 2 == 0:
            run.hear(at_s, (169.0 if at_s < 20.0 else 181.0) + 0.01 * (tick % 4))
        run.tick(at_s)
    late = run.first(AlarmKey.TOO_HOT) - 20.0
    print(f"a step over the limit: alarm after {late:.2f} s, limit {LATEST_S} s")
    assert late <= LATEST_S
