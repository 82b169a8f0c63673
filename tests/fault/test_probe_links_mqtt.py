"""Readings by way of a real broker that stops, freezes, refuses and comes back."""

import contextlib
import gc
import signal
import threading
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from paho.mqtt.client import Client
from paho.mqtt.enums import CallbackAPIVersion
from paho.mqtt.publish import single

from counts import times
from probe_links import Listener, handles, probe_threads
from probe_servers import Broker, free_port
from rimwright.equipment.probes import parse_probe
from rimwright.errors import ProbeError
from rimwright.live.clock import SystemClock
from rimwright.live.probes.make import make_source
from rimwright.live.readings import Fault

CLOCK = SystemClock()


def start(text: str):
    source, heard = make_source(parse_probe(text), 0), Listener()
    source.start(heard, CLOCK)
    return source, heard


@pytest.fixture
def broker(tmp_path: Path):
    broker = Broker(tmp_path)
    yield broker
    broker.stop()
    assert probe_threads() == []


@contextlib.contextmanager
def publishing(broker: Broker, payload: Callable[[], bytes], topic="shop/waist", **login):
    """A sensor that publishes on and on, whatever becomes of the broker."""
    client = Client(CallbackAPIVersion.VERSION2)
    client.reconnect_delay_set(1, 1)
    if login:
        client.username_pw_set(**login)
    client.connect("127.0.0.1", broker.port)
    client.loop_start()
    done = threading.Event()

    def run() -> None:
        while not done.wait(0.03):
            if client.is_connected():
                client.publish(topic, payload(), qos=0)

    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    try:
        yield
    finally:
        done.set()
        thread.join()
        client.disconnect()
        client.loop_stop()


def test_payloads_become_temperatures_and_faults(broker: Broker):
    source, heard = start(f"waist=mqtt:127.0.0.1:{broker.port},topic=shop/waist,value=probes.0.deg")
    said = {
        b'{"probes": [{"deg": 108.5}]}': 108.5, b'{"probes": [{"deg": "21.5"}]}': 21.5,
        b'{"probes": [{"deg": null}]}': Fault.OPEN, b'{"probes": []}': Fault.GARBLED,
        b'{"probes": [{"deg": "short"}]}': Fault.SHORT, b"\xff\xfe{": Fault.GARBLED,
        b'{"probes": [{"deg": 65535}]}': Fault.OUT_OF_RANGE, b"[" * 5000: Fault.GARBLED,
        b"7" * 9000: Fault.GARBLED, b'{"probes": [{"deg": "offline"}]}': Fault.UNPLUGGED,
    }  # fmt: skip
    now = [b""]
    with publishing(broker, lambda: now[0]):
        for payload, what in said.items():
            now[0] = payload
            time.sleep(0.1)
            heard.wait_for(what, after=len(heard.readings))
    source.stop()
    assert set(heard.numbers()) == {108.5, 21.5}


def test_the_broker_is_started_again_in_mid_run(broker: Broker):
    source, heard = start(f"waist=mqtt:127.0.0.1:{broker.port},topic=shop/waist,unit=degF")
    with publishing(broker, lambda: b"212"):
        heard.wait_for(100.0)
        worst = 0.0
        for _ in range(times(2)):
            count, stopped = len(heard.readings), time.monotonic()
            broker.stop()
            heard.wait_for(Fault.UNPLUGGED, after=count)
            worst = max(worst, time.monotonic() - stopped)
            time.sleep(0.5)
            broker.start()
            heard.wait_for(100.0, after=len(heard.readings))
    source.stop()
    print(f"a stopped broker is told after {worst:.2f} s at most, limit 2 s")
    assert worst < 2.0
    assert set(heard.numbers()) == {100.0}
    assert heard.faults() == {Fault.UNPLUGGED}


def test_a_broker_that_freezes_is_found_out(broker: Broker):
    source, heard = start(f"waist=mqtt:127.0.0.1:{broker.port},topic=shop/waist")
    with publishing(broker, lambda: b"21.5"):
        heard.wait_for(21.5)
        count, frozen = len(heard.readings), time.monotonic()
        broker.signal(signal.SIGSTOP)
        heard.wait_for(Fault.UNPLUGGED, after=count)
        print(f"a frozen broker is told after {time.monotonic() - frozen:.1f} s, limit 8 s")
        assert time.monotonic() - frozen < 8.0
        broker.signal(signal.SIGCONT)
        heard.wait_for(21.5, after=len(heard.readings))
    source.stop()


def test_what_was_retained_is_old_and_not_taken(broker: Broker):
    single("shop/waist", b"180.0", retain=True, hostname="127.0.0.1", port=broker.port)
    source, heard = start(f"waist=mqtt:127.0.0.1:{broker.port},topic=shop/waist")
    time.sleep(0.7)
    assert heard.readings == []
    with publishing(broker, lambda: b"21.5"):
        heard.wait_for(21.5)
    source.stop()
    assert set(heard.numbers()) == {21.5}


def test_user_and_password_come_from_the_environment(tmp_path: Path, monkeypatch):
    broker = Broker(tmp_path, user="tern", password="lane 12")
    text = f"waist=mqtt:127.0.0.1:{broker.port},topic=shop/waist"
    refused, heard = start(text)
    assert "efus" in heard.wait_for(Fault.UNPLUGGED).heard
    refused.stop()
    text += ",user_env=SHOP_USER,password_env=SHOP_PASSWORD"
    monkeypatch.setenv("SHOP_USER", "tern")
    source = make_source(parse_probe(text), 0)
    with pytest.raises(ProbeError, match="no environment variable SHOP_PASSWORD"):
        source.start(Listener(), CLOCK)
    source.stop()
    monkeypatch.setenv("SHOP_PASSWORD", "lane 12")
    source, heard = start(text)
    with publishing(broker, lambda: b"21.5", username="tern", password="lane 12"):
        heard.wait_for(21.5)
    source.stop()
    broker.stop()
    assert "lane 12" not in repr(source.settings)


def test_no_broker_at_all():
    source, heard = start(f"waist=mqtt:127.0.0.1:{free_port()},topic=shop/waist")
    heard.wait_for(Fault.UNPLUGGED, within_s=2.0)
    source.stop()
    assert heard.numbers() == []


def test_many_starts_and_stops_leave_nothing(broker: Broker):
    text = f"waist=mqtt:127.0.0.1:{broker.port},topic=shop/waist"
    start(text)[0].stop()
    with publishing(broker, lambda: b"21.5"):
        gc.collect()
        before, longest = handles(), 0.0
        for turn in range(times(10)):
            source, heard = start(text)
            if turn % 2:
                heard.wait_for(21.5)
            begun = time.monotonic()
            source.stop()
            longest = max(longest, time.monotonic() - begun)
            count = len(heard.readings)
            time.sleep(0.05)
            assert len(heard.readings) == count
        assert probe_threads() == []
        more = handles() - before
    print(f"stop takes {longest:.3f} s at most, limit 1 s; {more} files more, limit 0")
    assert longest < 1.0
    assert more <= 0


def test_of_a_burst_the_newest_counts(broker: Broker):
    source, heard = start(f"waist=mqtt:127.0.0.1:{broker.port},topic=shop/waist")
    with publishing(broker, lambda: b"20.0"):
        heard.wait_for(20.0)
    time.sleep(0.3)
    count = len(heard.readings)
    client = Client(CallbackAPIVersion.VERSION2)
    client.connect("127.0.0.1", broker.port)
    client.loop_start()
    for number in range(200):
        client.publish("shop/waist", b"%d" % (20 + number))
    heard.wait_for(219.0, after=count)
    client.disconnect()
    client.loop_stop()
    source.stop()
    assert len(heard.readings) - count < 20
