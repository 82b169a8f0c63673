"""Single moments of a probe: never seated, never heard, put back, silent beside another."""

import math
import random

import pytest

from rimwright.live.alarms import AlarmKey, AlarmState, acknowledged
from rimwright.live.judging import HeatContext
from rimwright.live.readings import FAULT_WORDS, Fault
from watched import Watched, climb, heat_on

LATEST_S, ROOM_C = 2.0, 21.0
OPEN = FAULT_WORDS[Fault.OPEN]


def test_a_probe_that_was_never_seated_is_told_forty_seconds_after_heat_on():
    run = Watched(heat=heat_on(0.0, room_c=ROOM_C))
    climb(run, seconds=60, rate_k_s=0.02, noise_k=1.0)
    late = run.first(AlarmKey.PROBE_DOUBTFUL) - 40.0
    print(f"never seated: alarm {late:.2f} s after it is knowable, limit {LATEST_S} s")
    assert late <= LATEST_S
    assert "not rising although the heat is on" in run.called[0].words


def test_a_probe_that_was_never_seated_is_told_at_a_lower_power_too():
    run = Watched(heat=heat_on(0.0, room_c=ROOM_C, share=0.5))
    climb(run, seconds=120, rate_k_s=0.0)
    assert 80.0 <= run.first(AlarmKey.PROBE_DOUBTFUL) <= 82.0


def test_a_board_that_was_never_heard_is_told_two_seconds_after_heat_on():
    run = Watched(heat=HeatContext(on=False))
    for tenth in range(100):
        run.tick(0.1 * tenth)
    assert not run.called
    run.heat = heat_on(10.0)
    for tenth in range(100, 150):
        run.hear(0.1 * tenth, None, fault=Fault.OPEN)
        run.tick(0.1 * tenth)
    assert 11.99 <= run.first(AlarmKey.NO_READING) <= 12.05
    assert run.called[0].words == f"the heat is on and no probe has told a temperature: {OPEN}"


def test_one_spark_is_withheld_and_nobody_s_work():
    run = Watched(heat=heat_on(0.0))
    climb(run, seconds=20, rate_k_s=1.0)
    sample = run.hear(20.0, 320.0)
    assert (sample.celsius, sample.fault) == (None, Fault.JUMPED)
    # The figure stands: the reading before is a tenth of a second old.
    assert run.watch.probe_now(0, 20.0)[1] is None
    climb(run, seconds=20, rate_k_s=1.0, from_c=41.0, begins_s=20.1)
    assert not run.called


def test_a_figure_older_than_two_seconds_is_none():
    run = Watched(heat=HeatContext(on=False))
    climb(run, seconds=5, rate_k_s=1.0)
    assert run.watch.lead(6.8)[0] == 0
    assert run.watch.lead(7.0) is None
    assert run.watch.rate_k_s(7.0) is None
    celsius, fault, words, heard_s = run.watch.probe_now(0, 7.0)
    assert (celsius, fault, words) == (None, Fault.SILENT, FAULT_WORDS[Fault.SILENT])
    assert heard_s == pytest.approx(4.9)


def test_put_back_acknowledged_and_well_again():
    """Out, called, acknowledged, put back: the reading is believed and the alarm goes."""
    run = Watched(heat=heat_on(0.0, room_c=ROOM_C))
    climb(run, seconds=90, rate_k_s=1.0)
    for tenth in range(150):
        at_s, left = 90.0 + 0.1 * tenth, math.exp(-0.01 * tenth)
        run.hear(at_s, ROOM_C + 89.0 * left)
        run.tick(at_s)
    assert [one.alarm for one in run.called] == [AlarmKey.PROBE_DOUBTFUL]
    run.alarms, _ = acknowledged(run.alarms, AlarmKey.PROBE_DOUBTFUL, 105.0)
    for tenth in range(300):
        at_s = 105.0 + 0.1 * tenth
        run.hear(at_s, 110.0 - 65.0 * math.exp(-0.03 * tenth))
        run.tick(at_s)
    assert run.watch.probe_now(0, 134.9)[0] == pytest.approx(110.0, abs=0.1)
    assert run.alarms.of(AlarmKey.PROBE_DOUBTFUL).state is AlarmState.NORMAL
    assert len(run.called) == 1


def test_the_heat_marked_off_ends_the_cause_and_waits_for_a_hand():
    run = Watched(heat=heat_on(0.0, room_c=ROOM_C))
    climb(run, seconds=90, rate_k_s=1.0)
    climb(run, seconds=20, rate_k_s=-4.0, from_c=111.0, begins_s=90.0)
    assert run.alarms.sounding
    run.heat = HeatContext(on=False, since_s=110.0, room_c=ROOM_C)
    climb(run, seconds=30, rate_k_s=-0.2, from_c=31.0, begins_s=110.0)
    # It fell as no stack does: with the heat off its reading is no temperature either.
    assert run.watch.probe_now(0, 139.9)[1] is Fault.DETACHED
    assert run.alarms.sounding
    run.alarms, _ = acknowledged(run.alarms, AlarmKey.PROBE_DOUBTFUL, 140.0)
    assert run.alarms.of(AlarmKey.PROBE_DOUBTFUL).state is AlarmState.NORMAL


def test_of_two_probes_the_one_that_falls_silent_is_named_and_the_other_leads():
    run = Watched(places=("waist", "upper bout"), heat=heat_on(0.0, room_c=ROOM_C))
    dice = random.Random(4)
    for tenth in range(900):
        at_s = 0.1 * tenth
        run.present_s = at_s
        if at_s < 60.0:
            run.hear(at_s, ROOM_C + at_s + dice.gauss(0, 0.3), probe=0)
        run.hear(at_s + 0.05, ROOM_C + 0.8 * at_s + dice.gauss(0, 0.3), probe=1)
        run.tick(at_s + 0.05)
    assert [(one.alarm, one.probe) for one in run.called] == [(AlarmKey.NO_READING, 0)]
    assert "nothing from the waist" in run.called[0].words
    assert run.first(AlarmKey.NO_READING) == pytest.approx(61.9, abs=0.15)
    assert run.watch.lead(90.0)[0] == 1


def test_a_coarse_board_may_stand_still_in_a_hold_and_a_fine_one_may_not():
    for step_k, called in ((1.0, False), (0.25, True)):
        run = Watched(heat=heat_on(0.0, room_c=ROOM_C))
        for tenth in range(1900):
            at_s = 0.1 * tenth
            run.present_s = at_s
            run.hear(at_s, round(min(ROOM_C + at_s, 110.0) / step_k) * step_k)
            run.tick(at_s)
        assert bool(run.called) is called


def test_a_hung_board_stays_one_with_the_heat_off():
    run = Watched(heat=heat_on(0.0, room_c=ROOM_C))
    climb(run, seconds=60, rate_k_s=1.0)
    for tenth in range(350):
        run.hear(60.0 + 0.1 * tenth, 81.0)
    run.heat = HeatContext(on=False, since_s=95.0, room_c=ROOM_C)
    assert run.hear(96.0, 81.0).fault is Fault.STUCK
    assert run.hear(96.1, 80.9).celsius == 80.9


def test_after_a_restart_in_the_heat_the_probe_has_two_seconds_to_be_heard():
    run = Watched(heat=heat_on(10.0))
    for tenth in range(19):
        run.tick(500.0 + 0.1 * tenth)
    assert not run.called
    run.tick(502.0)
    assert run.first(AlarmKey.NO_READING) == 502.0
