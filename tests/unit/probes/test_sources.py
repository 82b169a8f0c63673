"""What all sources share, and posted readings."""

import itertools
import threading
import time

import pytest

from probe_links import Listener, probe_threads
from rimwright.equipment.probe_keys import token_sha256
from rimwright.equipment.probes import parse_probe
from rimwright.errors import AccessError, ProbeError
from rimwright.live.clock import HandClock
from rimwright.live.probes.http import HttpSource
from rimwright.live.probes.make import make_source
from rimwright.live.probes.source import CLOSEST_S, LATEST_S, Keeper, LinkLostError, Teller
from rimwright.live.probes.words import Heard
from rimwright.live.readings import Fault

TOKEN = "a token of Tern Lane"


def test_a_link_is_tried_again_later_and_later():
    tries, done = [], threading.Event()

    def attend(keeper: Keeper) -> None:
        tries.append(time.monotonic())
        if len(tries) == 4:
            done.set()
        raise LinkLostError("not there")

    told = []
    keeper = Keeper("probe test", attend, told.append)
    keeper.start()
    assert done.wait(10.0)
    keeper.stop()
    gaps = [b - a for a, b in itertools.pairwise(tries)]
    assert [round(gap, 1) for gap in gaps] == pytest.approx([0.3, 0.5, 1.0], abs=0.21)
    assert set(told) == {"not there"}
    assert LATEST_S == 3.0


def test_whatever_a_driver_raises_the_thread_goes_on():
    tries = []

    def attend(keeper: Keeper) -> None:
        tries.append(1)
        if len(tries) < 3:
            raise [ZeroDivisionError("x"), RuntimeError("termios")][len(tries) - 1]
        keeper.stopping.wait(10.0)

    told: list[str] = []
    keeper = Keeper("probe test", attend, told.append)
    keeper.start()
    end = time.monotonic() + 10.0
    while len(tries) < 3 and time.monotonic() < end:
        time.sleep(0.01)
    keeper.stop()
    assert told == ["ZeroDivisionError: x", "RuntimeError: termios"]
    assert probe_threads() == []


def test_stop_does_not_wait_for_a_thread_that_hangs():
    free = threading.Event()
    keeper = Keeper("probe test", lambda _keeper: free.wait(10.0) and None, lambda _words: None)
    keeper.start()
    begun = time.monotonic()
    keeper.stop()
    assert time.monotonic() - begun < 1.0
    free.set()


def test_the_newest_is_passed_on_and_a_fault_at_once():
    teller, heard = Teller(2), Listener()
    clock = HandClock(seconds=5.0)
    teller.tell(Heard(1.0, None))
    teller.start(heard, clock)
    teller.catch_up()
    assert heard.readings == []
    for celsius in (20.0, 21.0, 22.0):
        teller.tell(Heard(celsius, None, f"{celsius}\n" + "x" * 100))
    teller.tell(Heard(None, Fault.OPEN))
    teller.tell(Heard(23.0, None))
    assert [r.celsius for r in heard.readings] == [20.0, None]
    clock.advance(1.0)
    time.sleep(CLOSEST_S)
    teller.catch_up()
    teller.catch_up()
    assert [r.celsius for r in heard.readings] == [20.0, None, 23.0]
    assert {(r.probe, r.heard_at_s) for r in heard.readings} == {(2, 5.0)}
    teller.stop()
    time.sleep(CLOSEST_S)
    teller.tell(Heard(24.0, None))
    assert len(heard.readings) == 3


def test_posted_readings_and_their_token():
    source = make_source(parse_probe(f"waist=http,token={TOKEN}"), 1)
    assert isinstance(source, HttpSource)
    heard = Listener()
    with pytest.raises(ProbeError, match="a reading without a run"):
        source.push(TOKEN, b"21.5")
    source.start(heard, HandClock())
    assert source.push(TOKEN, b'{"celsius": 21.5}').celsius == 21.5
    assert source.push(TOKEN, b"open").fault is Fault.OPEN
    assert source.push(TOKEN, b"\x00" * 100_000).fault is Fault.GARBLED
    for token in ("", TOKEN + " ", TOKEN[:-1], token_sha256(TOKEN), "ü\ud800"):
        with pytest.raises(AccessError, match="a token that is not this probe's"):
            source.push(token, b"99")
    source.stop()
    with pytest.raises(ProbeError):
        source.push(TOKEN, b"22.5")
    assert [(r.probe, r.celsius, r.fault) for r in heard.readings] == [
        (1, 21.5, None), (1, None, Fault.OPEN), (1, None, Fault.GARBLED),
    ]  # fmt: skip


def test_the_model_is_made_elsewhere():
    with pytest.raises(ProbeError, match="a model probe"):
        make_source(parse_probe("waist=model"), 0)
