"""Records out of a journal and into another, copies of it, whether it is sound: the commands."""

import json
import shutil
import sqlite3
from contextlib import closing

import pytest

from journal_filled import fill, told
from journal_rows import new_run
from journal_stores import journal, store
from records_kept import command, done
from rimwright.journal.opening import open_journal
from rimwright.journal.runs import begin_run, run_lines
from web_bench import SmallBench
from web_served import serving

__all__ = ["journal", "store"]


@pytest.fixture
def full(tmp_path):
    """A journal with one of everything, closed."""
    path = tmp_path / "shop" / "journal.sqlite"
    opened, _ = open_journal(path)
    with closing(opened):
        fill(opened)
    return path


@pytest.mark.parametrize("form", ["csv", "parquet", "json"])
def test_out_of_one_journal_and_into_another(full, store, tmp_path, form):
    said = done("export", tmp_path / "out", "--as", form, "--journal", full)
    assert said.startswith(f"Wrote 2 runs with 280 readings as {form}")
    assert "Taken in: 1 run with 250 samples" in done(
        "import", tmp_path / "out", "--database", store.where
    )
    assert "there already" in done("import", tmp_path / "out", "--database", store.where)
    before, _ = open_journal(full)
    after = store.open()
    with closing(before), closing(after):
        assert told(after, tmp_path / "b", ended_only=True) == told(
            before, tmp_path / "a", ended_only=True
        )


def test_one_run_of_many(full, tmp_path):
    said = done("export", tmp_path / "out", "--run", 1, "--as", "JSON", "--journal", full)
    assert said.startswith("Wrote 1 run with 250 readings as json")
    index = json.loads((tmp_path / "out" / "index.json").read_text(encoding="utf-8"))
    assert len(index["runs"]) == 1


def test_a_copy_and_back_to_it(full):
    said = done("backup", "--journal", full)
    (copy,) = (full.parent / "backups").glob("*.sqlite")
    assert str(copy) in said
    assert "sound" in said
    done("note", 1, "After the copy.", "--journal", full)
    said = done("restore", copy, "--journal", full)
    assert "The journal is as it was in" in said
    assert "is kept in" in said
    assert "After the copy." not in done("record", 1, "--journal", full)
    (aside,) = full.parent.glob("journal-aside-*.sqlite")
    assert "After the copy." in done("record", 1, "--journal", aside)


def test_copies_in_a_folder_of_ones_own(full, tmp_path):
    assert "the only one" in done("backup", "-o", tmp_path / "stick", "--journal", full)
    assert "2 copies" in done("backup", "-o", tmp_path / "stick", "--journal", full)
    assert len(list((tmp_path / "stick").glob("*.sqlite"))) == 2


def test_of_a_server_and_back(store, journal, tmp_path):
    begin_run(journal, new_run())
    journal.close()
    done("backup", "-o", tmp_path / "copies", "--database", store.where)
    (copy,) = (tmp_path / "copies").glob("*.sqlite")
    done("note", 1, "After the copy.", "--database", store.where)
    done("restore", copy, "--database", store.where)
    assert "After the copy." not in done("record", 1, "--database", store.where)


def test_a_sound_journal(full, store, journal):
    out = done("check", "--journal", full)
    for said in ("SQLite", "whole", "No reading is missing", "no backup yet",
                 "The journal is sound."):  # fmt: skip
        assert said in out, said
    journal.close()
    told_ = json.loads(done("check", "--json", "--database", store.where))
    assert told_["sound"] is True
    assert told_["mended"] == []
    assert {one["about"] for one in told_["found"]} >= {"version", "sound", "holes", "size"}


def test_rows_that_are_missing(full):
    """Somebody took readings out: no database complains, the check does."""
    bare = sqlite3.connect(full)
    bare.execute("DELETE FROM samples WHERE run_id = 1 AND seq BETWEEN 100 AND 120")
    bare.commit()
    bare.close()
    said = command("check", "--journal", full)
    assert said.code == 2
    (line,) = [one for one in said.out.splitlines() if one.startswith("Bad: ")]
    assert "Run 1" in line
    assert " 21 " in line
    assert "Something is wrong: see above." in said.out
    assert json.loads(command("check", "--json", "--journal", full).out)["sound"] is False


def test_a_damaged_file_is_mended_and_that_is_told(full):
    done("backup", "--journal", full)
    data = bytearray(full.read_bytes())
    for page in range(4096 * 4, len(data), 4096 * 3):
        data[page : page + 600] = b"\xa5" * 600
    full.write_bytes(data)
    said = command("check", "--journal", full)
    assert said.code == 2
    assert "is kept in" in said.err
    assert "It was not: read what was said first." in said.out
    assert done("check", "--journal", full).endswith("The journal is sound.\n")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("export", "out", "--as", "xlsx"), "--as: found 'xlsx'; expected one of csv, parquet"),
        (("export", "out", "--run", "9"), "no run 9"),
        (("export", "."), "a folder that is not empty"),
        (("export", "journal.sqlite"), "a folder that is not empty"),
        (("import", "nowhere"), "no such folder"),
        (("import", "journal.sqlite"), "found a file"),
        (("import", "empty"), "index.json"),
        (("backup", "-o", "journal.sqlite"), "a file where a folder"),
        (("restore", "nowhere.sqlite"), "no such file"),
        (("restore", "journal.sqlite"), "the journal itself"),
        (("restore", "words.sqlite"), "no sound journal"),
    ],
)
def test_slips_are_one_line(slips, monkeypatch, words, said):
    monkeypatch.chdir(slips)
    assert said in command(*words, "--journal", "journal.sqlite").line
    opened, _ = open_journal(slips / "journal.sqlite")
    with closing(opened):
        assert len(run_lines(opened)) == 2
    assert not (slips / "out").exists()


@pytest.fixture(scope="module")
def slips(tmp_path_factory):
    """A folder with a journal, an empty folder, and a file that is no journal."""
    folder = tmp_path_factory.mktemp("slips")
    (folder / "empty").mkdir()
    (folder / "words.sqlite").write_text("words " * 1000)
    opened, _ = open_journal(folder / "journal.sqlite")
    with closing(opened):
        fill(opened)
    return folder


def test_beside_a_server(tmp_path):
    """What only reads works; what needs the journal for itself says who has it."""
    opened, _ = open_journal(tmp_path / "journal.sqlite")
    fill(opened)
    where = ("--journal", tmp_path / "journal.sqlite")
    with SmallBench() as bench, serving(tmp_path, bench, journal=opened):
        done("export", tmp_path / "out", "--as", "json", *where)
        done("backup", *where)
        assert "The journal is sound." in done("check", *where)
        (copy,) = (tmp_path / "backups").glob("*.sqlite")
        for words in (("import", tmp_path / "out"), ("restore", copy)):
            line = command(*words, *where).line
            assert "a server that records into it, at http://127.0.0.1:" in line
            assert "end `rimwright serve` first" in line


def test_a_journal_of_somebody_else(tmp_path):
    shutil.copy(__file__, tmp_path / "words.sqlite")
    for words in (("check",), ("records",), ("backup",)):
        assert "no journal" in command(*words, "--journal", tmp_path / "words.sqlite").line
