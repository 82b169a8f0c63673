"""The practice probe's small print: by hand as by its thread, and how a probe slips out."""

import math

import pytest

from heats_followed import heated_plan
from rimwright.live.clock import HandClock
from rimwright.live.heat_of_run import heat_inputs
from rimwright.live.probes.model import ModelSource
from rimwright.live.probes.model_heat import ModelHeat, PracticeFault

INPUTS = heat_inputs(heated_plan())
ROOM_C = INPUTS.equipment.room_c


def test_a_source_by_hand_reads_what_its_model_does():
    opens = PracticeFault(kind="wire opens", at_s=60.0, until_s=70.0)
    source = ModelSource(ModelHeat(INPUTS, 3, faults=(opens,)), probe=2)
    source.start(lambda _raw: None, HandClock(seconds=500.0))
    try:
        source.heat(1.0)
        for at_s in (0.0, 12.3, 65.0, 77.7):
            raw, heard = source.reading(at_s), source.model.heard(at_s)
            assert (raw.celsius, raw.fault, raw.heard) == (heard.celsius, heard.fault, heard.text)
            assert (raw.probe, raw.heard_at_s) == (2, 500.0 + at_s)
        assert source.reading(65.0).fault is not None
    finally:
        source.stop()


def test_off_is_no_beginning_of_a_heat():
    model = ModelHeat(INPUTS, noise_k=0.0)
    model.power(10.0, 0.0)
    assert [model.heard(one).celsius for one in (-5.0, 0.0, 900.0)] == [ROOM_C] * 3
    model.power(1000.0, 1.0)
    assert model.heard(999.0).celsius == ROOM_C
    assert model.heard(1060.0).celsius > ROOM_C + 30.0


def test_a_probe_that_slips_out_cools_to_the_room_as_stated():
    slips = PracticeFault(kind="slips out", at_s=80.0)
    model = ModelHeat(INPUTS, faults=(slips,), noise_k=0.0)
    model.power(0.0, 1.0)
    there_c = model.heard(79.9).celsius
    assert model.heard(92.0).celsius - ROOM_C == pytest.approx(
        (there_c - ROOM_C) / math.e, rel=0.02
    )
    assert model.heard(300.0).celsius == pytest.approx(ROOM_C, abs=0.1)


def test_a_source_taken_up_again_follows_the_plug():
    before = ModelHeat(INPUTS, 5)
    before.power(20.0, 1.0)
    after = ModelSource(ModelHeat(INPUTS, 5), begun_ago_s=100.0)
    after.model.power(20.0, 1.0)
    after.start(lambda _raw: None, HandClock(seconds=9.0))
    try:
        after.heat(0.0)
        before.power(100.0, 0.0)
        assert after.reading(160.0).celsius == before.heard(160.0).celsius
        assert after.reading(160.0).heard_at_s == pytest.approx(69.0)
    finally:
        after.stop()
