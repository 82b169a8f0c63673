"""Real servers for probes to be tried against: a controller asked over Modbus, a broker."""

from __future__ import annotations

import asyncio
import base64
import contextlib
import hashlib
import os
import shutil
import signal
import socket
import subprocess
import threading
import time
from collections.abc import Callable
from pathlib import Path

from pymodbus import FramerType
from pymodbus.constants import ExcCodes
from pymodbus.server import ModbusSerialServer, ModbusTcpServer
from pymodbus.simulator import DataType, SimData, SimDevice


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
