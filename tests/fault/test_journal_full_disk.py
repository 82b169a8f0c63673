"""The disk fills up while it records: said at once, nobody waits, and it goes on by itself."""

import contextlib
import os
import random
import resource
import subprocess
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from pathlib import Path

import pytest

from counts import SOAK
from journal_rows import event, new_run, sample, soon, writing
from journal_states import NAME
from rimwright.errors import JournalError, RimwrightError
from rimwright.journal.opening import open_journal
from rimwright.journal.runs import begin_run, events_of, samples_after
from rimwright.journal.sqlite_file import driver

_MOMENTS = 50 if SOAK else 4

Full = Callable[[Path], AbstractContextManager[None]]


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of its own of three megabytes."""
    if os.geteuid() != 0:
        pytest.skip("only root can mount a small disk; the limit on a file's length is tried")
    folder = tmp_path / "disk"
    folder.mkdir()
    done = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=3m", "tmpfs", str(folder)],
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    if done.returncode:
        pytest.skip(f"no small disk can be mounted here: {done.stderr.strip()}")
    try:
        yield folder
    finally:
        subprocess.run(["umount", "--lazy", str(folder)], check=True)


@contextlib.contextmanager
def filled(folder: Path) -> Iterator[None]:
    """Not a byte is free."""
    filler = folder / "filler"
    with filler.open("wb", buffering=0) as file, contextlib.suppress(OSError):
        while file.write(bytes(4096)):
            pass
    yield
    filler.unlink()


@contextlib.contextmanager
def no_file_may_grow(folder: Path) -> Iterator[None]:
    """Not a full disk, but an error of every write that makes a file longer."""
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    longest = max(path.stat().st_size for path in folder.iterdir() if path.is_file())
    resource.setrlimit(resource.RLIMIT_FSIZE, (min(longest, 8192), before[1]))
    yield
    resource.setrlimit(resource.RLIMIT_FSIZE, before)


def keeps_on(folder: Path, full: Full, name: str) -> None:
    """Record ten samples a second through several such moments."""
    journal, _ = open_journal(folder / NAME)
    run = begin_run(journal, new_run())
    moments = random.Random(25)
    done = threading.Event()
    longest, seq = 0.0, 0
    slow_notice = slow_again = 0.0
    # What is free is not looked at: it is the failing commit that must be noticed.
    with writing(journal, room=lambda: None) as writer:

        def record() -> None:
            nonlocal longest, seq
            while not done.wait(0.1):
                before = time.monotonic()
                seq += 1
                writer.put(run, [sample(seq)], [event(seq // 5)] if seq % 5 == 0 else [])
                writer.health()
                longest = max(longest, time.monotonic() - before)

        recording = threading.Thread(target=record)
        recording.start()
        try:
            for _ in range(_MOMENTS):
                time.sleep(moments.uniform(0.0, 0.6))
                with full(folder):
                    slow_notice = max(slow_notice, soon(lambda: not writer.health().ok))
                    assert writer.health().words
                    time.sleep(moments.uniform(0.0, 0.5))
                slow_again = max(slow_again, soon(lambda: writer.health().ok))
        finally:
            done.set()
            recording.join(10.0)
        assert writer.flush(10.0)
        assert writer.kept(run) == (seq, seq // 5)
        assert writer.health().dropped == 0
    assert samples_after(journal, run) == [sample(number) for number in range(1, seq + 1)]
    assert len(events_of(journal, run)) == seq // 5
    journal.close()
    bare = driver().connect(str(folder / NAME))
    assert bare.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
    bare.close()
    print(f"{name}, {_MOMENTS} moments, {seq} samples, none lost:")
    print(f"  not recording said after: measured {slow_notice:.2f} s, limit 2.00 s")
    print(f"  recording again after: measured {slow_again:.2f} s, limit 2.00 s")
    print(f"  longest that anybody waited for the disk: measured {longest:.3f} s, limit 0.250 s")
    assert slow_notice <= 2.0
    assert slow_again <= 2.0
    assert longest <= 0.25


@pytest.mark.slow
def test_a_full_disk(small_disk: Path):
    keeps_on(small_disk, filled, "full disk")


@pytest.mark.slow
def test_an_error_of_every_write(tmp_path: Path):
    keeps_on(tmp_path, no_file_may_grow, "no file may grow")


def test_a_small_disk_is_said_while_it_still_records(small_disk: Path):
    journal, _ = open_journal(small_disk / NAME)
    run = begin_run(journal, new_run())
    with writing(journal) as writer:
        soon(lambda: not writer.health().ok, 3.0)
        assert "free on the disk: make room" in writer.health().words
        writer.put(run, [sample(1)])
        assert writer.flush(5.0)
        assert writer.kept(run) == (1, 0)
    journal.close()


def test_a_journal_on_a_full_disk_is_refused_not_taken_for_damaged(small_disk: Path):
    path = small_disk / NAME
    journal, _ = open_journal(path)
    run = begin_run(journal, new_run())
    with writing(journal) as writer:
        writer.put(run, [sample(1)])
        assert writer.flush(5.0)
    journal.close()
    before = path.read_bytes()
    with filled(small_disk):
        with pytest.raises(JournalError, match="a full disk") as refused:
            open_journal(path)
        print(refused.value)
        assert path.read_bytes() == before
    journal, notices = open_journal(path)
    assert notices == ()
    assert samples_after(journal, run) == [sample(1)]
    journal.close()
    assert not list(small_disk.glob("*damaged*"))


def test_no_room_for_a_new_journal(small_disk: Path):
    with filled(small_disk), pytest.raises(RimwrightError, match="full disk"):
        open_journal(small_disk / "new" / NAME)
    assert not (small_disk / "new" / NAME).exists()
    with filled(small_disk), pytest.raises(RimwrightError, match="full disk"):
        open_journal(small_disk / NAME)
    assert {path.name for path in small_disk.iterdir()} <= {f"{NAME}.lock", "new"}
    journal, notices = open_journal(small_disk / NAME)
    assert notices == ()
    journal.close()


def test_a_damaged_journal_on_a_full_disk_is_left_as_it_is(small_disk: Path):
    path = small_disk / NAME
    journal, _ = open_journal(path)
    begin_run(journal, new_run())
    journal.close()
    path.write_bytes(path.read_bytes()[:50_000])
    before = path.read_bytes()
    with filled(small_disk):
        with pytest.raises(JournalError) as refused:
            open_journal(path)
        assert "full disk" in str(refused.value) or "No space" in str(refused.value)
    assert path.read_bytes() == before
    journal, notices = open_journal(path)
    assert "was damaged" in notices[0]
    journal.close()
