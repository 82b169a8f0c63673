"""Done, back, hold, finish, abandon: what they cause and what they refuse."""

import re

import pytest

from rimwright.errors import RunError
from rimwright.live.run_words import done_words
from running import BLOCKING, HOLD, REST_S, STAND_S, Running, short_plan


def kinds(drafts: object) -> list[str]:
    return [one.kind for one in drafts]  # type: ignore[attr-defined]


def test_a_run_goes_from_mist_to_a_look() -> None:
    run = Running().to("inspect")
    run.ask("outcome", outcome={"kind": "sound"})
    assert kinds(run.ask("finish")) == ["step_done", "ended"]
    assert run.state.over
    assert run.state.state == "ended"
    stays = [(one.step, one.how) for one in run.state.visits]
    assert stays[4] == ("check", "done"), "the last cold step leads into the check"
    assert [step for step, _ in stays if step != "check"] == [s.key for s in run.plan.steps]
    assert [one.number for one in run.state.visits] == list(range(1, 13))
    assert run.time.at() == pytest.approx(STAND_S + REST_S)


def test_beginning_to_warm_up_marks_the_heat_and_unplugging_marks_it_off() -> None:
    run = Running().to("clamp")
    run.clock.advance(30.0)
    run.ask("done")
    assert run.state.phase == "check"
    assert not run.state.heat.on
    for question in BLOCKING:
        run.ask("answer", question=question, answer="yes")
    assert kinds(run.ask("done")) == ["step_done", "step_begun", "heat_on"]
    assert run.state.heat.on
    assert run.state.heat.since_s == run.time.at()
    assert run.state.heat.schedule == ((0.0, 1.0),)
    run.clock.advance(130.0)
    run.ask("done")
    run.ask("turned_down", share=0.45)
    run.clock.advance(10.0)
    run.ask("done")  # said already, so nothing is assumed of the dial
    assert run.state.heat.share == 0.45
    run.clock.advance(60.0)
    run.ask("done")
    run.ask("done")
    assert not run.state.heat.on
    assert run.state.heat.schedule == ((0.0, 1.0), (130.0, 0.45), (200.0, 0.0))


def test_what_nobody_said_of_the_dial_is_as_the_recipe_says() -> None:
    run = Running().to("hold")
    drafts = run.ask("done")
    assert [one.data for one in drafts if one.kind == "turned_down"] == [
        {"share": HOLD, "assumed": True}
    ]
    said = Running().to("hold")
    said.ask("done", share=0.6)
    assert said.state.heat.share == 0.6
    kept = Running(short_plan(control="thermostat")).to("hold")
    kept.ask("done")
    assert kept.state.heat.share == 1.0, "a thermostat has no half power"


def test_a_wait_ends_early_only_when_somebody_says_so() -> None:
    run = Running().to("stand")
    assert run.state.ends_at_s == STAND_S
    assert run.state.ends_wall_s == run.clock.wall() + STAND_S
    run.clock.advance(480.0)
    with pytest.raises(RunError, match=r"found 2 min of 'Stand, wrapped' still to go; expected"):
        run.ask("done")
    assert run.here == "stand"
    drafts = run.ask("done", early=True)
    assert drafts[0].data["early_s"] == pytest.approx(120.0)
    assert run.state.visits[-2].early_s == pytest.approx(120.0)
    assert run.here == "stack"


def test_the_rest_goes_on_over_a_step_back_by_mistake() -> None:
    run = Running().to("rest")
    ends = run.state.ends_at_s
    run.clock.advance(3600.0)
    run.ask("back")
    assert run.here == "unplug"
    run.ask("done")
    assert run.here == "rest"
    assert run.state.ends_at_s == ends
    run.ask("back")
    run.ask("heat_on")
    run.ask("done")
    assert run.state.ends_at_s == run.time.at() + REST_S, "heated again, it rests anew"
    run.clock.advance(REST_S)
    run.ask("done")
    run.ask("back")
    assert run.state.wait_left_s(run.time.at()) == 0.0, "a wait that is over stays over"


def test_back_into_the_cold_only_without_heat_and_the_check_is_asked_anew() -> None:
    run = Running().to("warm-up")
    with pytest.raises(RunError, match=r"the heat marked on; expected heat off before 'Clamp"):
        run.ask("back")
    run.ask("heat_off")
    run.ask("back")
    assert run.state.phase == "check"
    assert run.state.answers == {}
    with pytest.raises(RunError, match=r"no answer yet on form, face, wires, person"):
        run.ask("done")
    run.ask("back")
    assert run.here == "clamp"
    for _ in range(3):
        run.ask("back")
    assert run.here == "wet"
    with pytest.raises(RunError, match=r"the first step, 'Wet'"):
        run.ask("back")


def test_the_later_of_two_moves_is_told_what_was_done_by_whom_and_when() -> None:
    run = Running().to("stack")
    seen = run.state.visit
    run.ask("done", device="the tablet")
    run.clock.advance(3.0)
    expected = re.escape(
        "found 'Stack up' marked done already by the tablet, 3 s ago; now at 'Clamp lightly'"
    )
    for kind in ("done", "back"):
        with pytest.raises(RunError, match=expected):
            run.ask(kind, visit=seen, device="the foot switch")
    assert run.here == "clamp"
    run.ask("back", device="the tablet")
    with pytest.raises(RunError, match=r"'Clamp lightly' gone back from already by the tablet, j"):
        run.ask("done", visit=seen + 1)
    for visit in (None, run.state.visit + 1, 0):
        with pytest.raises(RunError, match=r"a move that does not say from which step"):
            run.ask("done", visit=visit)


def test_a_tap_sent_again_acts_once() -> None:
    run = Running().to("stack")
    assert len(run.ask("done", key="one-tap")) == 2
    assert run.decide("done", key="one-tap") == ()
    assert run.here == "clamp"
    run.restart(run.clock)
    assert run.decide("done", key="one-tap") == (), "nor after a restart"


def test_held_means_that_nobody_moves_on() -> None:
    run = Running().to("waist-home")
    run.clock.advance(10.0)
    run.ask("hold", words="it creaks")
    run.clock.advance(45.0)
    for kind in ("done", "back"):
        with pytest.raises(RunError, match=r"held by tablet, 45 s ago: it creaks; .* Go on first"):
            run.ask(kind)
    assert run.state.in_step_s(run.time.at()) == pytest.approx(10.0), "held time is not overdue"
    assert kinds(run.ask("hold")) == ["present"]
    run.ask("resume")
    assert kinds(run.ask("resume")) == ["present"]
    run.clock.advance(5.0)
    assert run.state.in_step_s(run.time.at()) == pytest.approx(15.0)
    run.ask("done")
    assert run.here == "unplug"


def test_hold_does_not_move_the_end_of_a_rest() -> None:
    run = Running().to("rest")
    ends = run.state.ends_at_s
    run.ask("hold")
    run.clock.advance(1000.0)
    run.ask("resume")
    assert run.state.ends_at_s == ends


def test_abandoned_with_the_heat_on_it_is_watched_until_the_heat_is_off() -> None:
    run = Running().to("warm-up")
    run.ask("hold")
    drafts = run.ask("abandon", words="scorched at the horn")
    assert run.state.state == "abandoned"
    assert not run.state.over
    assert "Pull the plug" in done_words(run.plan, run.state, drafts)
    assert kinds(run.ask("abandon")) == ["present"]
    for kind in ("done", "back", "hold", "resume", "finish"):
        with pytest.raises(RunError, match=r"a run that was abandoned by tablet, just now"):
            run.ask(kind)
    run.ask("heat_off")
    assert run.state.over
    with pytest.raises(RunError, match="was abandoned"):
        run.ask("heat_on")
    run.ask("note", words="the horn wants more water")
    run.ask("outcome", outcome={"kind": "scorched", "place": "horn", "face": "inside"})
    assert run.state.outcomes[0]["place"] == "horn"


def test_a_run_ends_only_at_its_last_step_and_without_heat() -> None:
    run = Running().to("release")
    with pytest.raises(RunError, match=r"the run at 'Release'; expected 'Look it over', the last"):
        run.ask("finish")
    run.ask("done")
    run.ask("heat_on")
    with pytest.raises(RunError, match=r"the heat marked on; expected heat off from here"):
        run.ask("finish")
    run.ask("heat_off")
    run.ask("done")
    assert run.state.state == "ended"
    with pytest.raises(RunError, match=r"a run that ended by tablet"):
        run.ask("back")
