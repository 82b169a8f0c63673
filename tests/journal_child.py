"""A process that records ten samples a second until it is killed; run by the tests.

It says on its output what it put and what was acknowledged, each line at once. With "older" as
its third word it uses the SQLite that comes with Python.
"""

import os
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
if sys.argv[3:] == ["older"]:
    sys.modules["pysqlite3"] = None  # type: ignore[assignment]  # as where it has no wheel

from journal_rows import event, new_run, sample
from rimwright.journal.opening import open_journal
from rimwright.journal.runs import begin_run, events_of, last_sample, open_runs
from rimwright.journal.writer import Writer


def say(line: str) -> None:
    """One write, so that a kill cuts between lines."""
    os.write(1, f"{line}\n".encode())


def record(path: str, every_s: float) -> None:
    """Go on with the open run, or begin one."""
    journal, notices = open_journal(path)
    for notice in notices:
        say(f"notice {notice}")
    open_ones = open_runs(journal)
    run = open_ones[-1] if open_ones else begin_run(journal, new_run())
    last = last_sample(journal, run)
    seq = last.seq if last else 0
    events = events_of(journal, run)
    event_seq = events[-1].seq if events else 0
    writer = Writer(journal)
    say(f"run {run}")
    due, before = time.monotonic(), (0, 0)
    while True:
        seq += 1
        some = []
        if seq % 5 == 0:
            event_seq += 1
            some = [event(event_seq)]
        writer.put(run, [sample(seq)], some)
        say(f"put {seq}")
        due += every_s
        while (left := due - time.monotonic()) > 0:
            time.sleep(min(left, 0.01))
            kept = writer.kept(run)
            if kept != before:
                say(f"kept {kept[0]} {kept[1]}")
                before = kept


if __name__ == "__main__":
    record(sys.argv[1], float(sys.argv[2]))
