"""Controllers that are asked for a register: Modbus RTU on a serial port, or TCP."""

from __future__ import annotations

import asyncio
import logging
import time
from typing import TYPE_CHECKING, Any

from rimwright.equipment.probe_kinds import MODBUS_PORT, ModbusSettings, host_and_port
from rimwright.live.clock import Clock
from rimwright.live.probes import shared
from rimwright.live.probes.source import Deliver, Keeper, LinkLostError, Teller, lost
from rimwright.live.probes.words import Heard, to_celsius, within
from rimwright.live.readings import Fault

if TYPE_CHECKING:
    from pymodbus.client import AsyncModbusSerialClient, AsyncModbusTcpClient

    Client = AsyncModbusSerialClient | AsyncModbusTcpClient

#: For one answer; a controller takes some hundredths of a second. [s]
ANSWER_S = 0.4
#: Unanswered questions in a row before the device counts as not there.
PATIENCE = 2
#: RTU answers carry no number, and some gateways mix theirs up: after a missing one the late
#: answer is waited out, or it would be taken for that of the next question. [s]
QUIET_S = 0.6
#: A device that is not there is asked so seldom, for the sake of the others on its wire. [s]
SELDOM_S = 2.0
#: The loop looks up at least so often. [s]
LOOK_S = 0.1
#: Answers that mean "not now" and "nobody there" (the Modbus application protocol).
_ACKNOWLEDGED, _BUSY, _NO_PATH, _NO_ANSWER = 5, 6, 10, 11


class ModbusWire(shared.Wire["ModbusSource"]):
    """One port or one TCP connection: all its probes are asked in turn."""

    def __init__(self, settings: ModbusSettings) -> None:
        set_as = (settings.baud, settings.parity, settings.stop_bits)
        super().__init__(settings.address, set_as if settings.over_serial else ())
        self._settings = settings
        self._stray = False

    def attend(self, keeper: Keeper) -> None:
        # The library's loop keeps time by a clock that never steps; its other client does not.
        asyncio.run(self._talk(keeper))

    async def _talk(self, keeper: Keeper) -> None:
        client = self._client()
        try:
            if not await client.connect():
                raise LinkLostError(f"no connection to {self._settings.address}")
            # Over serial the library connects in the next turn of the loop.
            await asyncio.sleep(0)
            while not keeper.stopping.is_set():
                due = [ear for ear in self.ears if ear.due_at <= time.monotonic()]
                for ear in due:
                    if await self._ask(client, ear):
                        keeper.works()
                    elif client.connected:
                        await _pause(QUIET_S, keeper)
                    if keeper.stopping.is_set():
                        return
                    if not client.connected:
                        raise LinkLostError(f"connection to {self._settings.address} lost")
                soonest = min((ear.due_at for ear in self.ears), default=0.0)
                await asyncio.sleep(min(max(soonest - time.monotonic(), 0.005), LOOK_S))
        finally:
            client.close()
            # Its transport is closed in the next turns of the loop.
            await asyncio.sleep(0.01)

    def _client(self) -> Client:
        _quiet()
        from pymodbus.client import AsyncModbusSerialClient, AsyncModbusTcpClient

        settings = self._settings
        common: dict[str, Any] = {
            "timeout": ANSWER_S, "retries": 0, "reconnect_delay": 0, "name": settings.address,
            "trace_packet": self._heard_bytes,
        }  # fmt: skip
        if settings.over_serial:
            client: Client = AsyncModbusSerialClient(
                settings.address, baudrate=settings.baud, parity=settings.parity[0].upper(),
                stopbits=settings.stop_bits, **common,
            )  # fmt: skip
        else:
            host, port = host_and_port(settings.address, MODBUS_PORT, "address")
            client = AsyncModbusTcpClient(host, port=port, **common)
        # Counting silence is our part.
        client.set_max_no_responses(1_000_000)
        return client

    def _heard_bytes(self, sending: bool, data: bytes) -> bytes:
        self._stray = self._stray or (not sending and bool(data))
        return data

    async def _ask(self, client: Client, ear: ModbusSource) -> bool:
        """One question; true where something answered."""
        from pymodbus.exceptions import ModbusException

        how = ear.settings
        self._stray = False
        ask = client.read_input_registers if how.table == "input" else client.read_holding_registers
        try:
            answer = await ask(how.register, count=1, device_id=how.device)
        except ModbusException as error:
            ear.unanswered(self._stray, str(error))
            return False
        if answer.isError():
            ear.refused(int(getattr(answer, "exception_code", 0)))
        else:
            ear.answered([int(one) for one in answer.registers])
        return True


class ModbusSource:
    """One register of a controller."""

    kind = "modbus"

    def __init__(self, settings: ModbusSettings, probe: int) -> None:
        self.settings = settings
        self.due_at = 0.0
        self._teller = Teller(probe)
        self._missing = 0

    def start(self, deliver: Deliver, clock: Clock) -> None:
        self._missing = 0
        self._teller.start(deliver, clock)
        shared.listen(self.settings.address, lambda: ModbusWire(self.settings), self)

    def stop(self) -> None:
        self._teller.stop()
        shared.leave(self.settings.address, self)

    def heat(self, share: float) -> None:
        """A real probe follows the real blanket."""

    def lost(self, words: str) -> None:
        """No port or no connection."""
        self._teller.tell(lost(words))

    def answered(self, registers: list[int]) -> None:
        """The device gave its register."""
        self._next()
        if len(registers) != 1:
            self._teller.tell(Heard(None, Fault.GARBLED, f"{len(registers)} registers"))
        else:
            self._teller.tell(register_heard(registers[0], self.settings))

    def refused(self, code: int) -> None:
        """The device, or a gateway before it, answered that it will not."""
        self._next()
        if code in (_ACKNOWLEDGED, _BUSY):
            return
        fault = Fault.UNPLUGGED if code in (_NO_PATH, _NO_ANSWER) else Fault.GARBLED
        self._teller.tell(Heard(None, fault, f"refused, code {code}"))

    def unanswered(self, stray: bool, words: str) -> None:
        """No answer; `stray`: bytes came that are none."""
        self._missing += 1
        self.due_at = time.monotonic() + (SELDOM_S if self._missing > PATIENCE else 0.0)
        if stray:
            self._teller.tell(Heard(None, Fault.GARBLED, "an answer that is none"))
        elif self._missing >= PATIENCE:
            self._teller.tell(lost(words))

    def _next(self) -> None:
        self._missing = 0
        self.due_at = time.monotonic() + self.settings.every_s


async def _pause(seconds: float, keeper: Keeper) -> None:
    """Ask nothing for a while, but end at once."""
    until = time.monotonic() + seconds
    while not keeper.stopping.is_set() and (left := until - time.monotonic()) > 0.0:
        await asyncio.sleep(min(left, LOOK_S))


def register_heard(raw: int, settings: ModbusSettings) -> Heard:
    """What a register of 16 bits says.

    Examples
    --------
    >>> tenths = ModbusSettings(address="/dev/ttyUSB0", scale=0.1)
    >>> register_heard(1086, tenths).celsius, register_heard(65535, tenths).fault
    (108.6, <Fault.OPEN: 'open'>)
    """
    for values, fault in ((settings.open_values, Fault.OPEN), (settings.short_values, Fault.SHORT)):
        if raw in {value % 0x10000 for value in values}:
            return Heard(None, fault, f"register {raw}")
    count = raw - 0x10000 if settings.signed and raw >= 0x8000 else raw
    return within(to_celsius(round(count * settings.scale, 9), settings.unit), f"register {raw}")


def _quiet() -> None:
    """What the library would say on the terminal is told as a reading instead."""
    log = logging.getLogger("pymodbus")
    if not log.handlers:
        log.addHandler(logging.NullHandler())
