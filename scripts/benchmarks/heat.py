"""The heat run beside scikit-fem doing the same heat-up, its cost by cells, and the fit."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from rimwright.bending.heat import heat_run
from rimwright.bending.heat_fit import fit_heat
from rimwright.bending.heat_inputs import HeatInputs, case_of
from rimwright.bending.heat_solve import solve
from rimwright.instrument.design import Wetting
from scripts.benchmarks.heat_fem import heat_up
from scripts.benchmarks.timing import Figure, timed

_COLD = (
    "import time; start = time.perf_counter(); "
    "from rimwright.bending.heat_inputs import HeatInputs, case_of; "
    "from rimwright.bending.heat_solve import solve; "
    "import numpy; before = time.perf_counter(); "
    "solve(case_of(HeatInputs(thickness_m=0.0021))); "
    "print(1e3 * (time.perf_counter() - before))"
)


def _loading() -> Figure:
    """A fresh process's first heat run: compiler imported, kernels read from the cache."""
    command = [sys.executable, "-c", _COLD]
    times = [
        float(subprocess.run(command, capture_output=True, text=True, check=True).stdout)
        for _ in range(6)
    ][1:]
    return Figure(
        name="first heat run of a process: compiler, kernels from the cache",
        value=sorted(times)[len(times) // 2],
        unit="ms",
        limit=1000,
        least=min(times),
        greatest=max(times),
    )


def figures() -> Iterator[Figure]:
    """Runs, ranges, fit; scikit-fem in the same run."""
    bend = HeatInputs(thickness_m=0.0021, gravity=0.76, bend_s=900.0 - 127.0)
    case = case_of(bend)
    yield timed("15 minutes, misted to 230 °F and held", lambda: solve(case), runs=15, limit_ms=3)
    dry = replace(
        bend, wetting=Wetting(method="dry"), early_alarm_c=138.0, target_c=149.0, bend_s=680.0
    )
    dry_case = case_of(dry)
    yield timed("15 minutes, dry to 300 °F and held", lambda: solve(dry_case), runs=15, limit_ms=3)
    day = case_of(replace(bend, bend_s=300.0, rest_s=86_400.0))
    yield timed("5 minutes' bend and 24 h of rest", lambda: solve(day), runs=15)
    for cells in (11, 22, 44, 88):
        fine = case_of(replace(bend, fibres=cells))
        yield timed(f"the first with {cells} cells of wood", lambda fine=fine: solve(fine), runs=9)
    yield timed("heat run with every range", lambda: heat_run(replace(bend, bend_s=300.0)), runs=9)
    yield _loading()

    schedule = ((0.0, 1.0), (125.0, 0.45), (320.0, 0.0))
    measured = replace(bend, control="schedule", schedule=schedule, bend_s=500.0)
    truth = solve(case_of(measured))
    time = np.linspace(0.0, 500.0, 2000)
    noise = np.random.default_rng(1).normal(0.0, 0.7, time.size)
    readings = np.interp(time, truth.time_s, truth.probe_c) + noise
    yield timed(
        "fit to 500 s of readings", lambda: fit_heat(measured, time, readings), runs=9, limit_ms=50
    )

    plain = case_of(replace(bend, control="schedule", bend_s=200.0, wetting=Wetting(method="dry")))
    sealed = {"steam_escape_kg_m2_s": 0.0, "drying_share": 0.0, "probe_lag_s": 0.0}
    plain = replace(plain, values=replace(plain.values, **sealed))
    ours = timed("heat-up of 200 s, nothing evaporating: ours", lambda: solve(plain), runs=15)
    yield ours
    theirs = timed(
        "the same in scikit-fem, steps of 1 s, one solve a step",
        lambda: heat_up(plain, end_s=200.0, step_s=1.0, repeats=1),
        runs=3,
    )
    yield replace(theirs, beside=f"ours is {theirs.value / ours.value:.0f} times faster")
