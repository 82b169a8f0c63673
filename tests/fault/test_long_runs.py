"""Days of readings: memory stays flat, the file small, and nothing is missed."""

import asyncio
import time

import numpy as np
import psutil
import pytest

from benched import Benched
from commanded import server, to_the_heat, told, waited  # noqa: F401
from counts import SOAK
from rimwright.journal.opening import open_journal
from rimwright.live.readings import RawReading

#: Simulated hours on the bench, and with pages open.
_DAYS_H = 72.0 if SOAK else 1.5
_OPEN_H = 8.0 if SOAK else 0.1
_SPEED = 30.0
_PAGES = 5
_GROWS_MB, _FLAT, _FILE_MB = 20.0, 0.05, 150.0


@pytest.mark.slow
def test_three_days_on_the_bench(tmp_path):
    journal, _ = open_journal(tmp_path / "journal.sqlite")
    bend = Benched(journal)
    process = psutil.Process()
    before_mb = 0.0
    seconds = round(3600.0 * _DAYS_H)
    for second in range(seconds):
        bend.clock.advance(1.0)
        now = bend.clock.now()
        for tenth in range(10):
            celsius = 21.0 + 0.01 * ((7 * second + tenth) % 50)
            bend.session.hearing.deliver(
                RawReading(probe=0, celsius=celsius, heard_at_s=now - 0.9 + 0.1 * tenth)
            )
        bend.bench.tick()
        if second % 600 == 0:
            bend.bench.writer.flush(30.0)
        if second == max(600, seconds // 20):
            before_mb = process.memory_info().rss / 1e6
    bend.bench.writer.flush(30.0)
    grown_mb = process.memory_info().rss / 1e6 - before_mb
    health = bend.bench.writer.health()
    bend.stop()
    journal.close()
    from rimwright.journal.runs import samples_after

    journal, _ = open_journal(tmp_path / "journal.sqlite")
    began = time.monotonic()
    day = samples_after(journal, bend.run, 0, 864_000)
    opened_s = time.monotonic() - began
    missed_s = max(np.diff([one.at_ms for one in day])) / 1e3
    journal.close()
    size_mb = (tmp_path / "journal.sqlite").stat().st_size / 1e6
    scaled_mb = size_mb * 72.0 / _DAYS_H
    print(f"{_DAYS_H:g} h at 10 Hz: memory grew {grown_mb:.1f} MB, limit {_GROWS_MB:.0f}; "
          f"file {size_mb:.1f} MB, {scaled_mb:.0f} MB for 72 h, limit {_FILE_MB:.0f}; longest "
          f"step {missed_s:.2f} s, limit 1 s; {len(day)} read in {opened_s:.2f} s")  # fmt: skip
    assert health.dropped == 0
    assert grown_mb < _GROWS_MB
    assert scaled_mb < _FILE_MB
    assert missed_s <= 1.0


@pytest.mark.slow
def test_five_pages_for_a_working_day(server):  # noqa: F811
    run = server.begin(speed=_SPEED)
    to_the_heat(server, run)
    server.tap(run, "heat_off")
    process = psutil.Process(server.process.pid)
    memory = []

    async def page(until):
        count = 0
        async with server.page(run) as socket:
            await told(socket)
            while time.monotonic() < until:
                count += len((await told(socket))["samples"])
        return count

    async def look(until):
        while time.monotonic() < until:
            memory.append(process.memory_info().rss / 1e6)
            await asyncio.sleep(0.5)

    async def day():
        until = time.monotonic() + 3600.0 * _OPEN_H / _SPEED
        return await asyncio.gather(*(page(until) for _ in range(_PAGES)), look(until))

    *counts, _ = waited(day())
    server.end()
    settled = np.array(memory[len(memory) // 4 :])
    first, last = np.median(settled[: len(settled) // 4]), np.median(settled[-len(settled) // 4 :])
    grown = last / first - 1.0
    print(f"{_OPEN_H:g} h with {_PAGES} pages at {_SPEED:g} times: {min(counts)} samples to each, "
          f"memory {first:.0f} to {last:.0f} MB, {100 * grown:+.1f} %, limit 5 %")  # fmt: skip
    assert min(counts) > 0.9 * 36_000.0 * _OPEN_H
    assert grown <= _FLAT
