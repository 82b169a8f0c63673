"""Pieces of mending: what is taken over, what stays behind, and what a lock file remembers."""

import json
import time
from pathlib import Path

import pytest

from journal_rows import new_run, put, sample
from journal_states import NAME, content
from rimwright.journal import salvage_rows
from rimwright.journal.backup import back_up
from rimwright.journal.locking import LockFile, Tally
from rimwright.journal.opening import open_journal
from rimwright.journal.runs import begin_run, open_runs, run_record, samples_after
from rimwright.journal.sqlite_file import driver


def grown(path: Path, plan: dict | None = None) -> None:
    journal, _ = open_journal(path)
    for number in (1, 2):
        more = {"plan_document": plan} if plan else {}
        put(journal, begin_run(journal, new_run(**more)), [sample(n) for n in range(1, 301)])
        assert open_runs(journal)[-1] == number
    journal.close()


def overwrite(path: Path, found: bytes, put_in: bytes) -> None:
    """Alter one place of a file, as a bad disk does."""
    data = path.read_bytes()
    assert found in data
    with path.open("rb+") as file:
        file.seek(data.index(found))
        file.write(put_in)


@pytest.mark.parametrize("backed_up", [False, True])
def test_a_long_text_that_cannot_be_read_does_not_cost_its_run(tmp_path: Path, backed_up: bool):
    path = tmp_path / NAME
    grown(path, {"steps": ["x" * 100] * 300})
    if backed_up:
        journal, _ = open_journal(path)
        back_up(journal)
        put(journal, 2, [sample(301)])
        journal.close()
    data = path.read_bytes()
    # A page in the middle of the first run's plan leads on to nowhere.
    full = (n for n in range(len(data) // 4096) if data[4096 * n :][:4096].count(b"x") > 3900)
    page = list(full)[2]
    with path.open("rb+") as file:
        file.seek(page * 4096)
        file.write(b"\xff\xff\xff\xff")
    journal, notices = open_journal(path)
    assert "was damaged" in notices[0]
    for run in (1, 2):
        assert len(samples_after(journal, run)) >= 300
    records = [run_record(journal, run) for run in (1, 2)]
    assert sum(record.plan_document is not None for record in records) == 1 + backed_up
    for record in records:
        assert record.run_plan == new_run().run_plan
        assert record.design_text == new_run().design_text
        assert (record.model, record.state) == ("Wren", "open")
    journal.close()


def test_text_that_is_none_is_found_and_left_behind(tmp_path: Path):
    path = tmp_path / NAME
    grown(path)
    overwrite(path, b'"mist"', b'"mi\xff\xfe"')
    journal, notices = open_journal(path)
    assert "altered rows in runs" in notices[0]
    plans = [run_record(journal, run).run_plan for run in (1, 2)]
    assert {} in plans
    assert new_run().run_plan in plans
    journal.close()


def test_what_was_taken_out_does_not_come_back_from_the_backup(tmp_path: Path):
    path = tmp_path / NAME
    grown(path)
    journal, _ = open_journal(path)
    with journal.writing() as connection:
        connection.exec_driver_sql("INSERT INTO about VALUES ('gone', 'x'), ('stays', 'y')")
    back_up(journal)
    with journal.writing() as connection:
        connection.exec_driver_sql("DELETE FROM about WHERE key = 'gone'")
    put(journal, 2, [sample(301)])
    journal.close()
    bare = driver().connect(str(path), isolation_level=None)
    bare.execute("UPDATE samples SET celsius = celsius + 0.25 WHERE run_id = 1 AND seq = 7")
    bare.close()
    journal, notices = open_journal(path)
    assert "what the backup of" in notices[0]
    # The altered one is there again, as it was.
    assert samples_after(journal, 1) == [sample(n) for n in range(1, 301)]
    assert samples_after(journal, 2) == [sample(n) for n in range(1, 302)]
    with journal.reading() as connection:
        assert connection.exec_driver_sql("SELECT key FROM about").all() == [("stays",)]
    journal.close()


def test_rows_of_a_record_that_is_gone_go_with_it(tmp_path: Path):
    path = tmp_path / NAME
    grown(path)
    bare = driver().connect(str(path), isolation_level=None)
    bare.execute("DELETE FROM runs WHERE id = 2")  # no foreign keys here
    bare.close()
    journal, notices = open_journal(path)
    assert "samples belong to no run" in notices[0]
    assert "run 2 as a whole (30.0 seconds)" in notices[0]
    assert open_runs(journal) == (1,)
    with journal.reading() as connection:
        assert connection.exec_driver_sql("SELECT count(*) FROM samples").scalar_one() == 300
    journal.close()


def test_a_sample_that_was_altered_is_a_hole_afterwards(tmp_path: Path):
    path = tmp_path / NAME
    grown(path)
    bare = driver().connect(str(path), isolation_level=None)
    bare.execute("UPDATE samples SET celsius = celsius + 0.25 WHERE run_id = 1 AND seq = 7")
    bare.close()
    journal, notices = open_journal(path)
    assert "altered rows in run 1" in notices[0]
    assert "1 row within run 1 (0.1 seconds)" in notices[0]
    assert [row.seq for row in samples_after(journal, 1)][:8] == [1, 2, 3, 4, 5, 6, 8, 9]
    journal.close()
    assert open_journal(path)[1] == ()


def test_what_can_be_read_is_copied_however_long_it_takes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    path = tmp_path / NAME
    journal, _ = open_journal(path)
    put(journal, begin_run(journal, new_run()), [sample(n) for n in range(1, 3001)])
    journal.close()
    data = path.read_bytes()
    pages = [data[start : start + 4096] for start in range(0, len(data), 4096)]
    # A leaf of samples: kind 10 of the file format, with many cells.
    leaves = [
        number
        for number, page in enumerate(pages)
        if page[0] == 10 and int.from_bytes(page[3:5], "big") > 100
    ]
    with path.open("rb+") as file:
        file.seek(4096 * leaves[3])
        file.write(b"\x55" * 4096)
    take = salvage_rows._Copy._take

    def slowly(copy, *keys) -> None:
        time.sleep(0.005)
        take(copy, *keys)

    monkeypatch.setattr(salvage_rows, "_ROWS", 20)
    monkeypatch.setattr(salvage_rows._Copy, "_take", slowly)
    monkeypatch.setattr("rimwright.journal.mending._SALVAGE_S", 0.1)
    journal, notices = open_journal(path)
    left = [row.seq for row in samples_after(journal, 1)]
    assert left[-1] == 3000
    assert 2800 < len(left) < 3000
    assert f"{3000 - len(left)} rows within run 1" in notices[0]
    journal.close()


def test_a_hole_is_noticed_after_a_cut_once(tmp_path: Path):
    path = tmp_path / NAME
    grown(path)
    bare = driver().connect(str(path), isolation_level=None)
    bare.execute("DELETE FROM samples WHERE run_id = 1 AND seq BETWEEN 100 AND 119")
    bare.close()
    lock = path.with_name(f"{NAME}.lock")
    said = json.loads(lock.read_bytes())
    assert said["state"] == "closed"
    said["state"] = "writing"
    lock.write_text(json.dumps(said))
    _, _, notices = content(path)
    assert "20 rows within run 1 (2.0 seconds)" in notices[0]
    lock.write_text(lock.read_text().replace('"closed"', '"writing"'))
    assert content(path)[2] == ()


def test_samples_that_were_given_up_are_no_damage(tmp_path: Path):
    path = tmp_path / NAME
    journal, _ = open_journal(path)
    run = begin_run(journal, new_run())
    journal.count({run: Tally(sample=0, holes=5)})
    put(journal, run, [sample(n) for n in range(1, 11)] + [sample(n) for n in range(16, 21)])
    journal.close()
    lock = path.with_name(f"{NAME}.lock")
    lock.write_text(lock.read_text().replace('"closed"', '"writing"'))
    journal, notices = open_journal(path)
    assert notices == ()
    journal.close()


@pytest.mark.parametrize("said", [b"", b"\xff", b"[]", b'{"state": 3}', b'{"runs": {"x": [1]}}'])
def test_a_lock_file_that_says_nonsense_says_nothing(tmp_path: Path, said: bytes):
    path = tmp_path / NAME
    grown(path)
    path.with_name(f"{NAME}.lock").write_bytes(said)
    journal, notices = open_journal(path)
    assert notices == ()
    begin_run(journal, new_run())
    journal.close()
    assert LockFile(path).read().state == "closed"


def test_what_a_lock_file_remembers(tmp_path: Path):
    path = tmp_path / NAME
    grown(path)
    mark = LockFile(path).read()
    assert mark.state == "closed"
    assert mark.runs == {1: Tally(300, 30_000, 0), 2: Tally(300, 30_000, 0)}
    journal, _ = open_journal(path)
    for _ in range(60):
        begin_run(journal, new_run())
    mark = LockFile(path).read()
    assert mark.state == "writing"
    assert max(mark.runs) == 62
    assert len(mark.runs) == 40
    assert len(path.with_name(f"{NAME}.lock").read_bytes()) == 4000
    journal.close()


def test_another_file_in_its_place_is_not_held_against_it(tmp_path: Path):
    path, other = tmp_path / NAME, tmp_path / "other" / NAME
    grown(path)
    journal, _ = open_journal(other)
    journal.close()
    other.replace(path)
    assert content(path)[2] == ()
