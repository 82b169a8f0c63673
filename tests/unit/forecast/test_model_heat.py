"""The blanket that is not there: its noise, the power it follows, a day of cooling, its faults."""

import math

import numpy as np
import pytest

import rimwright.live.probes.model_heat as model_heat
from counts import times
from heats_followed import heated_plan
from rimwright.errors import ProbeError
from rimwright.live.clock import HandClock
from rimwright.live.heat_of_run import heat_inputs
from rimwright.live.probes.model import RATE_HZ, ModelSource
from rimwright.live.probes.model_heat import NOISE_K, ModelHeat, PracticeFault
from rimwright.live.readings import Fault

INPUTS = heat_inputs(heated_plan())
ROOM_C = INPUTS.equipment.room_c
DAY_S = 86_400.0


def heated(seed=1, **given):
    model = ModelHeat(INPUTS, seed, **given)
    model.power(0.0, 1.0)
    return model


def test_readings_scatter_as_stated_and_not_to_one_side():
    model = heated()
    at_s = np.arange(times(2000)) / RATE_HZ
    off_k = np.array([model.heard(one).celsius - model.true_c(one) for one in at_s])
    print(f"scatter of one reading {off_k.std():.3f} K, stated {NOISE_K}; mean {off_k.mean():.4f}")
    # Of so many, the standard deviation is known within 1 in sqrt(2 n), the mean in sqrt(n).
    assert off_k.std() == pytest.approx(NOISE_K, rel=4.0 / math.sqrt(2 * at_s.size))
    assert abs(off_k.mean()) < 4.0 * NOISE_K / math.sqrt(at_s.size)
    # Neighbours know nothing of each other.
    assert abs(np.corrcoef(off_k[:-1], off_k[1:])[0, 1]) < 4.0 / math.sqrt(at_s.size)


def test_the_same_shop_reads_the_same_whenever_it_is_asked():
    at_s = [3.0, 40.2, 90.0, 12.1, 400.0]
    forth = heated(7)
    back = heated(7)
    assert [forth.heard(one) for one in at_s] == [back.heard(one) for one in at_s[::-1]][::-1]
    assert heated(8).heard(90.0) != back.heard(90.0)
    # Two probes at one place: one truth, and each its own noise.
    other = heated(7, probe=1)
    assert other.true_c(90.0) == back.true_c(90.0)
    assert other.heard(90.0) != back.heard(90.0)


def test_shops_differ_as_the_ranges_say():
    reach = sorted(heated(seed).true_c(100.0) for seed in range(times(20)))
    assert reach[-1] - reach[0] > 15.0
    middle = heated(1, truth={"power_share": 0.95})
    assert middle._case.values.power_share == 0.95


def test_it_follows_the_dial_and_the_plug():
    model = heated(noise_k=0.0)
    at_110_s = next(s for s in np.arange(60.0, 200.0) if model.true_c(s) >= 110.0)
    full = model.true_c(at_110_s + 60.0)
    model.power(at_110_s, 0.4)
    held = model.true_c(at_110_s + 60.0)
    assert full > held + 15.0
    assert abs(held - 110.0) < 15.0
    # What was before the dial was turned has not changed.
    assert model.true_c(at_110_s - 30.0) == pytest.approx(
        heated(noise_k=0.0).true_c(at_110_s - 30.0), abs=0.2
    )
    model.power(at_110_s + 60.0, 0.0)
    fell = [model.true_c(at_110_s + 60.0 + s) for s in (15.0, 60.0, 300.0, 1200.0)]
    assert all(a > b for a, b in zip([held, *fell], fell, strict=False))
    model.power(at_110_s + 1300.0, 1.0)
    assert model.true_c(at_110_s + 1360.0) > fell[-1] + 20.0


def test_it_cools_through_a_day_to_the_room_and_costs_nothing_there(monkeypatch):
    solved = []
    real = model_heat.solve
    monkeypatch.setattr(model_heat, "solve", lambda case: solved.append(case) or real(case))
    model = heated(noise_k=0.0)
    model.power(250.0, 0.0)
    rest = [model.heard(250.0 + s).celsius for s in np.arange(60.0, DAY_S + 1.0, 60.0)]
    assert max(np.diff(rest)) <= 0.011  # as rounded
    assert rest[29] < ROOM_C + 20.0
    assert rest[-1] == pytest.approx(ROOM_C, abs=0.3)
    print(f"a day of rest, {len(rest)} readings: {len(solved)} solved, limit 2")
    assert len(solved) <= 2


def test_before_the_heat_it_is_as_warm_as_the_room():
    model = ModelHeat(INPUTS, noise_k=0.0)
    model.power(10.0, 0.0)  # off is no beginning
    assert [model.heard(one).celsius for one in (-5.0, 0.0, 900.0)] == [ROOM_C] * 3
    model.power(1000.0, 1.0)
    assert model.heard(999.0).celsius == ROOM_C
    assert model.heard(1060.0).celsius > ROOM_C + 30.0


@pytest.mark.parametrize(
    ("kind", "fault"), [("wire opens", Fault.OPEN), ("is unplugged", Fault.UNPLUGGED)]
)
def test_a_broken_probe_never_reads_a_temperature_and_comes_back(kind, fault):
    model = heated(faults=(PracticeFault(kind=kind, at_s=50.0, until_s=60.0),))
    assert model.heard(49.9).fault is None
    for at_s in (50.0, 55.0, 59.9):
        heard = model.heard(at_s)
        assert (heard.celsius, heard.fault) == (None, fault)
        assert "practice" in heard.text
    assert model.heard(60.0).celsius == pytest.approx(model.true_c(60.0), abs=5 * NOISE_K)


def test_a_probe_that_slips_out_cools_and_one_that_hangs_stands_still():
    slipped = heated(faults=(PracticeFault(kind="slips out", at_s=80.0),), noise_k=0.0)
    there = slipped.heard(79.9).celsius
    assert slipped.heard(92.0).celsius - ROOM_C == pytest.approx(
        (there - ROOM_C) / math.e, rel=0.02
    )
    assert slipped.heard(300.0).celsius == pytest.approx(ROOM_C, abs=0.1)
    hung = heated(faults=(PracticeFault(kind="hangs", at_s=80.0),))
    assert len({hung.heard(at_s).celsius for at_s in np.arange(80.0, 120.0, 0.1)}) == 1


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"truth": {"powershare": 1.0}}, "powershare"),
        ({"faults": (PracticeFault(kind="melts", at_s=1.0),)}, "melts"),  # type: ignore[arg-type]
    ],
)
def test_what_a_model_does_not_have_is_refused(given, words):
    with pytest.raises(ProbeError, match=words):
        ModelHeat(INPUTS, **given)


def test_a_source_by_hand_reads_what_its_model_does():
    clock = HandClock(seconds=500.0)
    source = ModelSource(ModelHeat(INPUTS, 3), probe=2)
    source.start(lambda _raw: None, clock)
    try:
        source.heat(1.0)
        for at_s in (0.0, 12.3, 77.7):
            raw, heard = source.reading(at_s), source.model.heard(at_s)
            assert (raw.celsius, raw.fault, raw.heard) == (heard.celsius, heard.fault, heard.text)
            assert (raw.probe, raw.heard_at_s) == (2, 500.0 + at_s)
    finally:
        source.stop()


def test_a_source_tells_ten_readings_a_second_of_its_own_clock():
    told = []
    clock = HandClock(seconds=40.0)
    source = ModelSource(ModelHeat(INPUTS, 3))
    source.start(told.append, clock)
    try:
        source.heat(1.0)
        clock.advance(30.0)
        _wait_for(lambda: len(told) > 300)
        source.heat(0.0)
        clock.advance(DAY_S)  # the computer slept: a gap, and no day of readings
        _wait_for(lambda: told[-1].heard_at_s > 40.0 + DAY_S)
    finally:
        source.stop()
    heard_at = [one.heard_at_s for one in told]
    assert heard_at[:301] == pytest.approx(np.arange(301) / RATE_HZ + 40.0, abs=1e-6)
    assert len(told) < 310
    assert told[300].celsius > ROOM_C + 5.0
    assert told[-1].celsius == pytest.approx(ROOM_C, abs=5 * NOISE_K)


def _wait_for(done, limit_s=20.0):
    import time

    until = time.monotonic() + limit_s
    while not done():
        assert time.monotonic() < until, "the source fell silent"
        time.sleep(0.01)


def test_a_source_taken_up_after_a_restart_goes_on_with_the_heat_it_had():
    before = ModelHeat(INPUTS, 5)
    before.power(20.0, 1.0)
    after = ModelSource(ModelHeat(INPUTS, 5), begun_ago_s=100.0)
    after.model.power(20.0, 1.0)  # as the journal tells it
    after.start(lambda _raw: None, HandClock(seconds=9.0))
    try:
        assert after.reading(100.0).celsius == before.heard(100.0).celsius
        assert after.reading(100.0).heard_at_s == pytest.approx(9.0)
        after.heat(0.0)
        before.power(100.0, 0.0)
        assert after.reading(160.0).celsius == before.heard(160.0).celsius
    finally:
        after.stop()
