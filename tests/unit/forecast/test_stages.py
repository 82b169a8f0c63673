"""The forecast through the stages of a run: before, too early, climbing, held, cooling, again."""

import threading

import numpy as np
import pytest

from heats_followed import Shop, heated_plan
from rimwright.live import forecast_words as words
from rimwright.live.forecast import Forecaster
from rimwright.live.forecast_model import RunHeat
from rimwright.live.forecast_readings import FIT_UNTIL_S
from rimwright.live.run_plan import Ranged

PLAN = heated_plan()


def in_order(told):
    return told.low <= told.middle <= told.high


def test_before_the_heat_the_times_are_those_of_the_plan():
    told = Forecaster(PLAN).forecast(0.0)
    assert told.to_target_s == PLAN.predicted.to_target_s
    assert told.hold_fraction == PLAN.predicted.hold_fraction
    assert (told.settled, told.fit, told.words) == (0.0, None, ())


def test_before_there_are_readings_the_plan_counts_down_and_says_so():
    shop = Shop(PLAN, 1)
    told = shop.forecast(10.0)
    assert told.words == (words.EARLY_DAYS,)
    assert told.to_target_s.middle == pytest.approx(PLAN.predicted.to_target_s.middle - 10.0)
    assert told.fit is None


def test_the_climb_settles_and_ends_where_the_probe_does():
    shop = Shop(PLAN, 3)
    target_s, early_s = shop.reaches_s(110.0), shop.reaches_s(100.0)
    seen = list(shop.looks(target_s + 8.0))
    settled = [told.settled for told in seen]
    # Not a step back worth seeing.
    assert min(np.diff(settled)) > -0.05
    assert settled[-1] > 0.8
    for told in seen:
        if told.to_target_s is not None:
            assert in_order(told.to_target_s)
        if told.at_s > early_s + 6.0:
            assert told.to_early_s is None
        elif told.at_s < early_s - 1.0:
            assert told.to_early_s.middle < told.to_target_s.middle
    last = [told for told in seen if told.to_target_s is not None][-1]
    assert last.at_s + last.to_target_s.middle == pytest.approx(target_s, abs=2.5)
    assert seen[-1].to_target_s is None
    assert seen[-2].words in ((words.AS_EXPECTED,), ())


def test_ranges_never_leave_nothing_behind_now():
    shop = Shop(PLAN, 4)
    for told in shop.looks(shop.reaches_s(110.0)):
        for time in (told.to_early_s, told.to_target_s):
            assert time is None or time.low >= 0.0


def test_turned_down_it_tells_where_the_probe_goes_and_which_way_to_turn():
    held = []
    for share, way in ((0.75, "turn down"), (0.1, "turn up")):
        shop = Shop(PLAN, 5)
        target_s = shop.reaches_s(110.0)
        shop.forecast(target_s - 20.0)
        shop.to_s(target_s)
        shop.power(target_s, share)
        *_, told = shop.looks(target_s + 50.0)
        there = shop.model.true_c(told.at_s + 180.0)
        assert told.settles_c.low <= there <= told.settles_c.high
        assert (told.settles_c.middle > 110.0) == (way == "turn down")
        assert way in told.words[0]
        assert told.to_target_s is None
        held.append(told.hold_fraction.middle)
    assert held[0] == pytest.approx(held[1], abs=0.05)


def test_the_power_it_names_holds():
    shop = Shop(PLAN, 6)
    target_s = shop.reaches_s(110.0)
    told = shop.forecast(target_s - 5.0)
    shop.to_s(target_s)
    shop.power(target_s, told.hold_fraction.middle)
    kept = [shop.model.true_c(target_s + seconds) for seconds in (60.0, 120.0, 180.0, 240.0)]
    print(f"held by the forecast's share: {min(kept):.1f} to {max(kept):.1f} °C, target 110 °C")
    assert max(abs(one - 110.0) for one in kept) < 8.0
    assert shop.forecast(target_s + 120.0).words[0].startswith("At this power the probe")


def test_a_dial_that_gives_more_than_its_mark_is_found_out():
    # Marked 40 %, the blanket really has half of its power.
    shop = Shop(PLAN, 7)
    target_s = shop.reaches_s(110.0)
    shop.to_s(target_s)
    shop.model.power(target_s, 0.50)
    shop.forecaster.power(target_s, 0.40)
    *_, told = shop.looks(target_s + 100.0)
    there = shop.model.true_c(told.at_s + 180.0)
    assert told.settles_c.low <= there <= told.settles_c.high
    before, truth = told.fit.power_share, shop.model._case.values.power_share
    assert before.low <= truth <= before.high


def test_cooling_is_no_forecast_but_teaches():
    shop = Shop(PLAN, 8)
    target_s = shop.reaches_s(110.0)
    before = shop.forecast(target_s).fit
    shop.power(target_s, 0.0)
    told = shop.forecast(target_s + 150.0)
    assert told.to_target_s is told.settles_c is told.hold_fraction is None
    assert told.words == ()
    wide = before.loss_share.high / before.loss_share.low
    assert told.fit.loss_share.high / told.fit.loss_share.low < 0.9 * wide


def test_a_second_heat_is_a_climb_again():
    shop = Shop(PLAN, 9)
    target_s = shop.reaches_s(110.0)
    shop.forecast(target_s + 6.0)
    shop.power(target_s + 10.0, 0.0)
    shop.forecast(target_s + 60.0)
    again_s = target_s + 240.0
    shop.to_s(again_s)
    shop.power(again_s, 1.0)
    told = shop.forecast(again_s + 16.0)
    true_s = next(s for s in np.arange(0.0, 200.0, 0.5) if shop.model.true_c(again_s + s) >= 110.0)
    assert told.to_target_s.low <= true_s - 16.0 <= told.to_target_s.high


def test_a_stack_still_warm_from_the_bend_before_is_no_fast_rise():
    plan = heated_plan()
    shop = Shop(plan, 10, start_c=55.0)
    early = shop.forecast(8.0)
    assert early.to_target_s.middle < 0.8 * plan.predicted.to_target_s.middle
    seen = list(shop.looks(shop.reaches_s(110.0) - 2.0))
    assert not any(told.fast or told.slow for told in seen)
    true_s = shop.reaches_s(110.0)
    assert abs(seen[-3].at_s + seen[-3].to_target_s.middle - true_s) < 4.0


def test_behind_a_controller_the_fit_ends_near_the_target():
    shop = Shop(heated_plan(control="controller"), 11)
    target_s = shop.reaches_s(110.0)
    seen = list(shop.looks(target_s + 60.0))
    assert seen[-1].settles_c is None
    assert seen[-1].words == ()
    assert seen[-1].fit.time_s[-1] < target_s
    assert seen[-1].fit.points == seen[-6].fit.points


def test_an_hour_costs_no_more_than_a_minute(monkeypatch):
    count = {"solved": 0}
    solve = RunHeat.course

    def counted(*given):
        count["solved"] += 1
        return solve(*given)

    shop = Shop(PLAN, 12, every_s=1.0)
    target_s = shop.reaches_s(110.0)
    shop.to_s(target_s)
    shop.power(target_s, 0.4)
    monkeypatch.setattr(RunHeat, "course", counted)

    def courses(at_s):
        shop.forecast(at_s - 4.0)
        count["solved"] = 0
        told = shop.forecast(at_s)
        return count["solved"], told

    minute, _ = courses(target_s + 60.0)
    late, told = courses(3600.0)
    print(f"courses solved for a forecast: {minute} after a minute, {late} after an hour")
    assert late <= 2 < minute < 60
    assert told.settles_c.low <= shop.model.true_c(3780.0) <= told.settles_c.high
    assert told.fit.time_s[-1] <= FIT_UNTIL_S
    assert len(shop.forecaster._readings._kept) <= FIT_UNTIL_S / 5.0 + 1


def test_it_may_be_fed_from_another_thread():
    shop = Shop(PLAN, 13)
    feeding = threading.Thread(target=shop.to_s, args=(90.0,))
    feeding.start()
    while feeding.is_alive():
        shop.forecaster.forecast(20.0)
    feeding.join(5.0)
    alone = Shop(PLAN, 13)
    assert shop.forecast(90.0).to_target_s.middle == pytest.approx(
        alone.forecast(90.0).to_target_s.middle, abs=1.0
    )


def test_the_power_is_kept_as_it_was_given():
    follower = Forecaster(PLAN)
    follower.power(0.2, 1.0)
    follower.power(130.0, 0.4)
    follower.power(140.0, 0.4)
    follower.power(150.0, 1.7)
    assert follower._schedule == ((0.0, 1.0), (130.0, 0.4), (150.0, 1.0))
    follower.powers(((0.0, 1.0), (128.0, 0.5)))
    assert follower._schedule == ((0.0, 1.0), (128.0, 0.5))


@pytest.mark.parametrize(
    ("turn", "way"),
    [(0.95, "down a little more"), (0.77, "by a quarter"), (0.65, "by a third"), (0.4, "a half")],
)
def test_the_turn_is_told_in_parts(turn, way):
    over = Ranged(middle=130.0, low=125.0, high=135.0)
    assert words.settling(over, 110.0, turn, "metric", 180.0).endswith(f"{way}.")
    # Where the two disagree the dial is not told by how much.
    said = words.settling(over, 110.0, 2.0 - turn, "inch", 180.0)
    assert "266 °F in 3 min, 36 °F over: turn down a little more." in said


def test_what_is_unsure_is_no_advice():
    unsure = Ranged(middle=118.0, low=105.0, high=131.0)
    assert words.settling(unsure, 110.0, 0.7, "metric", 180.0).endswith("too early to be sure.")
    close = Ranged(middle=111.0, low=109.0, high=113.0)
    assert "within 3 °C of the target" in words.settling(close, 110.0, 0.9, "metric", 180.0)
