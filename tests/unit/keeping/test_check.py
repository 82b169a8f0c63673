"""The journal looked over: what is sound says so, and each fault is found and named."""

import shutil

import pytest

from journal_filled import NOW, fill
from journal_rows import event, new_run, put, sample
from rimwright.journal import check as check_module
from rimwright.journal import network, sqlite_file
from rimwright.journal.backup import back_up
from rimwright.journal.check import check
from rimwright.journal.opening import open_journal
from rimwright.journal.runs import EventRow, begin_run, end_run
from rimwright.journal.sqlite_file import driver

DAY_S = 86_400.0


@pytest.fixture
def path(tmp_path):
    return tmp_path / "journal.sqlite"


def about(findings, subject, level):
    return [one.words for one in findings.found if (one.about, one.level) == (subject, level)]


def altered(path, *statements):
    """Change a journal behind its back."""
    bare = driver().connect(str(path))
    bare.execute("PRAGMA foreign_keys = OFF")
    for statement in statements:
        bare.execute(statement)
    bare.commit()
    bare.close()


def looked_over(path, **options):
    """Findings of a journal that is opened without being mended first."""
    engine = sqlite_file.sqlite_journal(path, sqlite_file.LockFile(path))
    findings = check(engine, **options)
    engine.close()
    return findings


def test_a_sound_journal_says_so_in_words(journal):
    fill(journal)
    findings = check(journal, wall_s=NOW + 3600.0)
    assert findings.sound
    assert not [line for line in findings.lines if line.startswith("Bad")]
    said = " ".join(findings.lines)
    assert "No reading is missing in any run." in said
    assert "1 run open, none for more than a week." in said
    assert "MB" in said
    assert {"version", "sound", "holes", "open runs", "size", "backups"} <= {
        one.about for one in findings.found
    }
    assert "lane" not in said  # the server's password


def test_missing_readings_are_bad_unless_the_log_tells_of_them(journal):
    whole, holed, told = (begin_run(journal, new_run()) for _ in range(3))
    put(journal, whole, [sample(n) for n in range(1, 50)], [event(1), event(2)])
    put(journal, holed, [sample(n) for n in (1, 2, 5, 6, 9)], [event(1), event(3)])
    gap = EventRow(1, 1.0, NOW, "not_recorded", {"samples": 4, "events": 0})
    put(journal, told, [sample(n) for n in (3, 4, 7)], [gap])
    findings = check(journal, wall_s=NOW)
    assert not findings.sound
    assert about(findings, "holes", "bad") == [
        f"Run {holed} lacks 4 of 9 readings, and its log tells of 0.",
        f"Run {holed} lacks 1 of 3 events, and its log tells of 0.",
    ]
    assert about(findings, "holes", "look") == [
        f"Run {told}: 4 readings could not be kept, as its log says."
    ]


def test_a_run_that_was_forgotten(journal):
    old = begin_run(journal, new_run(begun_wall_s=NOW - 9.0 * DAY_S))
    begin_run(journal, new_run(begun_wall_s=NOW - 6.0 * DAY_S))
    findings = check(journal, wall_s=NOW)
    words = f"Run {old} (Wren) has been open for 9 days: end or abandon it."
    assert about(findings, "open runs", "look") == [words]
    end_run(journal, old, "abandoned", NOW)
    assert about(check(journal, wall_s=NOW), "open runs", "look") == []


def test_backups_and_their_age(path):
    journal, _ = open_journal(path)
    assert about(check(journal, wall_s=NOW), "backups", "fine")
    run = begin_run(journal, new_run(begun_wall_s=NOW))
    assert "There is no backup yet" in about(check(journal, wall_s=NOW), "backups", "look")[0]
    end_run(journal, run, "ended", NOW)
    back_up(journal, wall_s=NOW)
    (words,) = about(check(journal, wall_s=NOW + 3.0 * DAY_S), "backups", "fine")
    assert words.endswith("is of 3 days ago.")
    begin_run(journal, new_run(begun_wall_s=NOW + 20.0 * DAY_S))
    (words,) = about(check(journal, wall_s=NOW + 20.0 * DAY_S), "backups", "look")
    assert "make another" in words
    journal.close()


def test_altered_rows_lost_references_and_spoiled_pages_are_found(path):
    journal, _ = open_journal(path)
    run, _ = fill(journal, samples=2000, photographs=0)
    journal.close()
    whole = shutil.copyfile(path, path.with_name("whole"))
    assert looked_over(path, wall_s=NOW).sound
    altered(path, f"UPDATE samples SET celsius = 99.0 WHERE run_id = {run} AND seq = 7")
    (found, advice) = about(looked_over(path, wall_s=NOW), "sound", "bad")
    assert found == f"The file is damaged: altered rows in run {run}."
    assert "the file is kept" in advice
    shutil.copyfile(whole, path)
    altered(path, "DELETE FROM instruments")
    found = about(looked_over(path, wall_s=NOW), "sound", "bad")
    assert "of sides refers to a row of instruments that is not there" in found[0]
    shutil.copyfile(whole, path)
    size = path.stat().st_size
    with path.open("r+b") as file:
        file.seek(size // 2 // 4096 * 4096)
        file.write(b"\xa5" * 8192)
    assert about(looked_over(path, wall_s=NOW), "sound", "bad")


def test_little_room_and_a_network_folder(path, tmp_path, monkeypatch):
    journal, _ = open_journal(path)
    usage = shutil.disk_usage(tmp_path)
    for free, level in ((2 * 10**9, "fine"), (5 * 10**8, "look"), (10**7, "bad")):
        monkeypatch.setattr(
            check_module.shutil, "disk_usage", lambda _, free=free: usage._replace(free=free)
        )
        assert about(check(journal, wall_s=NOW), "room", level)
    mounts = tmp_path / "mounts"
    mounts.write_text(f"shop:/bench {tmp_path} nfs4 rw 0 0\n")
    monkeypatch.setattr(network, "_MOUNTS", mounts)
    (words,) = about(check(journal, wall_s=NOW), "place", "bad")
    assert "network folder (nfs4)" in words
    journal.close()


def test_an_old_library_is_named(path, monkeypatch):
    journal, _ = open_journal(path)
    assert len(about(check(journal, wall_s=NOW), "version", "look")) == 0
    monkeypatch.setattr(sqlite_file, "log_is_sound", lambda _: False)
    (words,) = about(check(journal, wall_s=NOW), "version", "look")
    assert "3.51.2" in words
    journal.close()
