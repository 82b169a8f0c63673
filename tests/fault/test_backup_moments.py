"""Backups at random moments while a run is recorded: each whole, and complete to its instant."""

import random
import sys
import threading
import time

import pytest

from counts import SOAK
from journal_filled import NOW
from journal_rows import event, new_run, sample, writing
from rimwright.journal.backup import back_up, restore
from rimwright.journal.opening import open_journal
from rimwright.journal.runs import begin_run, events_of, samples_after
from rimwright.journal.sqlite_file import driver

MOMENTS = 50 if SOAK else 5
#: As a probe delivers.
HERTZ = 10.0
#: Of a run that was recorded before, so that a copy takes a while.
BEFORE = 200_000 if SOAK else 20_000
#: A page waits no longer than this for the disk: putting rows never does at all. [s]
PUT_S = 0.25


class Recording:
    """A probe that delivers ten readings a second, and the longest it waited to hand one on."""

    def __init__(self, writer, run):
        self.writer, self.run = writer, run
        self.seq, self.longest_s = BEFORE, 0.0
        self.ended = threading.Event()
        self.thread = threading.Thread(target=self.record)
        self.thread.start()

    def record(self):
        while not self.ended.wait(1.0 / HERTZ):
            self.seq += 1
            begun = time.perf_counter()
            self.writer.put(self.run, [sample(self.seq)], [event(self.seq - BEFORE)])
            self.longest_s = max(self.longest_s, time.perf_counter() - begun)

    def end(self):
        self.ended.set()
        self.thread.join(10.0)


def sound(path):
    bare = driver().connect(str(path))
    try:
        return bare.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
    finally:
        bare.close()


@pytest.mark.parametrize("library", ["the newest", "Python's own"])
def test_each_is_sound_and_holds_all_that_was_kept_before(library, tmp_path, monkeypatch):
    if library != "the newest":
        monkeypatch.setitem(sys.modules, "pysqlite3", None)
    dice = random.Random(11)
    journal, _ = open_journal(tmp_path / "journal.sqlite")
    print(f"{journal.engine_version}:")
    run = begin_run(journal, new_run())
    good, late, lost, took = 0, [], 0, 0.0
    with writing(journal) as writer:
        writer.put(run, [sample(n) for n in range(1, BEFORE + 1)])
        assert writer.flush(60.0)
        recording = Recording(writer, run)
        try:
            for number in range(MOMENTS):
                time.sleep(dice.uniform(0.0, 0.6))
                kept = writer.kept(run)
                begun = time.monotonic()
                backup = back_up(journal, tmp_path / "backups", wall_s=NOW + number)
                took = max(took, time.monotonic() - begun)
                restored = tmp_path / f"restored-{number}" / "journal.sqlite"
                done = restore(restored, backup)
                assert done.words == f"The journal is as it was in {backup.name}."
                copy, notices = open_journal(restored)
                assert notices == ()
                rows, events = samples_after(copy, run), events_of(copy, run)
                copy.close()
                lost += max(kept[0] - len(rows), 0) + max(kept[1] - len(events), 0)
                assert rows == [sample(n) for n in range(1, len(rows) + 1)]
                assert events == [event(n) for n in range(1, len(events) + 1)]
                good += sound(restored)
                health = writer.health()
                if not health.ok:
                    late.append(health.words)
        finally:
            recording.end()
        assert writer.flush(20.0)
    assert len(samples_after(journal, run)) == recording.seq
    journal.close()
    print(f"{MOMENTS} backups at 10 Hz: {good} sound, limit {MOMENTS}; {lost} kept rows missing, "
          f"limit 0; the longest took {took:.2f} s")  # fmt: skip
    waited_ms = 1e3 * recording.longest_s
    limit_ms = 1e3 * PUT_S
    print(f"the longest a reading waited: {waited_ms:.1f} ms, limit {limit_ms:.0f} ms; "
          f"times that recording was not well: {len(late)}, limit 0")  # fmt: skip
    assert (good, lost, late) == (MOMENTS, 0, [])
    assert recording.longest_s < PUT_S
