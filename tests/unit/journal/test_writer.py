"""The writer: never waits, acknowledges what is committed, remembers what is not."""

import contextlib
import os
import signal
import threading
import time
from pathlib import Path

import pytest

from journal_rows import event, new_run, sample, soon, writing
from journal_stores import Store, the_server
from rimwright.errors import JournalError
from rimwright.journal.engine import Journal
from rimwright.journal.opening import open_journal
from rimwright.journal.runs import EventRow, SampleRow, begin_run, events_of, samples_after
from rimwright.journal.sqlite_file import driver
from rimwright.journal.writer import LEAST_ROOM, Writer


def test_what_is_acknowledged_is_there(journal: Journal):
    run, other = begin_run(journal, new_run()), begin_run(journal, new_run())
    with writing(journal) as writer:
        assert writer.kept(run) == (0, 0)
        writer.put(run, [sample(1), sample(2)], [event(1)])
        writer.put(other, [sample(1)])
        took = soon(lambda: writer.kept(run) == (2, 1) and writer.kept(other) == (1, 0), 5.0)
        print(f"acknowledged after: measured {took:.2f} s, limit 0.50 s")
        health = writer.health()
        assert (health.ok, health.words, health.waiting, health.dropped) == (True, "", 0, 0)
        assert health.last_commit_s < 5.0
    assert samples_after(journal, run) == [sample(1), sample(2)]
    assert events_of(journal, run) == [event(1)]


def test_stopping_writes_what_waits_and_says_so(journal: Journal):
    run = begin_run(journal, new_run())
    writer = Writer(journal, every_s=30.0)
    writer.put(run, [sample(1)])
    writer.stop()
    assert samples_after(journal, run) == [sample(1)]
    assert writer.health().words == "The writer was stopped"
    writer.put(run, [sample(2)])
    assert not writer.flush(0.1)


def test_many_threads_at_once(journal: Journal):
    runs = [begin_run(journal, new_run()) for _ in range(6)]
    with writing(journal) as writer:

        def log(run: int) -> None:
            for seq in range(1, 201):
                writer.put(run, [sample(seq)], [event(seq)] if seq % 20 == 0 else [])

        threads = [threading.Thread(target=log, args=(run,)) for run in runs]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert writer.flush(20.0)
    for run in runs:
        assert samples_after(journal, run) == [sample(seq) for seq in range(1, 201)]
        assert [one.seq for one in events_of(journal, run)] == list(range(20, 201, 20))


def test_a_lost_answer_neither_doubles_nor_fails(journal: Journal, monkeypatch: pytest.MonkeyPatch):
    run = begin_run(journal, new_run())
    true_writing = journal.writing
    lost = []

    @contextlib.contextmanager
    def answer_is_lost():
        with true_writing() as connection:
            yield connection
        if not lost:
            lost.append(True)
            raise JournalError("no answer", "one", "wait")

    monkeypatch.setattr(journal, "writing", answer_is_lost)
    with writing(journal) as writer:
        writer.put(run, [sample(1)], [event(1)])
        soon(lambda: lost)
        assert writer.kept(run) == (0, 0)
        writer.put(run, [sample(2)])
        soon(lambda: writer.kept(run) == (2, 1))
        assert writer.health().dropped == 0
    assert samples_after(journal, run) == [sample(1), sample(2)]
    assert events_of(journal, run) == [event(1)]


def test_memory_is_bounded_and_events_are_never_given_up(
    journal: Journal, monkeypatch: pytest.MonkeyPatch
):
    run = begin_run(journal, new_run())
    away = threading.Event()

    @contextlib.contextmanager
    def gone(true=journal.writing):
        if not away.is_set():
            raise JournalError("a full disk", "free space", "make room on the disk")
        with true() as connection:
            yield connection

    monkeypatch.setattr(journal, "writing", gone)
    with writing(journal, every_s=0.01, most_waiting=100) as writer:
        writer.put(run, [sample(1)])
        soon(lambda: not writer.health().ok)
        for seq in range(2, 502):
            writer.put(run, [sample(seq)], [event(seq - 1)])
        health = writer.health()
        assert health.words == "A full disk: make room on the disk"
        # The first was in the batch that is tried again, the others wait.
        assert (health.dropped, health.waiting) == (400, 1 + 100 + 500)
        away.set()
        soon(lambda: writer.kept(run) == (501, 500))
        assert writer.health().ok
    assert [one.seq for one in samples_after(journal, run)] == [1, *range(402, 502)]
    assert len(events_of(journal, run)) == 500


def test_a_row_that_no_database_takes_does_not_hold_up_the_others(journal: Journal):
    run = begin_run(journal, new_run())
    with writing(journal) as writer:
        writer.put(run, [sample(1)], [event(1)])
        writer.put(999, [sample(1)], [event(1)])  # no such run
        writer.put(run, [SampleRow(2, "soon", 0, 1.0)])  # type: ignore[arg-type]
        writer.put(run, [sample(3)], [EventRow(2, 1.0, 1.0, "note", {"x": {1, 2}})])
        assert writer.flush(10.0)
        assert writer.health().ok
        assert writer.health().dropped == 3
    assert samples_after(journal, run) == [sample(1), sample(3)]
    assert [one.seq for one in events_of(journal, run)] == [1, 2]


def test_little_room_is_said_before_it_is_none(journal: Journal):
    room = [LEAST_ROOM]
    with writing(journal, room=lambda: room[0]) as writer:
        time.sleep(0.3)
        assert writer.health().ok
        room[0] = 40_000_000
        took = soon(lambda: not writer.health().ok, 5.0)
        print(f"little room said after: measured {took:.2f} s, limit 2.00 s")
        assert took < 2.0
        assert writer.health().words == "Only 40 MB free on the disk: make room"
        room[0] = LEAST_ROOM
        soon(lambda: writer.health().ok)


def test_a_disk_that_does_not_answer_is_noticed_and_nobody_waits_for_it(
    journal: Journal, monkeypatch: pytest.MonkeyPatch
):
    run = begin_run(journal, new_run())
    hanging, go_on = threading.Event(), threading.Event()

    @contextlib.contextmanager
    def slow(true=journal.writing):
        hanging.set()
        go_on.wait(30.0)
        with true() as connection:
            yield connection

    monkeypatch.setattr(journal, "writing", slow)
    with writing(journal) as writer:
        writer.put(run, [sample(1)])
        assert hanging.wait(5.0)
        longest = 0.0
        began = time.monotonic()
        while writer.health().ok:
            assert time.monotonic() - began < 5.0
            before = time.monotonic()
            writer.put(run, [sample(2)])
            writer.kept(run)
            longest = max(longest, time.monotonic() - before)
            time.sleep(0.01)
        took = time.monotonic() - began
        print(f"noticed after: measured {took:.2f} s, limit 2.00 s")
        print(f"longest that a thread waited to hand in: measured {longest:.3f} s, limit 0.250 s")
        assert took < 2.0
        assert longest < 0.25
        assert "takes long" in writer.health().words
        go_on.set()
        soon(lambda: writer.health().ok)


def test_a_locked_or_lost_database_and_back(store: Store):
    """Another program holds the file; the server is away. It says so, and goes on by itself."""
    journal = store.open()
    run = begin_run(journal, new_run())
    with writing(journal) as writer:
        writer.put(run, [sample(1)])
        assert writer.flush(10.0)
        with _away(store):
            writer.put(run, [sample(2)], [event(1)])
            took = soon(lambda: not writer.health().ok)
            print(f"{store.kind}: not recording said after: measured {took:.2f} s, limit 2.00 s")
            assert took < 2.0
            assert writer.health().words
            for seq in range(3, 40):
                writer.put(run, [sample(seq)])
                time.sleep(0.02)
            assert writer.kept(run) == (1, 0)
        took = soon(lambda: writer.kept(run) == (39, 1))
        print(f"{store.kind}: recording again after: measured {took:.2f} s, limit 5.00 s")
        assert took < 5.0
        assert writer.health().ok
    assert samples_after(journal, run) == [sample(seq) for seq in range(1, 40)]
    journal.close()


def test_a_server_that_hangs(tmp_path: Path):
    """Its process stands still: the link is there, no answer comes."""
    server = the_server()
    name = server.new_database()
    journal, _ = open_journal(server.address(name))
    run = begin_run(journal, new_run())
    with writing(journal) as writer:
        writer.put(run, [sample(1)])
        assert writer.flush(10.0)
        with journal.writing() as connection:
            process = connection.exec_driver_sql("SELECT pg_backend_pid()").scalar_one()
        os.kill(process, signal.SIGSTOP)
        try:
            writer.put(run, [sample(2)])
            took = soon(lambda: not writer.health().ok)
        finally:
            os.kill(process, signal.SIGCONT)
        print(f"a server that hangs said after: measured {took:.2f} s, limit 2.00 s")
        assert took < 2.0
        soon(lambda: writer.kept(run) == (2, 0))
        assert writer.health().ok
    journal.close()
    server.drop(name)


@contextlib.contextmanager
def _away(store: Store):
    if store.kind == "sqlite":
        bare = driver().connect(store.where, isolation_level=None)
        bare.execute("BEGIN IMMEDIATE")
        yield
        bare.execute("ROLLBACK")
        bare.close()
        return
    the_server().stop("QUIT")
    yield
    the_server().start()
