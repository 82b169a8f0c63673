"""The list of runs: narrowed in every way, as a table, as JSON; on a file and on a server."""

import datetime
import json
import time

import pytest

from journal_rows import new_run, put
from journal_stores import journal, store
from records_kept import BEGUN, command, done, events
from rimwright.desk.records import run_filter
from rimwright.desk.when import moment
from rimwright.errors import JournalError
from rimwright.journal.keeping import Outcome, record_outcome
from rimwright.journal.runs import begin_run, end_run

__all__ = ["journal", "store"]
DAY = 86_400.0


@pytest.fixture
def filled(journal, store):
    """Five runs, a day apart; where they are."""
    kept = (
        ("Wren", "bass", False, "sound", "ended"),
        ("Wren", "treble", False, "flat spot", "ended"),
        ("Curlew", "bass", True, "", "abandoned"),
        ("Plover of Tern Lane with a long name", "treble", False, "", "ended"),
        ("Wren", "treble", True, "", "open"),
    )
    for number, (model, hand, simulated, outcome, state) in enumerate(kept):
        begun = BEGUN + DAY * number
        run = begin_run(
            journal, new_run(model=model, hand=hand, simulated=simulated, begun_wall_s=begun,
                             piece="return" if number == 3 else "main")
        )  # fmt: skip
        if outcome:
            record_outcome(journal, run, Outcome(kind=outcome, wall_s=begun))
        if number == 1:
            put(journal, run, (), events())
        if state != "open":
            end_run(journal, run, state, begun + 3600.0)
    return store.where


def numbers(where, *words):
    return [one["id"] for one in json.loads(done("records", "--database", where, "--json", *words))]


NARROWED = (
    ((), [5, 4, 3, 2, 1]),
    (("--model", "wRE"), [5, 2, 1]),
    (("--model", "%"), []),
    (("--side", "bass"), [3, 1]),
    (("--state", "on"), [5]),
    (("--state", "abandoned"), [3]),
    (("--outcome", "flat-spot"), [2]),
    (("--outcome", "none"), [5, 4, 3]),
    (("--alarm", "too-hot"), [2]),
    (("--alarm", "left alone"), []),
    (("--alarm", "any"), [2]),
    (("--practice",), [5, 3]),
    (("--real",), [4, 2, 1]),
    (("--most", "2"), [5, 4]),
    (("--real", "--outcome", "none", "--side", "treble"), [4]),
)


def test_it_is_narrowed(filled):
    for words, found in NARROWED:
        assert numbers(filled, *words) == found, words


def test_by_days_of_the_shop(filled):
    def day(number):
        begun = datetime.datetime.fromtimestamp(BEGUN + DAY * number, datetime.UTC)
        return begun.astimezone().strftime("%Y-%m-%d")

    assert numbers(filled, "--since", day(3)) == [5, 4]
    assert numbers(filled, "--until", day(1)) == [2, 1]
    assert numbers(filled, "--since", day(1), "--until", day(2)) == [3, 2]
    assert numbers(filled, "--since", f"{day(4)} 23:59") == []


def test_it_is_a_table_that_fits_a_terminal(filled):
    out = done("records", "--database", filled)
    lines = out.splitlines()
    assert lines[0].split() == ["run", "begun", "model", "side", "how", "it", "came", "out",
                                "alarms"]  # fmt: skip
    assert len(lines) == 8
    assert max(map(len, lines)) <= 92
    second = next(line for line in lines if line.lstrip().startswith("2 "))
    assert "flat spot" in second
    assert second.endswith("2"), "two alarms called"
    assert "Curlew (practice)" in out
    assert "treble return" in out
    assert "Plover of Tern Lane with…"[:20] in out
    assert "abandoned" in out
    assert "on now" in out
    assert "not said yet" in out
    assert "5 runs" in out


def test_nothing_is_said_so(journal, store):
    assert done("records", "--database", store.where) == "No run is kept yet.\n"
    assert done("records", "--database", store.where, "--model", "x") == "No run is like that.\n"
    assert json.loads(done("records", "--database", store.where, "--json")) == []


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--side", "left"), "--side: found 'left'; expected one of bass, treble"),
        (("--outcome", "craked"), "did you mean cracked?"),
        (("--outcome", "x" * 999), "--outcome"),
        (("--state", "over"), "one of on, open, ended, abandoned"),
        (("--alarm", "to_hot"), "did you mean too hot?"),
        (("--since", "soon"), "--since: found 'soon'; expected a day such as 2026-11-25"),
        (("--until", "2026-02-30"), "--until"),
        (("--since", "1066-10-14"), "--since"),
        (("--most", "0"), "--most"),
        (("--most", "x"), "--most"),
    ],
)
def test_what_cannot_be_is_one_line(tmp_path, words, said):
    path = tmp_path / "journal.sqlite"
    path.with_name("journal.sqlite.lock").touch()
    assert said in command("records", "--journal", path, *words).line


def test_a_journal_that_is_named_and_not_there_is_not_made(tmp_path, monkeypatch):
    wrong = tmp_path / "jurnal.sqlite"
    for words in (
        ("records",), ("record", "1"), ("check",), ("kept",), ("backup",), ("note", "1", "x"),
        ("outcome", "1", "sound"), ("export", tmp_path / "x"),
    ):  # fmt: skip
        assert "no journal there" in command(*words, "--journal", wrong).line, words
    monkeypatch.setenv("RIMWRIGHT_JOURNAL", str(wrong))
    assert "no journal there" in command("records").line
    assert list(tmp_path.iterdir()) == []


def test_moments_as_a_maker_says_them():
    noon = datetime.datetime(2026, 11, 25, 12, 0, tzinfo=datetime.UTC).astimezone()

    def told(text, end="beginning"):
        return moment(text, end, now=noon)

    assert told("7 days") == noon.timestamp() - 7 * DAY
    assert told("2 weeks ago") == noon.timestamp() - 14 * DAY
    assert told("12 h") == noon.timestamp() - DAY / 2
    assert told("today", "end") - told("today") == pytest.approx(DAY, abs=3600.0)
    assert told("yesterday", "end") == told("today")
    assert told("2026-11-25 14:30") == told("2026-11-25T14:30")
    for wrong in ("", "9999-12-31", "7", "days", "25.11.2026", "2026-11-25 25:00", "-3 days",
                  "7 days hence"):  # fmt: skip
        with pytest.raises(JournalError, match="expected a day such as"):
            told(wrong)


def test_a_day_on_which_the_clock_is_set_is_whole(monkeypatch):
    """The last Sunday of October has 25 hours in Berlin."""
    monkeypatch.setenv("TZ", "Europe/Berlin")
    time.tzset()
    try:
        whole = moment("2026-10-25", "end") - moment("2026-10-25", "beginning")
        assert whole == 25 * 3600.0
    finally:
        monkeypatch.undo()
        time.tzset()


def test_what_is_asked_of_the_journal():
    told = run_filter(side="Bass", state="on", outcome="flat_spot", alarm="TOO HOT", most=3)
    assert (told.hand, told.state, told.outcome, told.alarm, told.limit) == (
        "bass", "open", "flat spot", "too_hot", 3,
    )  # fmt: skip
    assert run_filter() == run_filter(model=None)
