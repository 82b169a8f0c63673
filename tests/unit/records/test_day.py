"""Opening the record of a day that was read ten times a second; in the suite, once a second."""

import math
import time

import pytest

from counts import SOAK
from records_kept import BEGUN, HEAT_OFF, HEAT_ON, events, hard_run
from rimwright.desk.record import record_told
from rimwright.journal.opening import open_journal
from rimwright.journal.rows import SampleRow
from rimwright.journal.runs import NewRun, begin_run
from rimwright.journal.writer import Writer
from rimwright.sheets.record_html import served
from rimwright.sheets.record_page import record_page

#: [s]
LIMIT_S = 1.0
READINGS = 864_000 if SOAK else 86_400
EVERY_MS = 86_400_000 // READINGS


@pytest.fixture(scope="module")
def day(tmp_path_factory):
    """A run of 24 hours: a heat, then the rest."""
    journal, _ = open_journal(tmp_path_factory.mktemp("day") / "journal.sqlite")
    run = hard_run(journal)
    from rimwright.journal.runs import run_record

    record = run_record(journal, run)
    names = ("model", "plan_code", "hand", "piece", "simulated", "begun_wall_s", "run_plan",
             "plan_document", "model_version", "prediction")  # fmt: skip
    long = begin_run(
        journal,
        NewRun(**{name: getattr(record, name) for name in names}, probes=list(record.probes)),
    )
    writer = Writer(journal, most_waiting=2 * READINGS)
    writer.put(long, (), [one for one in events() if one.at_s <= HEAT_OFF])
    for first in range(0, READINGS, 100_000):
        writer.put(long, [_row(n) for n in range(first, min(first + 100_000, READINGS))])
        assert writer.flush(60.0)
    writer.stop()
    yield journal, long
    journal.close()


def _row(number):
    at_s = 0.001 * EVERY_MS * number
    hot = 90.0 * math.exp(-(((at_s - 300.0) / 200.0) ** 2))
    return SampleRow(number + 1, EVERY_MS * number, 0, 21.0 + hot + 0.1 * (number % 7))


@pytest.mark.alone
def test_it_opens_within_a_second(day):
    journal, run = day
    took = []
    for _ in range(3):
        began = time.perf_counter()
        text = record_page(record_told(journal, run), served("1"), str)
        took.append(time.perf_counter() - began)
    print(f"a day of {READINGS} readings opened in {min(took):.2f} s, limit {LIMIT_S:g} s")
    assert min(took) <= LIMIT_S
    assert f"{READINGS:,}" in text


def test_it_is_drawn_in_few_points_and_keeps_its_peak(day):
    journal, run = day
    told = record_told(journal, run)
    for panel in (told.curve.main, told.curve.rest):
        (curve,) = panel.curves
        points = [point for piece in curve.pieces for point in piece]
        assert 500 <= len(points) <= 1100
    highest = max(celsius for piece in told.curve.main.curves[0].pieces for _, celsius in piece)
    assert highest == pytest.approx(21.0 + 90.0 + 0.6, abs=0.2)
    assert told.curve.rest.end_s == pytest.approx(86_400.0 - HEAT_ON, abs=2.0)
    assert told.begun_wall_s == BEGUN
