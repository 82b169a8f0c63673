"""The run in words: the log, and what a command came to."""

import pytest

from rimwright.live.run_words import done_words, event_words, here_words, line_of
from running import BLOCKING, Running, label

SAID = [
    ("begun", {}, "Begun: Wren, treble side"),
    ("step_begun", {"step": "warm-up"}, "Warm up: begun"),
    ("step_begun", {"step": "check"}, "Check before the heat: begun"),
    ("step_done", {"step": "clamp"}, "Clamp lightly: done"),
    ("step_done", {"step": "rest", "early_s": 7200.0}, "Rest on the form: ended early, 2 h were "
     "left"),
    ("went_back", {"step": "stand"}, "Back to Stand, wrapped"),
    ("held", {"words": "it creaks"}, "Held: it creaks"),
    ("held", {}, "Held"),
    ("resumed", {}, "Goes on"),
    ("heat_on", {"share": 1.0}, "Heat on"),
    ("heat_on", {"share": 1.0, "seen": True}, "Heat on, by the probe"),
    ("heat_off", {"seen": True}, "Heat off, by the probe"),
    ("turned_down", {"share": 0.4, "assumed": True}, "Power to 40 %, as the recipe says"),
    ("answered", {"question": "cut_out", "answer": "yes"}, "Check, cut-out: seen"),
    ("answered", {"question": "form", "answer": "yes", "code": "x"}, "Check, form: scanned"),
    ("answered", {"question": "form", "answer": "no", "words": "Wrong."}, "Check: Wrong."),
    ("outcome", {"kind": "hairline", "place": "horn", "face": "inside", "words": "2 cm"},
     "Hairline, horn, face inside: 2 cm"),
    ("outcome", {"kind": "sound"}, "Sound"),
    ("clock_set", {"by_s": -3600.0}, "The wall clock was set back by 60 min; waits do not move"),
    ("gap", {"seconds": 600.0, "why": "slept"},
     "Nothing was watched for 10 min: the computer slept or was busy"),
    ("gap", {"seconds": 600.0, "why": "of a later version"}, "Nothing was watched for 10 min"),
    ("alarm", {"alarm": "too_hot"}, ""),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "data", "words"), SAID)
def test_events_in_words(kind: str, data: dict[str, object], words: str) -> None:
    assert event_words(Running().plan, kind, data) == words


def test_what_a_command_came_to() -> None:
    run = Running().to("clamp")
    assert done_words(run.plan, run.state, run.ask("done")) == "Now: Clamp lightly"
    assert here_words(run.plan, run.state) == "Check before the heat"
    drafts = run.ask("answer", code=label(side="bass"))
    assert done_words(run.plan, run.state, drafts).startswith("Check: Wrong form: the form is for")
    for question in BLOCKING:
        run.ask("answer", question=question, answer="yes")
    drafts = run.ask("done")
    assert done_words(run.plan, run.state, drafts) == "Now: Warm up"
    drafts = run.ask("heat_off")
    assert done_words(run.plan, run.state, drafts) == "Heat off"
    drafts = run.ask("abandon", words="enough")
    assert done_words(run.plan, run.state, drafts) == "Abandoned: enough"
    assert here_words(run.plan, run.state) == "Abandoned"
    assert done_words(run.plan, run.state, ()) == "Done before"


def test_every_event_of_a_whole_run_has_its_line() -> None:
    run = Running().to("inspect")
    run.ask("finish", words="well bent")
    lines = [line_of(run.plan, event) for event in run.events]
    assert all(lines)
    assert lines[-2:] == ["Look it over: done", "Ended: well bent"]
