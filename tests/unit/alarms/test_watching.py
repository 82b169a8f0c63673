"""What the watch tells beside alarms: rate, time to the limit, heat nobody marked, words."""

import random
import re

import pytest

from rimwright.live import alarms_table, watching_words
from rimwright.live.alarms import AlarmKey
from rimwright.live.judging import HeatContext
from rimwright.live.readings import FAULT_WORDS, Fault, Sample
from rimwright.live.watching import Watch
from rimwright.live.watching_trend import Trend
from watched import Watched, heat_on

ON = heat_on(0.0)
OFF = HeatContext(on=False)


def watch_of(curve, seconds, *, heat=ON, noise_k=0.0, seed=1):
    """A watch that has seen a curve, ten readings a second; and the last time."""
    watch, dice, at_s = Watch(["waist"]), random.Random(seed), 0.0
    for tenth in range(int(10 * seconds) + 1):
        at_s = 0.1 * tenth
        celsius = curve(at_s) + dice.gauss(0.0, noise_k)
        watch.take(Sample(seq=tenth + 1, at_s=at_s, probe=0, celsius=celsius), heat)
    return watch, at_s


@pytest.mark.parametrize(("noise_k", "allowed_k_s"), [(0.0, 1e-9), (1.0, 0.3), (2.0, 0.6)])
def test_the_rate_is_robust_to_noise(noise_k, allowed_k_s):
    worst = 0.0
    for seed in range(50):
        watch, at_s = watch_of(lambda t: 60.0 + 0.9 * t, 20.0, noise_k=noise_k, seed=seed)
        worst = max(worst, abs(watch.rate_k_s(at_s) - 0.9))
    print(f"rate with noise of {noise_k} K: off by {worst:.3f} K/s at most, limit {allowed_k_s}")
    assert worst <= allowed_k_s


def test_a_trend_stays_exact_over_a_night():
    trend = Trend()
    for second in range(0, 90_000, 1):
        trend.add(1e5 + second, 20.0 + 1e-4 * second)
    assert trend.rate_k_s() == pytest.approx(1e-4, rel=1e-3)
    assert trend.level_c() == pytest.approx(20.0 + 1e-4 * 89_999, abs=1e-6)


def test_few_readings_have_no_rate():
    watch, at_s = watch_of(lambda t: 60.0 + t, 2.0)
    assert watch.rate_k_s(at_s) is None
    assert watch.to_limit_s(at_s, ON) is None
    assert watch.lead(at_s) == (0, pytest.approx(62.0))


def test_seconds_to_the_limit_at_the_present_rate():
    watch, at_s = watch_of(lambda t: 100.0 + 2.0 * t, 10.0)
    assert watch.to_limit_s(at_s, ON) == pytest.approx(30.0)
    flat, at_s = watch_of(lambda t: 100.0, 10.0)
    assert flat.to_limit_s(at_s, ON) is None
    slow, at_s = watch_of(lambda t: 100.0 + 0.1 * t, 10.0)
    assert slow.to_limit_s(at_s, ON) is None  # more than ten minutes off
    over, at_s = watch_of(lambda t: 185.0, 10.0)
    assert over.to_limit_s(at_s, ON) == 0.0


def test_a_fast_climb_is_told_before_it_is_there_in_the_maker_s_degrees():
    watch, at_s = watch_of(lambda t: 140.0 + 2.0 * t, 12.0)
    metric, inch = (
        watch.conditions(at_s, ON, present_s=0.0, show=show)[0].words for show in ("metric", "inch")
    )
    assert metric == "164 °C at the waist, rising 2.0 °C a second: at the limit of 180 °C in 8 s"
    assert inch == "327 °F at the waist, rising 4 °F a second: at the limit of 356 °F in 8 s"


def test_the_limit_counts_with_the_heat_marked_off():
    watch, at_s = watch_of(lambda t: 181.0, 2.0, heat=OFF)
    assert [one.true for one in watch.conditions(at_s, OFF, present_s=0.0)] == [
        True, False, False, False, False,
    ]  # fmt: skip


def test_left_alone_counts_from_the_last_tap_or_the_heat():
    watch, _ = watch_of(lambda t: 100.0, 1.0)

    def alone(at_s, since_s, present_s):
        condition = watch.conditions(at_s, heat_on(since_s), present_s=present_s)[3]
        assert condition.alarm is AlarmKey.LEFT_ALONE
        return condition.true

    assert not alone(699.0, 100.0, 0.0)
    assert alone(700.0, 100.0, 0.0)
    assert not alone(700.0, 100.0, 101.0)
    assert not watch.conditions(7000.0, OFF, present_s=0.0)[3].true


def test_not_recording_tells_the_journal_s_words():
    watch = Watch(["waist"])
    condition = watch.conditions(
        1.0, OFF, present_s=0.0, recording_ok=False, recording_words="the disk is full"
    )[4]
    assert (condition.true, condition.words) == (True, "the disk is full")
    assert watch.conditions(1.0, OFF, present_s=0.0, recording_ok=False)[4].words


@pytest.mark.parametrize(
    ("what", "curve", "seen_by_s"),
    [
        ("a usual blanket", lambda t: 21.0 + 0.9 * max(t - 10.0, 0.0), 26.0),
        ("a strong one", lambda t: 21.0 + 2.0 * max(t - 10.0, 0.0), 25.0),
        ("a weak one", lambda t: 21.0 + 0.4 * max(t - 10.0, 0.0), 40.0),
        ("a cold room", lambda t: 15.0, None),
        ("a room that warms", lambda t: 15.0 + 0.01 * t, None),
        ("a hand on the probe", lambda t: 33.0 - 12.0 * 2.718 ** (-max(t - 10.0, 0.0) / 5.0), None),
        (
            "a probe put into a warm stack",
            lambda t: 60.0 - 39.0 * 2.718 ** (-max(t - 10.0, 0.0) / 4.0),
            None,
        ),
        ("a stack that cools", lambda t: 110.0 - 0.4 * t, None),
    ],
)
def test_heat_that_nobody_marked_is_seen(what, curve, seen_by_s):
    run = Watched(heat=OFF)
    dice, seen_s = random.Random(5), None
    for tenth in range(1200):
        at_s = 0.1 * tenth
        run.hear(at_s, curve(at_s) + dice.gauss(0.0, 0.3))
        if seen_s is None and run.watch.heat_seen(at_s):
            seen_s = at_s
    print(f"{what}: seen at {seen_s} s, limit {seen_by_s}")
    assert (seen_s is None) is (seen_by_s is None)
    if seen_s is not None:
        assert 10.0 < seen_s <= seen_by_s


def test_a_level_with_its_noise_taken_out_leads_the_cues():
    watch, at_s = watch_of(lambda t: 80.0 + t, 20.0, noise_k=1.0)
    assert watch.level_c(at_s) == pytest.approx(100.0, abs=1.0)
    assert watch.level_c(at_s + 3.0) is None


def test_a_fault_of_the_link_blanks_the_figure_at_once():
    run = Watched(heat=OFF)
    for tenth in range(20):
        run.hear(0.1 * tenth, 50.0 + 0.1 * tenth)
    run.hear(2.0, None, fault=Fault.OPEN)
    assert run.watch.probe_now(0, 2.0) == (None, Fault.OPEN, FAULT_WORDS[Fault.OPEN], 2.0)
    assert run.watch.lead(2.0) is None


def test_no_words_claim_that_anything_is_made_safe():
    """It watches: what it says asks for an act and promises none."""
    said = [f"{one.title}. {one.action}" for one in alarms_table.DEFINITIONS.values()]
    said += [value for value in vars(watching_words).values() if isinstance(value, str)]
    said += [
        watching_words.over_limit("waist", 181.0, 180.0, "metric"),
        watching_words.near_limit("waist", 179.0, 180.0, "metric"),
        watching_words.last_hot("waist", 181.0, "metric"),
        *(watching_words.trouble_words(one, "waist", 60.0, 110.0, "metric")
          for one in ("not rising", "fallen")),
    ]  # fmt: skip
    assert len(said) > 10
    for words in said:
        assert not re.search(r"\bsafe|protect|emergency|guard|shut ?down|cut.?off", words, re.I)
