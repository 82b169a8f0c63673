"""A forecast that the readings leave says so, and never that all is as expected."""

import pytest

from counts import times
from heats_followed import Shop, heated_plan
from rimwright.live import forecast_words as words

PLAN = heated_plan()


def said(seen, sentence):
    return [told.at_s for told in seen if sentence in told.words]


def test_a_blanket_that_stays_cold_is_never_as_expected():
    for seed in range(times(3)):
        shop = Shop(PLAN, 800 + seed, truth={"power_share": 1e-3})
        seen = list(shop.looks(90.0))
        astray_s, slow_s = said(seen, words.ASTRAY), said(seen, words.SLOW)
        print(f"a cold blanket: astray after {min(astray_s):.0f} s, slow after {min(slow_s):.0f} s")
        # The first half minute hardly warms a probe behind its lag, good blanket or none.
        assert min(astray_s) <= 32.0
        assert min(slow_s) <= 48.0
        assert max(said(seen, words.AS_EXPECTED), default=0.0) < min(astray_s)
        assert words.NEVER in seen[-1].words


@pytest.mark.parametrize(("school", "watts_in2"), [("misted", 5.0), ("nearly_dry", 10.0)])
def test_a_good_run_is_never_astray(school, watts_in2):
    plan = heated_plan(school, watts_in2)
    for seed in range(times(4)):
        shop = Shop(plan, 820 + seed, noise_k=1.0)
        seen = list(shop.looks(shop.reaches_s(plan.target_c) - 1.0))
        assert not said(seen, words.ASTRAY)
        assert said(seen, words.AS_EXPECTED)


def test_a_probe_pushed_aside_for_a_while_is_astray_until_it_is_back():
    def aside(at_s, celsius):
        return celsius - 25.0 if 50.0 <= at_s < 75.0 else celsius

    plan = heated_plan("nearly_dry")
    shop = Shop(plan, 830, meddled=aside)
    seen = list(shop.looks(shop.reaches_s(plan.target_c) - 1.0))
    wrong = [told.at_s for told in seen if 58.0 <= told.at_s < 75.0]
    assert len(wrong) >= 4
    assert not set(said(seen, words.AS_EXPECTED)) & set(wrong)
    assert seen[-1].words == (words.AS_EXPECTED,)
