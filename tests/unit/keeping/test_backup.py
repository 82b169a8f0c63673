"""Backups: whole, looked over, thinned out; restored to a file and to a server."""

import os
import shutil
import sqlite3
import time
from calendar import timegm

import pytest

from journal_filled import NOW, fill, told
from journal_rows import new_run, sample, writing
from rimwright.errors import JournalError, OutputError
from rimwright.journal import backup as backup_module
from rimwright.journal import backup_rows
from rimwright.journal.backup import back_up, backup_folder, backups, restore
from rimwright.journal.devices import add_device, device_by_token
from rimwright.journal.keeping import Outcome, record_outcome
from rimwright.journal.locking import LockFile
from rimwright.journal.opening import open_journal
from rimwright.journal.runs import begin_run, run_lines, samples_after
from rimwright.journal.sqlite_file import driver

DAY_S = 86_400.0


def wall(text):
    return float(timegm(time.strptime(text, "%Y-%m-%d")))


def opened(path):
    journal, notices = open_journal(path)
    assert notices == ()
    return journal


def test_a_backup_is_a_journal_with_everything_in_it(journal, tmp_path):
    fill(journal)
    add_device(journal, "tablet", "0" * 64, True, NOW)
    path = back_up(journal, tmp_path / "backups", wall_s=NOW)
    assert path.name.endswith("-20251125-104832.sqlite")
    assert sorted(one.name for one in path.parent.iterdir()) == [path.name]
    copy = opened(shutil.copyfile(path, tmp_path / "copy.sqlite"))
    assert told(copy, tmp_path / "a") == told(journal, tmp_path / "b")
    # Runs that are open, numbers and devices too: it is the same journal, not an export.
    assert run_lines(copy) == run_lines(journal)
    assert device_by_token(copy, "0" * 64) is not None
    copy.close()


def test_where_backups_go(journal):
    folder = backup_folder(journal)
    if journal.kind == "sqlite":
        assert folder == journal.path.parent / "backups"
    else:
        assert folder.name == "backups"
    assert backups(journal, folder / "nothing here") == ()


def test_a_backup_is_of_one_moment_while_it_is_written(store, tmp_path):
    journal = store.open()
    run = begin_run(journal, new_run())
    with writing(journal, every_s=0.01) as writer:
        for round_ in range(6):
            first = 200 * round_ + 1
            writer.put(run, [sample(n) for n in range(first, first + 200)])
            known, _ = writer.kept(run)
            copy = opened(back_up(journal, tmp_path / "backups", wall_s=NOW + round_))
            rows = samples_after(copy, run)
            copy.close()
            assert rows == [sample(n) for n in range(1, len(rows) + 1)]
            assert known <= len(rows) <= first + 199
    journal.close()


def test_what_comes_in_during_a_server_s_backup_is_in_the_next(store, tmp_path, monkeypatch):
    if store.kind == "sqlite":
        pytest.skip("a file is copied in one step")
    journal = store.open()
    begin_run(journal, new_run())
    copy = backup_rows._copy

    def with_a_run_in_between(table, source, target):
        count = copy(table, source, target)
        if table.name == "runs":
            later = begin_run(journal, new_run(plan_code="LATER-1"))
            record_outcome(journal, later, Outcome(kind="sound", wall_s=NOW))
        return count

    monkeypatch.setattr(backup_rows, "_copy", with_a_run_in_between)
    first = opened(back_up(journal, tmp_path / "backups", wall_s=NOW))
    assert [line.plan_code for line in run_lines(first)] == ["WREN-721560"]
    first.close()
    monkeypatch.undo()
    second = opened(back_up(journal, tmp_path / "backups", wall_s=NOW + 1.0))
    assert len(run_lines(second)) == 2
    assert run_lines(second)[0].outcome == "sound"
    second.close()
    journal.close()


def test_the_newest_ten_and_one_of_each_month_are_kept(tmp_path):
    journal = opened(tmp_path / "journal.sqlite")
    begun = wall("2026-01-05")
    for day in range(0, 100, 2):
        back_up(journal, wall_s=begun + day * DAY_S, keep=10)
    # Kept beside them whatever happens: copies made before a change of schema, and set aside.
    others = ("journal-20240101-000000-schema-0001.sqlite", "journal-aside-20240101-000000.sqlite",
              "letters-20240101-000000.sqlite")  # fmt: skip
    for name in others:
        (backup_folder(journal) / name).write_bytes(b"")
    back_up(journal, wall_s=begun + 100 * DAY_S)
    kept = [time.strftime("%m-%d", time.gmtime(one.wall_s)) for one in backups(journal)]
    assert kept == [
        "04-15", "04-13", "04-11", "04-09", "04-07", "04-05", "04-03", "04-01", "03-30", "03-28",
        "02-28", "01-31",
    ]  # fmt: skip
    assert all((backup_folder(journal) / name).exists() for name in others)
    journal.close()


def test_two_in_one_second_are_two(tmp_path):
    journal = opened(tmp_path / "journal.sqlite")
    names = [back_up(journal, wall_s=NOW).name for _ in range(3)]
    assert len(set(names)) == 3
    assert [one.path.name for one in backups(journal)] == names[::-1]
    journal.close()


def test_without_room_nothing_is_begun_and_nothing_taken_away(tmp_path, monkeypatch):
    journal = opened(tmp_path / "journal.sqlite")
    first = back_up(journal, wall_s=NOW)
    usage = shutil.disk_usage(tmp_path)
    monkeypatch.setattr(backup_module.shutil, "disk_usage", lambda _: usage._replace(free=10**6))
    with pytest.raises(JournalError, match="1 MB free on the disk"):
        back_up(journal, wall_s=NOW + 5.0, keep=1)
    assert [one.path for one in backups(journal)] == [first]
    with pytest.raises(OutputError):
        back_up(journal, first / "a file is no folder")
    journal.close()


def test_a_copy_that_is_not_sound_gets_no_name(tmp_path, monkeypatch):
    journal = opened(tmp_path / "journal.sqlite")
    first = back_up(journal, wall_s=NOW)

    def spoiled(journal, part):
        shutil.copyfile(first, part)
        with part.open("r+b") as file:
            file.seek(4096 * 3)
            file.write(os.urandom(4096 * 4))

    monkeypatch.setattr(backup_module, "_copy_file", spoiled)
    with pytest.raises(JournalError, match=r"not sound|no sound journal"):
        back_up(journal, wall_s=NOW + 9.0, keep=1)
    assert [one.name for one in backup_folder(journal).iterdir()] == [first.name]
    journal.close()


def test_a_restored_file_is_as_the_backup_was_and_the_former_is_aside(tmp_path):
    path = tmp_path / "journal.sqlite"
    journal = opened(path)
    fill(journal)
    before = told(journal, tmp_path / "before")
    backup = back_up(journal, wall_s=NOW)
    begin_run(journal, new_run(plan_code="LATER-1"))
    later = told(journal, tmp_path / "later")
    journal.close()
    done = restore(path, backup, wall_s=NOW)
    assert done.aside == tmp_path / "journal-aside-20251125-104832.sqlite"
    assert "is as it was in" in done.words
    assert str(done.aside) in done.words
    for where, wanted in ((path, before), (done.aside, later)):
        again = opened(where)
        assert told(again, tmp_path / f"again-{where.stem}") == wanted
        again.close()
    assert backup.exists()
    # Into a place where no journal is.
    new = restore(tmp_path / "new" / "journal.sqlite", backup)
    assert new.aside is None
    again = opened(new.where)
    assert told(again, tmp_path / "new-one") == before
    again.close()


def test_a_server_s_journal_is_restored_and_goes_on_counting(store, tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    journal = store.open()
    fill(journal)
    before = told(journal, tmp_path / "before")
    numbers = run_lines(journal)
    backup = back_up(journal, tmp_path / "backups", wall_s=NOW)
    later = begin_run(journal, new_run(plan_code="LATER-1"))
    wanted_aside = told(journal, tmp_path / "later")
    journal.close()
    done = restore(store.where, backup, wall_s=NOW)
    journal = store.open()
    assert told(journal, tmp_path / "after") == before
    assert run_lines(journal) == numbers
    assert begin_run(journal, new_run()) == max(line.id for line in numbers) + 1 == later
    aside = opened(shutil.copyfile(done.aside, tmp_path / "aside.sqlite"))
    assert told(aside, tmp_path / "aside") == wanted_aside
    aside.close()
    journal.close()


def test_a_backup_goes_from_one_kind_of_journal_to_the_other(store, tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    file = opened(tmp_path / "file.sqlite")
    fill(file)
    wanted = told(file, tmp_path / "a")
    backup = back_up(file)
    file.close()
    restore(store.where, backup)
    journal = store.open()
    assert told(journal, tmp_path / "b") == wanted
    back = restore(tmp_path / "again.sqlite", back_up(journal, tmp_path / "second"))
    journal.close()
    again = opened(back.where)
    assert told(again, tmp_path / "c") == wanted
    again.close()


def test_what_is_no_backup_is_refused_and_the_journal_left(tmp_path):
    path = tmp_path / "journal.sqlite"
    journal = opened(path)
    begin_run(journal, new_run())
    backup = back_up(journal)
    journal.close()
    whole = backup.read_bytes()
    content = path.read_bytes()
    wrong = {"empty": b"", "letters": b"Dear shop" * 900, "cut": whole[: len(whole) // 2],
             "spoiled": whole[:12_288] + os.urandom(8192) + whole[20_480:]}  # fmt: skip
    for name, data in wrong.items():
        (tmp_path / name).write_bytes(data)
        with pytest.raises(JournalError) as error:
            restore(path, tmp_path / name)
        assert "\n" not in str(error.value)
    bare = sqlite3.connect(tmp_path / "stranger")
    bare.execute("CREATE TABLE runs (id INTEGER)")
    bare.close()
    with pytest.raises(JournalError, match="another program's database"):
        restore(path, tmp_path / "stranger")
    newer = shutil.copyfile(backup, tmp_path / "newer")
    bare = driver().connect(str(newer))
    bare.execute("UPDATE alembic_version SET version_num = '9999'")
    bare.commit()
    bare.close()
    with pytest.raises(JournalError, match="a newer Rimwright"):
        restore(path, newer)
    for nothing in (tmp_path / "not there", tmp_path, path):
        with pytest.raises(JournalError):
            restore(path, nothing)
    assert path.read_bytes() == content
    assert not list(tmp_path.glob("*aside*"))


def test_a_journal_that_is_recorded_into_is_not_restored_over(tmp_path):
    path = tmp_path / "journal.sqlite"
    journal = opened(path)
    backup = back_up(journal)
    holder = LockFile(path)
    holder.take_to_write()
    with pytest.raises(JournalError, match="another process that records into it"):
        restore(path, backup)
    holder.release()
    journal.close()
    assert restore(path, backup).aside is not None
