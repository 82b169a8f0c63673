"""Calls that are no alarms: each once, at its time, and not again after a restart."""

from dataclasses import replace

import pytest

from rimwright.live.cues import Cue, CueCaller, CueFacts, CueKey

WARM = CueFacts(
    at_s=300.0,
    step_key="warm-up",
    step_title="Warm up",
    phase="hot",
    visit=7,
    lead_c=21.0,
    heat_on=True,
    heat_since_s=290.0,
    hold_fraction=0.45,
    next_title="Power back to hold",
)


def called(caller, facts, temperatures, *, step_s=1.0):
    """Cues along a curve, a fact a second."""
    cues = []
    for i, celsius in enumerate(temperatures):
        now = replace(facts, lead_c=celsius, at_s=facts.at_s + step_s * i)
        cues += caller.call(now)
    return cues


def climb(first, last, rate=1.0):
    return [first + rate * i for i in range(int((last - first) / rate) + 1)]


def keys(cues):
    return [cue.key.value for cue in cues]


def test_a_warm_up_on_a_dial_is_four_calls_in_order():
    cues = called(CueCaller(), WARM, climb(21.0, 114.0))
    assert keys(cues) == ["early", "nearly", "target", "turn_down"]
    assert [cue.words for cue in cues] == [
        "100 °C: hands ready, target 110 °C",
        "106 °C: nearly 110 °C",
        "110 °C: power back to hold next",
        "110 °C: turn the dial down to about 45% of full power",
    ]
    assert cues[0] == Cue(
        key=CueKey.EARLY, title="Early call", words=cues[0].words, visit=7, at_s=379.0
    )


@pytest.mark.parametrize("control", ["thermostat", "controller"])
def test_what_controls_itself_is_not_to_be_turned_down(control):
    cues = called(CueCaller(), replace(WARM, control=control), climb(21.0, 114.0))
    assert keys(cues) == ["early", "nearly", "target"]
    over = called(CueCaller(), replace(WARM, control=control, step_key="horn"), [116.0])
    assert [cue.words for cue in over] == [f"116 °C: set the {control} lower, target 110 °C"]


def test_nearly_goes_by_the_forecast():
    caller = CueCaller()
    far = replace(WARM, lead_c=101.0, to_target_s=60.0)
    assert keys(caller.call(far)) == ["early"]
    assert caller.call(replace(far, at_s=310.0, lead_c=108.0, to_target_s=25.0)) == ()
    near = caller.call(replace(far, at_s=312.0, lead_c=104.0, to_target_s=19.0))
    assert [cue.words for cue in near] == ["104 °C: 110 °C in about 19 s"]


def test_a_fast_blanket_is_not_called_twice_in_one_breath():
    cues = called(CueCaller(), WARM, [95.0, 101.0, 107.0, 109.0, 111.0])
    assert keys(cues) == ["early", "target", "turn_down"]


def test_the_same_visit_does_not_call_again_however_it_wavers():
    caller = CueCaller()
    called(caller, WARM, climb(21.0, 112.0))
    assert called(caller, replace(WARM, at_s=500.0), [99.0, 101.0, 80.0, 105.0, 111.0] * 5) == []


def test_the_next_step_does_not_repeat_the_target_unless_it_was_lost():
    caller = CueCaller()
    called(caller, WARM, climb(21.0, 111.0))
    hold = replace(WARM, step_key="hold", step_title="Power back to hold", visit=8, at_s=400.0)
    assert called(caller, hold, [110.0, 111.0, 109.0, 112.0]) == []
    lost = replace(hold, share=0.45, at_s=420.0)
    assert keys(called(caller, lost, [101.0, 111.0])) == ["target"]


def test_the_target_is_called_in_the_hold_if_the_step_was_done_early():
    caller = CueCaller()
    called(caller, WARM, climb(21.0, 101.0))
    hold = replace(WARM, step_key="hold", visit=8, at_s=390.0)
    assert keys(called(caller, hold, climb(102.0, 112.0))) == ["nearly", "target", "turn_down"]


def test_bends_hear_only_of_too_much():
    caller = CueCaller()
    bend = replace(WARM, step_key="lower-bout", visit=9, share=0.45)
    assert called(caller, bend, climb(90.0, 114.0)) == []
    cues = called(caller, replace(bend, at_s=500.0), [115.5, 116.0, 117.0])
    assert [cue.words for cue in cues] == ["116 °C: turn the dial down further, target 110 °C"]


def test_a_new_heat_is_called_anew():
    caller = CueCaller()
    called(caller, WARM, climb(21.0, 112.0))
    again = replace(WARM, visit=12, at_s=5000.0, heat_since_s=4990.0)
    assert keys(called(caller, again, climb(30.0, 112.0))) == [
        "early", "nearly", "target", "turn_down",
    ]  # fmt: skip


def test_gone_back_and_cooled_the_same_heat_is_called_anew():
    caller = CueCaller()
    called(caller, WARM, climb(21.0, 112.0))
    back = replace(WARM, visit=12, at_s=600.0)
    assert keys(called(caller, back, climb(80.0, 112.0))) == ["early", "nearly", "target"]


def test_after_a_restart_nothing_is_called_twice():
    first = CueCaller()
    cues = called(first, WARM, climb(21.0, 112.0))
    kept = [(cue.key.value, cue.visit, cue.at_s) for cue in cues]
    for count in range(len(kept) + 1):
        again = CueCaller(kept[:count])
        rest = called(again, replace(WARM, at_s=450.0), [112.0, 112.0])
        missing = [key for key, _, _ in kept[count:]]
        # Past the target, the calls on the way there have had their time.
        assert keys(rest) == [key for key in missing if key in ("target", "turn_down")]


def test_no_reading_no_call():
    assert called(CueCaller(), WARM, [None] * 5) == []


@pytest.mark.parametrize(
    ("phase", "key"), [("cold", "soak_over"), ("hot", "soak_over"), ("after", "rest_over")]
)
def test_a_wait_that_is_over_is_called_once(phase, key):
    caller = CueCaller()
    stand = CueFacts(
        at_s=599.0, step_key="stand", step_title="Stand, wrapped", phase=phase, visit=3,
        ends_s=600.0, next_title="Stack up",
    )  # fmt: skip
    assert caller.call(stand) == ()
    cues = caller.call(replace(stand, at_s=600.0))
    assert keys(cues) == [key]
    assert cues[0].words == "Stand, wrapped: time is over; next: stack up"
    assert caller.call(replace(stand, at_s=700.0)) == ()


def test_overdue_counts_the_time_in_the_step():
    caller = CueCaller()
    bend = replace(WARM, step_key="horn", step_title="Horn", visit=9, overdue_s=120.0, lead_c=None)
    assert caller.call(replace(bend, in_step_s=119.0)) == ()
    cues = caller.call(replace(bend, in_step_s=120.0))
    assert [(cue.title, cue.words) for cue in cues] == [
        ("Step overdue", "Horn: 2 min, longer than usual")
    ]
    assert caller.call(replace(bend, in_step_s=500.0)) == ()


def test_in_the_maker_s_degrees():
    cues = called(CueCaller(), replace(WARM, show="inch"), [100.0])
    assert cues[0].words == "212 °F: hands ready, target 230 °F"
