"""Outcomes, notes and photographs by the command: into a journal, and by the server that has it."""

import json
from contextlib import closing

import pytest

from journal_filled import picture
from journal_rows import new_run
from journal_stores import store
from records_kept import command, done, practised, side_kept
from rimwright.desk.saying import outcome_of
from rimwright.errors import JournalError, UnitError
from rimwright.journal.keeping import notes_of, outcomes_of
from rimwright.journal.opening import open_journal
from rimwright.journal.photographs import photographs_of
from rimwright.journal.runs import begin_run, run_lines
from web_bench import SmallBench
from web_served import serving

__all__ = ["store"]


@pytest.fixture
def kept(store):
    """A run and a side in a journal that nobody has open."""
    opened = store.open()
    with closing(opened):
        return begin_run(opened, new_run()), side_kept(opened)


def read(store, call, *words):
    opened = store.open()
    with closing(opened):
        return call(opened, *words)


def test_how_it_came_out(kept, store):
    run, _ = kept
    said = done("outcome", run, "flat-spot", "--place", "waist", "--at", "268 mm", "--face",
                "inside", "--words", "as long as a thumb", "--database", store.where)  # fmt: skip
    assert said == f"Run {run}: flat spot. Kept.\n"
    done("outcome", run, "Scorched", "--database", store.where)
    first, second = read(store, outcomes_of, run)
    assert (first.kind, first.place, first.s_m, first.face) == (
        "flat spot", "waist", 0.268, "inside",
    )  # fmt: skip
    assert first.words == "as long as a thumb"
    assert (second.kind, second.s_m, second.face) == ("scorched", None, "")


def test_taken_back(kept, store):
    run, _ = kept
    done("outcome", run, "cracked", "--place", "horn", "--database", store.where)
    (number,) = (one.id for one in read(store, outcomes_of, run))
    other = read(store, begin_run, new_run())
    line = command("outcome", other, "--take-back", number, "--database", store.where).line
    assert f"no outcome {number} of run {other}; expected one of its numbers: none" in line
    done("outcome", run, "--take-back", number, "--words", "a shadow", "--database", store.where)
    assert read(store, outcomes_of, run) == ()
    (note,) = read(store, notes_of, "run", run)
    assert note.words == "Taken back: cracked, horn. a shadow"


def test_notes(kept, store):
    run, side = kept
    assert done("note", run, "Wetter", "next", "time.", "--database", store.where) == (
        f"Run {run}: noted.\n"
    )
    done("note", side, "keep the offcut", "--about", "side", "--database", store.where)
    assert [one.words for one in read(store, notes_of, "run", run)] == ["Wetter next time."]
    assert [one.words for one in read(store, notes_of, "side", side)] == ["keep the offcut"]


@pytest.mark.parametrize("form", ["JPEG", "PNG"])
def test_photographs(kept, store, tmp_path, form):
    run, _ = kept
    (tmp_path / "horn.jpg").write_bytes(picture(form=form))
    words = ("photo", run, tmp_path / "horn.jpg", "--words", "the horn", "--database", store.where)
    said = done(*words)
    (kept_one,) = read(store, photographs_of, run)
    assert said == f"Run {run}: photograph {kept_one.id} kept.\n"
    assert (kept_one.words, kept_one.width_px) == ("the horn", 64)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("outcome", "1"), "found no kind; expected one of sound, hairline"),
        (("outcome", "1", "sound", "--take-back", "1"), "a kind and --take-back"),
        (("outcome", "1", "fine"), "found 'fine'; expected one of sound"),
        (("outcome", "1", "sound", "--at", "589"), "--at: found '589' without a unit"),
        (("outcome", "1", "sound", "--at", "589 kg"), "--at: found '589 kg'"),
        (("outcome", "1", "sound", "--at", "9 m"), "a station from 0 to 5 m"),
        (("outcome", "1", "sound", "--face", "left"), "--face: found 'left'"),
        (("outcome", "1", "sound", "--place", "x" * 999), "a place's name of 999 characters"),
        (("outcome", "1", "sound", "--words", "x" * 5000), "words of 5000 characters"),
        (("outcome", "9", "sound"), "no run 9"),
        (("note", "1", "  "), "no words"),
        (("note", "9", "x"), "no run 9"),
        (("note", "1", "x", "--about", "shop"), "--about: found 'shop'; expected one of run, side"),
        (("note", "7", "x", "--about", "board"), "no board 7"),
        (("note", "1", "a\x07b"), "the control character U+0007"),
        (("photo", "1", "none.jpg"), "none.jpg: found no such file or directory"),
        (("photo", "1", "."), "found a folder or a device"),
        (("photo", "1", "words.jpg"), "a file that is neither"),
        (("photo", "1", "cut.jpg"), "photograph: found"),
        (("photo", "1", "large.jpg"), "more than 12 MB"),
        (("photo", "9", "horn.png"), "no run 9"),
        (("photo", "1", "tiny.png"), "16 pixels at least"),
    ],
)
def test_slips_are_one_line_and_keep_nothing(slips, monkeypatch, words, said):
    monkeypatch.chdir(slips)
    assert said in command(*words, "--journal", "journal.sqlite").line
    opened, _ = open_journal(slips / "journal.sqlite")
    with closing(opened):
        assert outcomes_of(opened, 1) == ()
        assert notes_of(opened, "run", 1) == ()
        assert photographs_of(opened, 1) == ()


@pytest.fixture(scope="module")
def slips(tmp_path_factory):
    """A folder with a journal of one run, and files that are no photographs."""
    folder = tmp_path_factory.mktemp("slips")
    (folder / "words.jpg").write_text("no picture")
    (folder / "cut.jpg").write_bytes(picture((640, 480))[:5000])
    (folder / "large.jpg").write_bytes(b"\xff\xd8\xff" + bytes(12_000_001))
    (folder / "horn.png").write_bytes(picture(form="PNG"))
    (folder / "tiny.png").write_bytes(picture((4, 4), form="PNG"))
    opened, _ = open_journal(folder / "journal.sqlite")
    with closing(opened):
        assert begin_run(opened, new_run()) == 1
    return folder


def test_what_is_said_as_plain_values():
    assert outcome_of("SOUND") == {
        "kind": "sound", "place": "", "s_m": None, "face": "", "words": "",
    }  # fmt: skip
    assert outcome_of("ripples", at="10 9/16 in")["s_m"] == pytest.approx(0.2683, abs=1e-4)
    with pytest.raises(UnitError):
        outcome_of("sound", at="soon")
    with pytest.raises(JournalError):
        outcome_of("")


# -- by the server that has the journal --------------------------------------------------------


@pytest.fixture
def served(tmp_path):
    """A server with one run that is on, 1, and one that is over, 2; its journal open."""
    opened, _ = open_journal(tmp_path / "journal.sqlite")
    begin_run(opened, new_run())
    begin_run(opened, new_run())
    with SmallBench() as bench, serving(tmp_path, bench, journal=opened) as shop:
        yield shop, opened, tmp_path / "journal.sqlite"


def test_a_server_is_told_of_a_run_that_is_over(served, tmp_path):
    _, opened, path = served
    done("outcome", 2, "hairline", "--place", "horn", "--at", "589mm", "--journal", path)
    done("note", 2, "Wetter.", "--journal", path)
    (tmp_path / "horn.png").write_bytes(picture(form="PNG"))
    done("photo", 2, tmp_path / "horn.png", "--words", "the horn & all", "--journal", path)
    (outcome,) = outcomes_of(opened, 2)
    assert (outcome.kind, outcome.s_m) == ("hairline", 0.589)
    assert [one.words for one in notes_of(opened, "run", 2)] == ["Wetter."]
    assert [one.words for one in photographs_of(opened, 2)] == ["the horn & all"]
    done("outcome", 2, "--take-back", outcome.id, "--words", "dust", "--journal", path)
    assert outcomes_of(opened, 2) == ()


def test_a_run_that_is_on_hears_of_it(served):
    """Its pages and its log are told, by the same command that a page sends."""
    shop, opened, path = served
    done("outcome", 1, "sound", "--journal", path)
    done("note", 1, "It creaks.", "--journal", path)
    (_, first), (_, second) = shop.bench.commands
    assert (first.kind, first.data["outcome"]["kind"]) == ("outcome", "sound")
    assert (second.kind, second.data["words"]) == ("note", "It creaks.")
    assert first.key != second.key
    assert outcomes_of(opened, 1) == ()


def test_notes_on_what_is_kept_go_by_the_server(served):
    _, opened, path = served
    side = side_kept(opened)
    done("note", side, "for the window", "--about", "side", "--journal", path)
    assert [one.words for one in notes_of(opened, "side", side)] == ["for the window"]
    assert "no board 99" in command("note", 99, "x", "--about", "board", "--journal", path).line


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("outcome", "9", "sound"), "no run 9"),
        (("outcome", "2", "--take-back", "5"), "no outcome 5"),
        (("note", "9", "x"), "no run 9"),
        (("outcome", "2", "sound", "--at", "9m"), "s_m"),
    ],
)
def test_what_the_server_refuses_is_one_line(served, words, said):
    _, _, path = served
    assert said in command(*words, "--journal", path).line


def test_records_are_read_beside_a_server(served):
    _, _, path = served
    assert len(json.loads(done("records", "--journal", path, "--json"))) == 2
    assert "Run 2: Wren" in done("record", 2, "--journal", path)


def test_another_journal_beside_a_server_is_not_its(served, tmp_path):
    """Two journals lie in one folder; what is said of one never goes into the other."""
    _, opened, _ = served
    (tmp_path / "aside").mkdir()
    other = practised(tmp_path / "aside")
    beside = other.rename(tmp_path / "practice.sqlite")
    done("note", 1, "Of the practice run.", "--journal", beside)
    done("outcome", 1, "ripples", "--journal", beside)
    assert notes_of(opened, "run", 1) == ()
    assert outcomes_of(opened, 1) == ()
    second, _ = open_journal(beside)
    with closing(second):
        assert [one.words for one in notes_of(second, "run", 1)] == ["Of the practice run."]
        assert run_lines(second)[0].outcome == "sound, ripples"
