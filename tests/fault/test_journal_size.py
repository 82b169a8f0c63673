"""Days of samples in one file: its size, and how long it takes to open a day."""

import os
import time
from pathlib import Path

import pytest
from sqlalchemy import insert

from counts import SOAK
from journal_rows import event, new_run, sample
from journal_states import NAME
from rimwright.journal import tables
from rimwright.journal.opening import open_journal
from rimwright.journal.row_values import event_values, sample_values
from rimwright.journal.runs import (
    begin_run,
    run_lines,
    run_record,
    samples_after,
    stretches_of,
)

#: Of three days at ten samples a second; a tenth of it in the suite.
_SHARE = 1.0 if SOAK else 0.1
_A_DAY = round(864_000 * _SHARE)


@pytest.mark.slow
@pytest.mark.alone
def test_three_days_in_a_file_and_a_day_opened(tmp_path: Path):
    path = tmp_path / NAME
    journal, _ = open_journal(path)
    for _ in range(3):
        run = begin_run(journal, new_run())
        for first in range(1, _A_DAY + 1, 20_000):
            last = min(first + 19_999, _A_DAY)
            some = [sample_values(run, sample(seq)) for seq in range(first, last + 1)]
            # One thing happens every ten seconds.
            noted = [event_values(run, event(seq)) for seq in range(first // 100 + 1, last // 100)]
            with journal.writing() as connection:
                connection.execute(insert(tables.samples), some)
                connection.execute(insert(tables.events), noted)
    journal.close()
    size = path.stat().st_size / 1e6
    print(f"72 h at 10 Hz, {_SHARE:.0%} of it: measured {size:.1f} MB, limit {150 * _SHARE:.0f} MB")
    assert size < 150.0 * _SHARE

    began = time.monotonic()
    journal, notices = open_journal(path)
    opened = time.monotonic() - began
    assert notices == ()
    a_day = float("inf")
    for _ in range(3):
        began = time.monotonic()
        record, curve = run_record(journal, 2), stretches_of(journal, 2, 60.0)
        a_day = min(a_day, time.monotonic() - began)
    assert record.samples == _A_DAY
    assert len(curve) >= _A_DAY // 600
    began = time.monotonic()
    assert len(run_lines(journal)) == 3
    listed = time.monotonic() - began
    began = time.monotonic()
    assert len(samples_after(journal, 2)) == _A_DAY
    every = time.monotonic() - began
    journal.close()
    print(f"journal opened and looked over: measured {opened:.2f} s, limit 3.00 s")
    print(
        f"a day opened, record and curve, {_SHARE:.0%} of it: measured {a_day:.2f} s, limit 1.00 s"
    )
    print(f"list of runs: measured {listed:.3f} s; every sample of that day: {every:.2f} s")
    assert opened < 3.0
    assert a_day < 1.0


@pytest.mark.slow
@pytest.mark.alone
def test_a_large_journal_with_a_bad_page_still_starts(tmp_path: Path):
    path = tmp_path / NAME
    journal, _ = open_journal(path)
    run = begin_run(journal, new_run())
    for first in range(1, _A_DAY + 1, 20_000):
        with journal.writing() as connection:
            some = [sample_values(run, sample(first + ahead)) for ahead in range(20_000)]
            connection.execute(insert(tables.samples), some)
    journal.close()
    with path.open("rb+") as file:
        file.seek(path.stat().st_size // 8192 * 4096)
        file.write(os.urandom(4096))
    began = time.monotonic()
    journal, notices = open_journal(path)
    took = time.monotonic() - began
    print(notices[0].replace(str(tmp_path), "..."))
    print(
        f"a day with a bad page, {_SHARE:.0%} of it, started: measured {took:.2f} s, limit 5.00 s"
    )
    assert "rows within run 1" in notices[0]
    left = run_record(journal, run).samples
    assert left > 0.9 * _A_DAY
    journal.close()
    assert took < 5.0
