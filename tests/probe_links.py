"""Real ends for probes to be tried against: boards on terminals, controllers, a broker."""

from __future__ import annotations

import asyncio
import base64
import contextlib
import hashlib
import os
import select
import shutil
import signal
import socket
import subprocess
import threading
import time
import tty
from collections.abc import Callable, Iterator
from pathlib import Path

from pymodbus import FramerType
from pymodbus.constants import ExcCodes
from pymodbus.server import ModbusSerialServer, ModbusTcpServer
from pymodbus.simulator import DataType, SimData, SimDevice

from rimwright.live.readings import Fault, RawReading


class Listener:
    """Keeps what is delivered, and waits for it; hang limits, no claim of speed."""

    def __init__(self) -> None:
        self.readings: list[RawReading] = []
        self.at: list[float] = []
        self._news = threading.Condition()

    def __call__(self, reading: RawReading) -> None:
        assert (reading.celsius is None) == (reading.fault is not None)
        assert reading.heard.isprintable()
        assert len(reading.heard) <= 80
        with self._news:
            self.readings.append(reading)
            self.at.append(time.monotonic())
            self._news.notify_all()

    def wait(
        self, fits: Callable[[RawReading], bool], *, after: int = 0, within_s: float = 10.0
    ) -> RawReading:
        """The first reading that fits, from number `after` on."""
        end = time.monotonic() + within_s
        with self._news:
            while True:
                for reading in self.readings[after:]:
                    if fits(reading):
                        return reading
                left = end - time.monotonic()
                assert left > 0, f"not within {within_s} s: {self.readings[after:][-5:]}"
                self._news.wait(left)

    def wait_for(
        self, what: float | Fault, *, after: int = 0, within_s: float = 10.0
    ) -> RawReading:
        """The first reading of this temperature or this fault."""
        if isinstance(what, Fault):
            return self.wait(lambda r: r.fault is what, after=after, within_s=within_s)
        return self.wait(
            lambda r: r.celsius is not None and abs(r.celsius - what) < 1e-6,
            after=after,
            within_s=within_s,
        )

    def faults(self) -> set[Fault]:
        return {r.fault for r in self.readings if r.fault is not None}

    def numbers(self) -> list[float]:
        return [r.celsius for r in self.readings if r.celsius is not None]


class Board:
    """An amplifier board: a pseudo-terminal behind a link that keeps its name."""

    def __init__(self, link: Path) -> None:
        self.link = link
        self._master = -1
        self.plug()

    def plug(self) -> None:
        self._master, slave = os.openpty()
        tty.setraw(slave)
        name = os.ttyname(slave)
        os.close(slave)
        beside = self.link.with_suffix(".new")
        beside.symlink_to(name)
        beside.replace(self.link)

    def says(self, data: bytes) -> None:
        os.write(self._master, data)

    def unplug(self) -> None:
        with contextlib.suppress(OSError):
            os.close(self._master)
        self._master = -1

    @contextlib.contextmanager
    def saying(self, line: Callable[[], bytes], every_s: float = 0.02) -> Iterator[None]:
        """The board prints on while the block runs."""
        done = threading.Event()

        def run() -> None:
            while not done.wait(every_s):
                with contextlib.suppress(OSError):
                    self.says(line())

        thread = threading.Thread(target=run, daemon=True)
        thread.start()
        try:
            yield
        finally:
            done.set()
            thread.join()


class Cable:
    """Two terminals with a wire between them; the probe's end can be pulled out."""

    def __init__(self, folder: Path) -> None:
        self.near, self.far = Board(folder / "near"), Board(folder / "far")
        self._done = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    def _run(self) -> None:
        while not self._done.is_set():
            ends = [self.near, self.far]
            masters = {end._master: end for end in ends if end._master >= 0}
            try:
                ready = select.select(list(masters), [], [], 0.02)[0]
                for one in ready:
                    data = os.read(one, 4096)
                    other = ends[1 - ends.index(masters[one])]
                    os.write(other._master, data)
            except (OSError, ValueError):
                time.sleep(0.005)  # nobody has opened that end

    def close(self) -> None:
        self._done.set()
        self._thread.join()
        self.near.unplug()
        self.far.unplug()


class Controller:
    """A pymodbus server in a thread of its own, over TCP or on a terminal."""

    def __init__(self, port: int = 0, terminal: str = "") -> None:
        #: By device, function code (3 holding, 4 input) and register.
        self.registers: dict[tuple[int, int, int], int | ExcCodes] = {}
        self.mangle: Callable[[bytes], bytes] = lambda data: data
        self.delay_s = 0.0
        self.asked = 0
        self.port = port
        self._terminal = terminal
        self._ready = threading.Event()
        self._loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()
        assert self._ready.wait(10.0)

    def _device(self, number: int) -> SimDevice:
        async def answer(function, start, address, count, current, values):
            self.asked += 1
            await asyncio.sleep(self.delay_s)
            value = self.registers.get((number, function, address), ExcCodes.ILLEGAL_ADDRESS)
            if isinstance(value, ExcCodes):
                return value
            current[address - start] = value
            return None

        data = SimData(0, count=100, values=0, datatype=DataType.REGISTERS)
        return SimDevice(number, simdata=[data], action=answer)

    def _run(self) -> None:
        asyncio.set_event_loop(self._loop)
        self._loop.run_until_complete(self._serve())
        self._loop.close()

    async def _serve(self) -> None:
        devices = [self._device(number) for number in (1, 2)]
        common = {"trace_packet": lambda out, data: self.mangle(data) if out else data}
        if self._terminal:
            self._server = ModbusSerialServer(
                devices, framer=FramerType.RTU, port=self._terminal, baudrate=9600, **common
            )
        else:
            self._server = ModbusTcpServer(devices, address=("127.0.0.1", self.port), **common)
        await self._server.serve_forever(background=True)
        if not self._terminal:
            self.port = self._server.transport.sockets[0].getsockname()[1]
        self._done = asyncio.Event()
        self._ready.set()
        await self._done.wait()
        await self._server.shutdown()
        await asyncio.sleep(0.05)

    def close(self) -> None:
        self._loop.call_soon_threadsafe(self._done.set)
        self._thread.join(10.0)


class Broker:
    """A Mosquitto of our own on a loopback port, with its own settings."""

    def __init__(self, folder: Path, user: str = "", password: str = "") -> None:
        path = os.pathsep.join((os.environ.get("PATH", ""), "/usr/sbin", "/usr/local/sbin"))
        program = shutil.which("mosquitto", path=path)
        assert program, (
            "found no mosquitto; expected the broker that the probes are tried against; "
            "next: run scripts/prepare dev, or install the package mosquitto"
        )
        self._program, self._config = program, folder / "broker.conf"
        self.port = free_port()
        lines = [f"listener {self.port} 127.0.0.1", "persistence false", "user root"]
        if user:
            salt = b"tern lane 12"
            key = hashlib.pbkdf2_hmac("sha512", password.encode(), salt, 101)
            parts = ("7", "101", *(base64.b64encode(x).decode() for x in (salt, key)))
            secrets = folder / "passwords"
            secrets.write_text(f"{user}:${'$'.join(parts)}\n")
            secrets.chmod(0o600)
            lines += ["allow_anonymous false", f"password_file {secrets}"]
        else:
            lines.append("allow_anonymous true")
        self._config.write_text("\n".join(lines) + "\n")
        self.start()

    def start(self) -> None:
        self._process = subprocess.Popen(
            [self._program, "-c", str(self._config)],
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip
        end = time.monotonic() + 10.0
        while time.monotonic() < end:
            with (
                contextlib.suppress(OSError),
                socket.create_connection(("127.0.0.1", self.port), 0.5),
            ):
                return
            assert self._process.poll() is None, "the broker ended at once"
            time.sleep(0.02)
        raise AssertionError("the broker does not answer")

    def signal(self, number: signal.Signals) -> None:
        self._process.send_signal(number)

    def stop(self) -> None:
        self._process.send_signal(signal.SIGCONT)
        self._process.kill()
        self._process.wait(10.0)


def free_port() -> int:
    """A port of the loopback that nobody has now."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


def handles() -> int:
    """Open files of this process."""
    return sum(1 for _ in Path("/proc/self/fd").iterdir())


def probe_threads() -> list[str]:
    return [thread.name for thread in threading.enumerate() if thread.name.startswith("probe ")]
