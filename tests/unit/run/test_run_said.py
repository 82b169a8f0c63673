"""What people say of a run: heat, notes, outcomes; and what is no command."""

import pytest

from rimwright.errors import RunError
from rimwright.live.run_heat import MarkedHeat, turned_off, turned_on, turned_to
from running import Running


def test_heat_that_comes_on_again_goes_on_or_begins_anew() -> None:
    run = Running().to("warm-up")
    begun = run.time.at()
    run.clock.advance(100.0)
    run.ask("heat_off")
    run.clock.advance(60.0)
    run.ask("heat_on", share=0.5)
    assert run.state.heat.begun_s == begun
    assert run.state.heat.schedule == ((0.0, 1.0), (100.0, 0.0), (160.0, 0.5))
    assert run.state.heat.since_s == run.time.at()
    run.ask("heat_on")
    assert run.state.heat.share == 1.0
    run.ask("heat_off")
    run.clock.advance(1800.0)
    run.ask("heat_on")
    assert run.state.heat.schedule == ((0.0, 1.0),), "half an hour on, the stack is cold"
    assert run.state.heat.begun_s == run.time.at()


def test_what_is_off_has_no_share() -> None:
    off = turned_off(turned_on(MarkedHeat(), 10.0, 1.0), 20.0)
    assert turned_to(off, 30.0, 0.5) is off
    assert turned_off(off, 40.0) is off
    assert off.at(25.0) == 15.0
    assert MarkedHeat().at(25.0) is None


@pytest.mark.parametrize("share", [0.0, -1.0, 1.01, float("nan"), float("inf"), True, "half", []])
def test_a_share_is_one_of_full_power(share: object) -> None:
    run = Running().to("hold")
    with pytest.raises(RunError, match=r"as share; expected a number from 0.01 to 1"):
        run.ask("turned_down", share=share)
    with pytest.raises(RunError, match="no share"):
        run.ask("turned_down")
    run.ask("heat_off")
    with pytest.raises(RunError, match="the heat marked off"):
        run.ask("turned_down", share=0.5)


def test_every_tap_says_that_somebody_is_there() -> None:
    run = Running().to("warm-up")
    for kind, data in (("present", {}), ("note", {"words": "so far well"}), ("heat_on", {})):
        run.clock.advance(100.0)
        run.ask(kind, **data)
        assert run.state.present_s == run.time.at()
    run.clock.advance(100.0)
    assert run.state.present_s == run.time.at() - 100.0


@pytest.mark.parametrize(
    ("data", "message"),
    [
        ({}, "no outcome"),
        ({"outcome": "sound"}, "no outcome"),
        ({"outcome": {"kind": "broken"}}, "'broken' on the face ''; expected one of sound, hair"),
        ({"outcome": {"kind": "sound", "face": "top"}}, "'sound' on the face 'top'"),
        ({"outcome": {"kind": "sound", "s_m": 9.0}}, "9.0 as s_m; expected a number from 0 to 5"),
        ({"outcome": {"kind": "sound", "place": "x" * 121}}, "place of 121 characters"),
        ({"outcome": {"kind": 3}}, "3 as kind; expected text"),
    ],
)
def test_outcomes_are_what_a_side_can_be(data: dict[str, object], message: str) -> None:
    with pytest.raises(RunError, match=message):
        Running().ask("outcome", **data)


def test_outcomes_are_those_of_the_record() -> None:
    from rimwright.journal.keeping_records import FACES, OUTCOME_KINDS
    from rimwright.live import said

    assert said.OUTCOME_KINDS == OUTCOME_KINDS
    assert said.FACES == FACES


def test_words_are_kept_without_what_no_store_keeps() -> None:
    run = Running()
    run.ask("note", words=" waist\x00 first\ud800\nthen\x1b bouts ")
    assert run.state.notes[0].words == "waist  first \nthen  bouts"
    for words, message in (
        (None, "without words"),
        ("x" * 4001, "4001 char"),
        (7, "expected text"),
    ):
        with pytest.raises(RunError, match=message):
            run.ask("note", words=words)


@pytest.mark.parametrize("key", ["x" * 65, "two words", "ä", "\n"])
def test_a_key_is_plain_and_short(key: str) -> None:
    with pytest.raises(RunError, match="1 to 64 plain characters"):
        Running().ask("present", key=key)


def test_what_is_no_command_of_a_run() -> None:
    with pytest.raises(RunError, match="'acknowledge'; expected one of done, back"):
        Running().ask("acknowledge")
