"""Twenty runs at once, each with its page: how long from a reading to the page."""

import asyncio
import time

import numpy as np
import pytest

from commanded import server, told, waited  # noqa: F401
from counts import SOAK

_RUNS = 20
_SECONDS = 120.0 if SOAK else 12.0
_LATE_S = 0.25


async def _watched(server, run, until):  # noqa: F811
    """Lateness of every sample that came while the page was open. [s]"""
    late, last = [], 0
    async with server.page(run) as socket:
        hello = await told(socket)
        last = hello["seq"]
        while time.monotonic() < until:
            message = await told(socket)
            now_s = time.time()
            for seq, at_s, *_ in message["samples"]:
                assert seq == last + 1, "a sample is missing"
                last = seq
                # The moment of the reading on the wall, by the two times that the message tells.
                late.append(now_s - (message["wall_s"] - (message["at_s"] - at_s)))
    return late


@pytest.mark.alone
def test_twenty_runs_reach_their_pages_in_time(server):  # noqa: F811
    runs = [server.begin(name=f"probe {number}") for number in range(_RUNS)]

    async def all_of_them():
        until = time.monotonic() + _SECONDS
        return await asyncio.gather(*(_watched(server, run, until) for run in runs))

    late = waited(all_of_them())
    health = server.get(f"/api/runs/{runs[0]}")["recording"]
    server.end()
    per_run = np.array([len(one) for one in late])
    p99 = float(np.quantile(np.concatenate(late), 0.99))
    rate = per_run.mean() / _SECONDS
    print(f"{_RUNS} runs at {rate:.1f} readings a second: p99 from reading to page "
          f"{1e3 * p99:.0f} ms, limit {1e3 * _LATE_S:.0f} ms")  # fmt: skip
    assert health["ok"]
    assert health["dropped"] == 0
    assert rate > 9.0
    assert p99 <= _LATE_S
