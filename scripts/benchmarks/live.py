"""The live bend: a tick, a forecast, and the journal beside bare SQLite doing the same writing."""

from __future__ import annotations

import sqlite3
import statistics
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from rimwright.desk.beginning import to_begin
from rimwright.desk.opening import open_design
from rimwright.equipment.probes import parse_probe
from rimwright.journal.opening import open_journal
from rimwright.journal.runs import SampleRow, samples_after, stretches_of
from rimwright.journal.writer import Writer
from rimwright.live.bench import LiveBench
from rimwright.live.clock import HandClock
from rimwright.live.readings import RawReading
from rimwright.plan import make_plan
from scripts.benchmarks.timing import Figure, timed

_WREN = Path(__file__).resolve().parents[2] / "examples/tern-lane/wren.rim.toml"
#: Rows of one commit, ten runs at ten a second for a quarter of a second and some; and commits.
_ROWS, _COMMITS = 40, 60


def figures() -> Iterator[Figure]:
    """One tick of a run in the heat; a day opened; rows committed, ours and bare."""
    with tempfile.TemporaryDirectory() as folder:
        yield from _ticks(Path(folder))
    with tempfile.TemporaryDirectory() as folder:
        yield from _commits(Path(folder))


def _ticks(folder: Path) -> Iterator[Figure]:
    journal, _ = open_journal(folder / "journal.sqlite")
    clock = HandClock()
    bench = LiveBench(journal, clock=clock, ticking=False, gap_s=1e6)
    document = make_plan(open_design(_WREN)).document
    new = to_begin(journal, document, hand="treble", settings=(parse_probe("waist=model"),))
    run = bench.begin(new)
    session = bench.session(run)
    (source,) = session.sources
    source.stop()

    def tick() -> None:
        clock.advance(0.1)
        session.hearing.deliver(
            RawReading(probe=0, celsius=60.0 + 1e-3 * clock.now(), heard_at_s=clock.now())
        )
        bench.tick()

    yield timed("one reading through judge, watch, alarms and calls", tick, runs=400)
    yield timed("what a page is shown, made anew", lambda: bench.view(run), runs=200)
    rows = [SampleRow(seq, 100 * seq, 0, 21.5) for seq in range(10_000, 874_000)]
    bench.writer.put(run, rows)
    bench.writer.flush(120.0)
    yield timed(
        "all 864 000 readings of a day read back", lambda: samples_after(journal, run), runs=3
    )
    yield timed(
        "a day opened as its curve",
        lambda: stretches_of(journal, run, 120.0),
        runs=5,
        limit_ms=1000,
    )
    bench.stop()
    journal.close()


def _commits(folder: Path) -> Iterator[Figure]:
    bare = sqlite3.connect(folder / "bare.sqlite", isolation_level=None)
    bare.execute("pragma journal_mode=wal")
    bare.execute("pragma synchronous=full")
    bare.execute("create table samples (run int, seq int, at_ms int, probe int, celsius real,"
                 " primary key (run, seq)) without rowid")  # fmt: skip
    bare_ms = _timed_commits(lambda rows: _bare(bare, rows))
    bare.close()
    journal, _ = open_journal(folder / "journal.sqlite")
    bench = LiveBench(journal, ticking=False)
    document = make_plan(open_design(_WREN)).document
    new = to_begin(journal, document, hand="bass", settings=(parse_probe("waist=model"),))
    run = bench.begin(new)
    bench.session(run).stop()
    writer = Writer(journal, every_s=60.0)

    def ours(rows: list[SampleRow]) -> None:
        writer.put(run, rows)
        writer.flush()

    times = _timed_commits(ours)
    writer.stop()
    bench.stop()
    journal.close()
    yield Figure(
        name=f"{_ROWS} readings kept: handed in, committed, acknowledged",
        value=statistics.median(times), unit="ms", least=min(times), greatest=max(times),
        beside=f"bare sqlite3, same log, full sync: {statistics.median(bare_ms):.1f} ms",
    )  # fmt: skip


def _timed_commits(commit) -> list[float]:  # type: ignore[no-untyped-def]
    times = []
    for number in range(_COMMITS):
        first = 1_000_000 + number * _ROWS
        rows = [SampleRow(seq, 100 * seq, 0, 21.5) for seq in range(first, first + _ROWS)]
        start = time.perf_counter()
        commit(rows)
        times.append(1e3 * (time.perf_counter() - start))
    return times[5:]


def _bare(connection: sqlite3.Connection, rows: list[SampleRow]) -> None:
    connection.execute("begin")
    connection.executemany(
        "insert into samples values (1, ?, ?, ?, ?)",
        [(row.seq, row.at_ms, row.probe, row.celsius) for row in rows],
    )
    connection.execute("commit")
