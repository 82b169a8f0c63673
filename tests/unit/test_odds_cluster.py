"""The same odds from a cluster of two workers, one of which is killed on the way."""

from __future__ import annotations

import os
import signal
from dataclasses import replace
from pathlib import Path

import pytest

from rimwright.bending.odds import odds_of
from rimwright.bending.odds_case import Sweep
from rimwright.desk.odds import case_of_plan
from rimwright.desk.opening import open_design
from rimwright.desk.spreading import on_cluster
from rimwright.document import dump
from rimwright.errors import DesignError
from rimwright.plan import make_plan

TERN_LANE = Path(__file__).resolve().parents[2] / "examples" / "tern-lane"
distributed = pytest.importorskip("distributed")


@pytest.mark.slow
def test_a_killed_worker_loses_nothing() -> None:
    plan = make_plan(open_design(TERN_LANE / "wren.rim.toml"))
    case = case_of_plan(plan, Sweep(samples=128, size=8, stations=64, steps=(120, 24, 4)))
    cases = [(case, plan.outline, "a"), (replace(case, seed=9), plan.outline, "b")]
    here = odds_of(cases)
    with (
        distributed.LocalCluster(
            n_workers=2,
            threads_per_worker=1,
            processes=True,
            host="127.0.0.1",
            dashboard_address="127.0.0.1:0",
            silence_logs=50,
        ) as cluster,
        distributed.Client(cluster, set_as_default=False) as client,
    ):
        workers = client.run(os.getpid)
        assert len(set(workers.values())) == 2
        killed: list[int] = []

        def kill_one(done: int, _of: int) -> None:
            if done >= 3 and not killed:
                killed.append(next(iter(workers.values())))
                os.kill(killed[0], signal.SIGKILL)

        there = odds_of(cases, mapper=on_cluster(cluster.scheduler_address, kill_one))
    assert killed
    assert [dump(one.plain()) for one in there] == [dump(one.plain()) for one in here]


def test_a_cluster_without_workers_is_said() -> None:
    with (
        distributed.LocalCluster(
            n_workers=0, host="127.0.0.1", dashboard_address="127.0.0.1:0", silence_logs=50
        ) as cluster,
        pytest.raises(DesignError, match="without workers"),
    ):
        list(on_cluster(cluster.scheduler_address)([], []))
