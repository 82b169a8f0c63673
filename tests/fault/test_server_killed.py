"""The server is killed in mid-bend and started again: the run goes on where it was."""

import random
import signal
import time

import numpy as np
import pytest

from commanded import server, to_the_heat, told, waited  # noqa: F401
from counts import SOAK
from rimwright.journal.opening import open_journal
from rimwright.journal.runs import events_of, samples_after

_KILLS = 30 if SOAK else 3
_RECORDING_S = 3.0


class Page:
    """A page that was open: every sample it has, by number."""

    def __init__(self, server, run):  # noqa: F811
        self.server, self.run = server, run
        self.samples, self.boot = {}, ""

    async def listen(self, seconds):
        since = max(self.samples, default=0)
        async with self.server.page(self.run, since, self.boot) as socket:
            hello = await told(socket)
            self.boot = hello["boot"]
            if hello["rewind"] is not None:
                self.samples = {
                    seq: one for seq, one in self.samples.items() if seq <= hello["rewind"]
                }
            end = time.monotonic() + seconds
            while time.monotonic() < end:
                message = await told(socket)
                for seq, at_s, _, celsius, fault in message["samples"]:
                    assert seq not in self.samples, "a sample came twice"
                    self.samples[seq] = (at_s, celsius, fault)


@pytest.mark.alone
def test_a_bend_goes_on_after_each_kill(server):  # noqa: F811
    moments = random.Random(7)
    run = server.begin()
    to_the_heat(server, run)
    server.tap(run, "note", text="first", key="the-very-same-tap")
    page = Page(server, run)
    starts = []
    for _ in range(_KILLS):
        waited(page.listen(moments.uniform(0.7, 2.0)))
        server.end(signal.SIGKILL)
        server.start()
        last = server.get(f"/api/runs/{run}/samples?after=0")["samples"][-1][0]
        journal, _ = open_journal(server.journal)
        while samples_after(journal, run)[-1].seq <= last:
            assert time.monotonic() - server.began_s < 20.0
            time.sleep(0.01)
        journal.close()
        starts.append(time.monotonic() - server.began_s)
        view = server.get(f"/api/runs/{run}")
        assert view["step"]["key"] == "warm-up"
        assert view["heat"]["on"]
        assert view["state"] == "running"
        # The same tap, sent again because no answer came: it was done before.
        assert server.tap(run, "note", text="first", key="the-very-same-tap")["again"]
    waited(page.listen(0.5))
    server.end()
    journal, notices = open_journal(server.journal)
    assert notices == ()
    events = events_of(journal, run)
    assert [one.data["words"] for one in events if one.kind == "note"] == ["first"]
    assert [one.seq for one in events] == list(range(1, len(events) + 1))
    kept = {one.seq: one.at_ms for one in samples_after(journal, run)}
    journal.close()
    seen = sorted(page.samples)
    assert seen == list(range(seen[0], seen[-1] + 1)), "a page missed a sample"
    assert all(kept[seq] == round(1e3 * page.samples[seq][0]) for seq in seen)
    print(f"killed {_KILLS} times: start to recording {np.median(starts):.2f} s, "
          f"{max(starts):.2f} s at most, "
          f"limit {_RECORDING_S:.0f} s")  # fmt: skip
    # The middle one: whatever else the computer does may hold up a single start.
    assert np.median(starts) <= _RECORDING_S


@pytest.mark.alone
def test_it_ends_when_it_is_told_to(server, tmp_path):  # noqa: F811
    server.begin()
    began = time.monotonic()
    assert server.end(signal.SIGINT) == 0
    print(f"ended {time.monotonic() - began:.2f} s after Ctrl-C, limit 5 s")
    assert time.monotonic() - began < 5.0
    assert not (tmp_path / "server.json").exists()
