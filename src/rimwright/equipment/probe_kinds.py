"""The ways a probe is reached, each with its own settings; every value checked by `probe_keys`."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from rimwright.errors import ProbeError

Unit = Literal["degC", "degF", "mV"]
MODBUS_PORT, MQTT_PORT = 502, 1883
#: What controllers answer for a broken wire: all bits, the largest and the smallest signed
#: figure; common practice, no source.
OPEN_VALUES = (65_535, 32_767, 32_768)


@dataclass(frozen=True, slots=True, kw_only=True)
class SerialSettings:
    """An amplifier board that prints lines on a serial port, 8 bits, no parity."""

    port: str
    baud: int = 9600
    #: Column of the temperature, from 1; None: the line is the figure alone.
    column: int | None = None
    separator: Literal["any", "comma", "semicolon", "tab", "space"] = "any"
    decimal: Literal["point", "comma"] = "point"
    #: Regular expression; its group "value", else its first, is the temperature.
    pattern: str = ""
    unit: Unit = "degC"
    #: With millivolts: column of the board's own temperature, in °C.
    cold_column: int | None = None
    #: Regular expressions for what the board writes of a broken or a shorted wire.
    says_open: str = ""
    says_short: str = ""
    #: "pause": the board ends no line and a pause tells readings apart.
    ends: Literal["line", "pause"] = "line"

    def __post_init__(self) -> None:
        cold = "(?P<cold>" in self.pattern
        if self.pattern and self.column is not None:
            raise ProbeError("column and pattern", "one of them", "take one out", where="column")
        if (self.separator, self.decimal) == ("comma", "comma"):
            raise ProbeError(
                "commas between columns and within figures", "one of them",
                "correct separator or decimal", where="decimal",
            )  # fmt: skip
        if self.cold_column is not None and self.column is None:
            raise ProbeError(
                "cold_column without column", "both", "say the column of the millivolts too",
                where="cold_column",
            )  # fmt: skip
        if (self.unit == "mV") != (cold or self.cold_column is not None):
            raise ProbeError(
                "millivolts without the board's own temperature" if self.unit == "mV"
                else "the board's own temperature without millivolts",
                "unit mV together with cold_column, or with a group (?P<cold>...) in the pattern",
                "say both", where="unit",
            )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class ModbusSettings:
    """A register of a controller: RTU on a serial port, or TCP."""

    #: A serial port, or host or host:port.
    address: str
    #: Of the device on its bus.
    device: int = 1
    #: As it goes over the wire, from 0.
    register: int = 0
    table: Literal["input", "holding"] = "input"
    #: Degrees a count.
    scale: float = 1.0
    signed: bool = True
    unit: Unit = "degC"
    #: Counts that stand for a broken or a shorted wire.
    open_values: tuple[int, ...] = OPEN_VALUES
    short_values: tuple[int, ...] = ()
    baud: int = 9600
    parity: Literal["none", "even", "odd"] = "none"
    stop_bits: int = 1
    #: Between two questions. [s]
    every_s: float = 0.1

    def __post_init__(self) -> None:
        _no_millivolts(self.unit)
        if not self.over_serial:
            host_and_port(self.address, MODBUS_PORT, "address")

    @property
    def over_serial(self) -> bool:
        """Whether the address is a serial port."""
        return bool(re.match(r"/|\\\\|COM[0-9]+$", self.address, re.IGNORECASE))


@dataclass(frozen=True, slots=True, kw_only=True)
class MqttSettings:
    """A topic of a broker; what it retained is old and is not taken."""

    #: Host or host:port.
    broker: str
    topic: str
    #: Where in a JSON payload: names and numbers with dots between; "": the payload itself.
    value: str = ""
    #: Names of environment variables that hold user and password; the secrets stay there.
    user_env: str = ""
    password_env: str = ""
    unit: Unit = "degC"
    decimal: Literal["point", "comma"] = "point"
    says_open: str = ""
    says_short: str = ""

    def __post_init__(self) -> None:
        _no_millivolts(self.unit)
        host_and_port(self.broker, MQTT_PORT, "broker")
        if set(self.topic) & set("+#"):
            raise ProbeError(
                f"'{self.topic}'", "one topic, without + or #", "name it whole", where="topic"
            )
        if self.password_env and not self.user_env:
            raise ProbeError(
                "password_env without user_env", "both", "name the user's variable too",
                where="user_env",
            )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class HttpSettings:
    """A microcontroller that posts its readings, with a token."""

    #: SHA-256 of the token, in hexadecimal; the token itself is kept nowhere.
    token_sha256: str
    value: str = ""
    unit: Unit = "degC"
    decimal: Literal["point", "comma"] = "point"
    says_open: str = ""
    says_short: str = ""

    def __post_init__(self) -> None:
        _no_millivolts(self.unit)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReplaySettings:
    """A recorded run once more; everything says that it is one."""

    #: A CSV file of samples, or the number of a run in the journal.
    recording: str
    #: Which probe of the recording.
    probe: int = 0
    #: Recorded seconds in a second of the run.
    speed: float = 1.0

    @property
    def run(self) -> int | None:
        """Number of the run in the journal, if it is one."""
        return int(self.recording) if re.fullmatch("[0-9]{1,9}", self.recording) else None


@dataclass(frozen=True, slots=True, kw_only=True)
class ModelSettings:
    """The heat's own model with noise, for practice; everything says that it is one."""


How = SerialSettings | ModbusSettings | MqttSettings | HttpSettings | ReplaySettings | ModelSettings
#: By the word that is written, with the key that may follow the colon.
KINDS: dict[str, tuple[type[How], str]] = {
    "serial": (SerialSettings, "port"),
    "modbus": (ModbusSettings, "address"),
    "mqtt": (MqttSettings, "broker"),
    "http": (HttpSettings, ""),
    "replay": (ReplaySettings, "recording"),
    "model": (ModelSettings, ""),
}


def host_and_port(text: str, usual: int, key: str) -> tuple[str, int]:
    """Host and TCP port of "host", "host:port" or "[v6 address]:port".

    Raises
    ------
    ProbeError
        If it is neither.

    Examples
    --------
    >>> host_and_port("192.168.1.20", 502, "address"), host_and_port("[::1]:1502", 502, "address")
    (('192.168.1.20', 502), ('::1', 1502))
    """
    match = re.fullmatch(r"(\[[0-9A-Fa-f:.%]+\]|[A-Za-z0-9._-]+)(?::([0-9]{1,5}))?", text)
    port = int(match[2] or usual) if match else 0
    if match is None or not 1 <= port <= 65_535:
        raise ProbeError(f"'{text}'", "host or host:port", f"correct {key}", where=key)
    return match[1].strip("[]"), port


def _no_millivolts(unit: Unit) -> None:
    if unit == "mV":
        raise ProbeError("mV", "degC or degF", "millivolts come from a serial board", where="unit")
