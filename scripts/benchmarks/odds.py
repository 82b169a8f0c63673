"""The odds: ten thousand sides, a plan's own, how cost grows, one worker beside two."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import distributed

from rimwright.bending.odds import odds_of
from rimwright.bending.odds_blocks import Mapper, Task
from rimwright.bending.odds_case import OddsCase, Sweep
from rimwright.desk.odds import case_of_plan, odds_for_plan
from rimwright.desk.spreading import on_cluster, on_threads
from rimwright.instrument.design_files.load import load_design
from rimwright.plan import Plan, make_plan
from scripts.benchmarks.timing import Figure, timed

WREN = Path("examples/tern-lane/wren.rim.toml")
#: Sides of the sweep on one worker and on two; with RIMWRIGHT_BENCH_LONG=1 one worker is at it
#: for about a minute.
SWEEP_SIDES = 6144 if os.environ.get("RIMWRIGHT_BENCH_LONG") else 1024
#: 300 steps, as the figure has it.
FINE = Sweep(samples=10_000, size=50, stations=200, steps=(214, 60, 24))


def seconds(mapper: Mapper, case: OddsCase) -> float:
    """Wall time of all sides of a case, without changes and shares."""
    tasks = [Task(0, "sides", block) for block in range(case.blocks)]
    start = time.perf_counter()
    for _ in mapper([case], tasks):
        pass
    return time.perf_counter() - start


def of_samples(case: OddsCase, samples: int) -> OddsCase:
    """The same case with that many sides."""
    return replace(case, blocks=-(-samples // case.size))


def cluster_seconds(workers: int, plan: Plan, case: OddsCase) -> float:
    """Wall time of a whole sweep on so many single-threaded worker processes."""
    local: Any = distributed.LocalCluster
    with local(
        n_workers=workers,
        threads_per_worker=1,
        processes=True,
        host="127.0.0.1",
        dashboard_address="127.0.0.1:0",
        silence_logs=50,
    ) as cluster:
        mapper = on_cluster(cluster.scheduler_address)
        # Every worker loads its kernels first.
        seconds(mapper, of_samples(case, 4 * workers * case.size))
        start = time.perf_counter()
        odds_of([(case, plan.outline, "")], mapper=mapper)
        return time.perf_counter() - start


def figures() -> Iterator[Figure]:
    """Each against what was promised."""
    plan = make_plan(load_design(WREN))
    yield timed(
        "Wren: a plan's odds and ranked changes, warm",
        lambda: odds_for_plan(plan),
        runs=3,
        limit_ms=1000,
    )
    case = case_of_plan(plan, FINE)
    one_piece = replace(case, pieces=case.pieces[1:])
    stations = one_piece.pieces[0].s.size
    steps = one_piece.pieces[0].bent.timetable.time_s.size
    threads = on_threads()
    seconds(threads, of_samples(one_piece, 100))
    for samples in (1000, 4000, 10_000):
        taken = seconds(threads, of_samples(one_piece, samples))
        yield Figure(
            name=f"{samples:,} sides, {stations} stations × 11 fibres × {steps} steps",
            value=taken,
            unit="s",
            limit=30.0 if samples == 10_000 else None,
            beside=f"{1e3 * taken / samples:.2f} ms a side",
        )
    sweep = case_of_plan(plan, Sweep(samples=SWEEP_SIDES))
    one = cluster_seconds(1, plan, sweep)
    two = cluster_seconds(2, plan, sweep)
    yield Figure(name=f"a sweep of {SWEEP_SIDES} sides on one worker process", value=one, unit="s")
    yield Figure(
        name="the same on two, share of one's time",
        value=round(two / one, 3),
        unit="",
        limit=0.6,
        beside=f"{two:.1f} s",
    )
