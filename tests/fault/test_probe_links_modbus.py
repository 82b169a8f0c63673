"""Controllers asked over Modbus, against a real server: faults, silence, noise, reconnection."""

import gc
import time
from pathlib import Path

import pytest
from pymodbus.constants import ExcCodes

from counts import SOAK, times
from probe_links import Cable, Listener, handles, probe_threads
from probe_servers import Controller
from rimwright.equipment.probes import parse_probe
from rimwright.live.clock import SystemClock
from rimwright.live.probes.make import make_source
from rimwright.live.readings import Fault

CLOCK = SystemClock()
HOLDING, INPUT = 3, 4


def start(text: str, number: int = 0):
    source, heard = make_source(parse_probe(text), number), Listener()
    source.start(heard, CLOCK)
    return source, heard


@pytest.fixture(params=["tcp", "rtu"])
def wired(request, tmp_path: Path):
    """A controller and the address at which the probe finds it."""
    if request.param == "tcp":
        controller = Controller()
        yield controller, f"127.0.0.1:{controller.port}"
        controller.close()
    else:
        cable = Cable(tmp_path)
        controller = Controller(terminal=str(cable.far.link))
        yield controller, str(cable.near.link)
        controller.close()
        cable.close()
    assert probe_threads() == []


def test_registers_become_temperatures_and_sentinels_faults(wired):
    controller, address = wired
    controller.registers[1, INPUT, 7] = 1085
    source, heard = start(f"waist=modbus:{address},register=7,scale=0.1,short_values=-999")
    steps = [(1085, 108.5), (0x10000 - 55, -5.5), (65535, Fault.OPEN), (32767, Fault.OPEN),
             (0x10000 - 999, Fault.SHORT), (9999, Fault.OUT_OF_RANGE),
             (ExcCodes.DEVICE_BUSY, None), (ExcCodes.ILLEGAL_ADDRESS, Fault.GARBLED),
             (ExcCodes.GATEWAY_NO_RESPONSE, Fault.UNPLUGGED), (215, 21.5)]  # fmt: skip
    for register, what in steps:
        count = len(heard.readings)
        controller.registers[1, INPUT, 7] = register
        if what is not None:
            heard.wait_for(what, after=count)
    source.stop()
    assert set(heard.numbers()) == {108.5, -5.5, 21.5}


def test_fahrenheit_holding_and_unsigned(wired):
    controller, address = wired
    controller.registers[2, HOLDING, 0] = 41_000
    source, heard = start(
        f"waist=modbus:{address},device=2,table=holding,signed=no,scale=0.01,unit=degF,every=50ms"
    )
    heard.wait_for(round((410.0 - 32.0) / 1.8, 9))
    source.stop()
    assert heard.faults() == set()


def test_two_probes_of_one_controller_never_change_places(wired):
    """Even where answers come so late that they are given up."""
    controller, address = wired
    controller.registers |= {(1, INPUT, 0): 20, (1, INPUT, 1): 90}
    one, first = start(f"waist=modbus:{address},register=0")
    two, second = start(f"horn=modbus:{address},register=1", 1)
    first.wait_for(20.0)
    second.wait_for(90.0)
    for delay_s in (0.0, 0.35, 0.45, 0.8, 0.05, 0.6):
        controller.delay_s = delay_s
        time.sleep(1.2)
    controller.delay_s = 0.0
    count = len(first.readings), len(second.readings)
    first.wait_for(20.0, after=count[0])
    second.wait_for(90.0, after=count[1])
    one.stop()
    two.stop()
    assert set(first.numbers()) == {20.0}
    assert set(second.numbers()) == {90.0}


def test_a_controller_that_falls_silent(wired):
    controller, address = wired
    controller.registers[1, INPUT, 0] = 21
    source, heard = start(f"waist=modbus:{address}")
    heard.wait_for(21.0)
    count, begun = len(heard.readings), time.monotonic()
    controller.mangle = lambda data: b""
    heard.wait_for(Fault.UNPLUGGED, after=count)
    took = time.monotonic() - begun
    controller.mangle = lambda data: data
    heard.wait_for(21.0, after=len(heard.readings))
    source.stop()
    print(f"a silent controller is told after {took:.2f} s, limit 2 s")
    assert took < 2.0
    assert heard.faults() == {Fault.UNPLUGGED}


def test_a_server_that_is_started_again():
    controller = Controller()
    controller.registers[1, INPUT, 0] = 21
    source, heard = start(f"waist=modbus:127.0.0.1:{controller.port}")
    heard.wait_for(21.0)
    count, port = len(heard.readings), controller.port
    controller.close()
    heard.wait_for(Fault.UNPLUGGED, after=count, within_s=2.0)
    controller = Controller(port)
    controller.registers[1, INPUT, 0] = 22
    heard.wait_for(22.0, within_s=5.0)
    source.stop()
    controller.close()
    assert heard.faults() == {Fault.UNPLUGGED}


def test_nobody_at_that_port():
    source, heard = start("waist=modbus:127.0.0.1:1")
    heard.wait_for(Fault.UNPLUGGED, within_s=2.0)
    source.stop()
    assert heard.numbers() == []


@pytest.fixture
def line(tmp_path: Path):
    cable = Cable(tmp_path)
    controller = Controller(terminal=str(cable.far.link))
    controller.registers[1, INPUT, 0] = 21
    yield cable, controller
    controller.close()
    cable.close()


def test_noise_on_the_line_is_garbled(line):
    cable, controller = line
    source, heard = start(f"waist=modbus:{cable.near.link}")
    heard.wait_for(21.0)
    count = len(heard.readings)
    controller.mangle = lambda data: bytes(b ^ 0x10 for b in data)
    heard.wait_for(Fault.GARBLED, after=count)
    controller.mangle = lambda data: data
    heard.wait_for(21.0, after=len(heard.readings))
    source.stop()
    assert set(heard.numbers()) == {21.0}


def test_every_bit_turned_over_is_noticed(line):
    """The line's own check sum: no bit of an answer can be wrong and be believed."""
    cable, controller = line
    source, heard = start(f"waist=modbus:{cable.near.link},every=50ms")
    heard.wait_for(21.0)
    for bit in range(0, 56, 1 if SOAK else 13):
        count = controller.asked
        controller.mangle = lambda data, bit=bit: (
            int.from_bytes(data, "big") ^ (1 << bit)
        ).to_bytes(len(data), "big")
        end = time.monotonic() + 5.0
        while controller.asked == count and time.monotonic() < end:
            time.sleep(0.01)
    controller.mangle = lambda data: data
    heard.wait_for(21.0, after=len(heard.readings))
    source.stop()
    assert set(heard.numbers()) == {21.0}


def test_the_cable_is_pulled_and_put_back(line):
    cable, _ = line
    source, heard = start(f"waist=modbus:{cable.near.link}")
    heard.wait_for(21.0)
    count, begun = len(heard.readings), time.monotonic()
    cable.near.unplug()
    heard.wait_for(Fault.UNPLUGGED, after=count)
    took = time.monotonic() - begun
    cable.near.plug()
    heard.wait_for(21.0, after=len(heard.readings), within_s=6.0)
    source.stop()
    print(f"a pulled cable is told after {took:.2f} s, limit 2 s")
    assert took < 2.0


def test_many_starts_and_stops_leave_nothing(wired):
    controller, address = wired
    controller.registers[1, INPUT, 0] = 21
    source, heard = start(f"waist=modbus:{address}")
    heard.wait_for(21.0)
    source.stop()
    gc.collect()
    before, longest = handles(), 0.0
    for turn in range(times(8)):
        source, heard = start(f"waist=modbus:{address}")
        if turn % 2:
            heard.wait_for(21.0)
        begun = time.monotonic()
        source.stop()
        longest = max(longest, time.monotonic() - begun)
    assert probe_threads() == []
    end = time.monotonic() + 5.0
    while handles() > before and time.monotonic() < end:
        time.sleep(0.05)  # the server closes its ends a moment later
    gc.collect()
    more = handles() - before
    print(f"stop takes {longest:.3f} s at most, limit 1 s; {more} files more, limit 0")
    assert longest < 1.0
    assert more <= 0


def test_stopping_does_not_wait_for_a_silent_controller(wired):
    controller, address = wired
    controller.mangle = lambda data: b""
    source, _ = start(f"waist=modbus:{address}")
    time.sleep(0.3)
    begun = time.monotonic()
    source.stop()
    assert time.monotonic() - begun < 1.0
