"""A recorded run once more: at speeds, with its gaps and faults, from a file or the journal."""

import time
from dataclasses import dataclass
from pathlib import Path

import pytest

from counts import times
from probe_links import Listener
from rimwright.equipment.probes import parse_probe
from rimwright.errors import ProbeError
from rimwright.live.clock import FastClock, HandClock, SystemClock
from rimwright.live.probes.make import make_source
from rimwright.live.probes.recording import Recorded, read_recording
from rimwright.live.probes.replay import ReplaySource
from rimwright.live.readings import Fault

#: A curve with a gap of ten seconds, a fault, and a spike.
CURVE = tuple(
    Recorded(100.0 + at, None if at == 3 else 20.0 + at, Fault.OPEN if at == 3 else None)
    for at in (0, 1, 2, 3, 4, 14, 15)
)


def settled(heard: Listener, count: int) -> None:
    end = time.monotonic() + 10.0
    while len(heard.readings) < count and time.monotonic() < end:
        time.sleep(0.005)
    time.sleep(0.06)
    assert len(heard.readings) == count


def test_a_replay_follows_the_clock_by_hand():
    clock, heard = HandClock(seconds=7.0), Listener()
    source = ReplaySource(CURVE, 0)
    source.start(heard, clock)
    settled(heard, 1)
    clock.advance(4.0)
    settled(heard, 5)
    clock.advance(9.9)
    settled(heard, 5)  # the gap stays a gap
    clock.advance(1.2)
    settled(heard, 7)
    source.stop()
    assert [r.celsius for r in heard.readings] == [20, 21, 22, None, 24, 34, 35]
    assert heard.readings[3].fault is Fault.OPEN
    assert [r.heard_at_s for r in heard.readings] == [7, 8, 9, 10, 11, 21, 22]


@pytest.mark.parametrize(("own", "clocks"), [(20.0, 1.0), (1.0, 20.0), (10.0, 10.0)])
def test_a_replay_at_speeds(own: float, clocks: float):
    clock, heard = FastClock(clocks), Listener()
    source = ReplaySource(CURVE, 0, own)
    begun = time.monotonic()
    source.start(heard, clock)
    heard.wait_for(35.0)
    took = time.monotonic() - begun
    source.stop()
    assert took == pytest.approx(15.0 / (own * clocks), abs=0.4)
    since = [r.heard_at_s - heard.readings[0].heard_at_s for r in heard.readings]
    assert since == pytest.approx([at / own for at in (0, 1, 2, 3, 4, 14, 15)])


def test_ten_a_second_at_a_thousand_times_lose_nothing():
    curve = [Recorded(0.1 * n, 20.0 + 0.001 * n, None) for n in range(times(10_000))]
    heard = Listener()
    source = ReplaySource(curve, 0, 1000.0)
    source.start(heard, SystemClock())
    heard.wait(lambda r: r.celsius == curve[-1].celsius, within_s=60.0)
    source.stop()
    assert [r.celsius for r in heard.readings] == [one.celsius for one in curve]


def test_a_replay_goes_on_where_it_was():
    heard = Listener()
    source = ReplaySource(CURVE, 0, begun_ago_s=3.5)
    clock = HandClock()
    source.start(heard, clock)
    clock.advance(0.6)
    settled(heard, 1)
    source.stop()
    assert (heard.readings[0].celsius, heard.readings[0].heard_at_s) == (24.0, 0.5)


@dataclass(frozen=True)
class Row:
    at_ms: int
    probe: int
    celsius: float | None
    fault: str | None


def test_a_replay_of_the_journal():
    rows = [Row(0, 0, 20.0, None), Row(5, 1, 99.0, None), Row(100, 0, None, "out of range")]
    heard, clock = Listener(), HandClock()
    source = make_source(parse_probe("waist=replay:12"), 0, {12: rows}.__getitem__)
    source.start(heard, clock)
    clock.advance(1.0)
    settled(heard, 2)
    source.stop()
    assert [(r.celsius, r.fault) for r in heard.readings] == [
        (20.0, None), (None, Fault.OUT_OF_RANGE),
    ]  # fmt: skip
    with pytest.raises(ProbeError, match="run 12 of a journal, but no journal"):
        make_source(parse_probe("waist=replay:12"), 0)
    with pytest.raises(ProbeError, match="no sample of this probe"):
        make_source(parse_probe("waist=replay:12,probe=7"), 0, {12: rows}.__getitem__)


def test_a_recording_as_the_journal_exports_it(tmp_path: Path):
    path = tmp_path / "samples.csv"
    path.write_text(
        "run_uid,seq,at_ms,probe,celsius,fault\r\na,1,0,0,20.5,\r\na,2,50,1,30.5,\r\n"
        "a,3,100,0,,open\r\n"
    )
    assert read_recording(path, 0) == (Recorded(0, 20.5, None), Recorded(0.1, None, Fault.OPEN))
    assert read_recording(path, 1) == (Recorded(0.05, 30.5, None),)
    path.write_text("at_s,celsius\n1.5,20\n2.5,21\n")
    assert read_recording(path, 5)[1] == Recorded(2.5, 21.0, None)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "other columns"),
        ("a,b\n1,2\n", "other columns"),
        ("at_s,celsius\n", "no sample of this probe"),
        ("at_s,celsius,fault\n1,20,\n0.5,20,\n", "time running back from 1 s to 0.5 s"),
        ("at_s,celsius,fault\n1,,\n", "line 2: found a line that is no sample"),
        ("at_s,celsius,fault\n1,20,open\n", "line 2: found a line that is no sample"),
        ("at_s,celsius,fault\n1,20,\n2,,sleepy\n", "line 3: found a line that is no sample"),
        ("at_s,celsius,fault\nnan,20,\n", "line 2: found a line that is no sample"),
        ("at_s,celsius,fault\n1,inf,\n", "line 2: found a line that is no sample"),
        ("at_ms,probe,celsius,fault\n1,x,20,\n", "line 2: found a line that is no sample"),
        ("at_ms,probe,celsius,fault\n,0,20,\n", "line 2: found a line that is no sample"),
        ("run_uid,at_s,celsius\na,1,20\nb,2,20\n", "line 3: found samples of several runs"),
        ("at_s,celsius\n1,\x00\n", "line 2"),
    ],
)
def test_recordings_refused(tmp_path: Path, text: str, words: str):
    path = tmp_path / "run.csv"
    path.write_text(text)
    with pytest.raises(ProbeError) as refusal:
        make_source(parse_probe(f"waist=replay:{path}"), 0)
    assert words in str(refusal.value)


def test_no_recording_and_no_text(tmp_path: Path):
    with pytest.raises(ProbeError, match="no such file"):
        read_recording(tmp_path / "none.csv", 0)
    (tmp_path / "x.csv").write_bytes(b"at_s,celsius\n\xff\xfe,1\n")
    with pytest.raises(ProbeError, match="decode"):
        read_recording(tmp_path / "x.csv", 0)
