"""The tables of the shop's probes: one for each, with the keys of its kind."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints, model_validator

from rimwright.equipment.probe_keys import (
    EVERY_S,
    LONGEST_TEXT,
    MOST_VALUES,
    NUMBER,
    WHOLE,
)
from rimwright.equipment.probes import ProbeSettings, probe_from
from rimwright.errors import ProbeError
from rimwright.instrument.design_files.quantity import Quantity, RefusedError
from rimwright.instrument.design_files.tables import Table, Text

Line = Annotated[
    str, StringConstraints(min_length=1, max_length=LONGEST_TEXT, pattern=r"^[^\x00-\x1f\x7f]*$")
]
Count = Annotated[int, Field(ge=-32_768, le=65_535)]
Counts = Annotated[list[Count], Field(max_length=MOST_VALUES)]
Baud = Annotated[int, Field(ge=WHOLE["baud"][0], le=WHOLE["baud"][1])]
Column = Annotated[int, Field(ge=WHOLE["column"][0], le=WHOLE["column"][1])]
Device = Annotated[int, Field(ge=WHOLE["device"][0], le=WHOLE["device"][1])]
Register = Annotated[int, Field(ge=WHOLE["register"][0], le=WHOLE["register"][1])]
StopBits = Annotated[int, Field(ge=WHOLE["stop_bits"][0], le=WHOLE["stop_bits"][1])]
Number = Annotated[int, Field(ge=WHOLE["probe"][0], le=WHOLE["probe"][1])]
Scale = Annotated[float, Field(ge=NUMBER["scale"][0], le=NUMBER["scale"][1])]
Speed = Annotated[float, Field(ge=NUMBER["speed"][0], le=NUMBER["speed"][1])]


class ProbeTable(Table):
    """A probe and how it is reached; each kind takes the keys that name it."""

    name: Text = Field(description="Short, such as waist; letters, figures, spaces and hyphens.")
    place: Line | None = Field(None, description="Where it lies, in your words; else its name.")
    kind: Literal["serial", "modbus", "mqtt", "http", "replay", "model"] = Field(
        description="How it is reached; replay and model are for practice."
    )
    port: Line | None = Field(None, description='serial: such as "/dev/ttyUSB0" or "COM3".')
    address: Line | None = Field(
        None, description="modbus: a serial port (RTU), or host or host:port (TCP)."
    )
    broker: Line | None = Field(None, description="mqtt: host or host:port.")
    topic: Line | None = Field(None, description="mqtt: one topic, without + or #.")
    recording: Line | None = Field(
        None, description="replay: a CSV file of samples, or a run's number in the journal."
    )
    # Held to their form by the settings, whose message does not repeat a secret.
    token: str | None = Field(
        None, description="http: the secret that the microcontroller sends along."
    )
    token_sha256: str | None = Field(
        None, description="http: in place of the token its SHA-256, in hexadecimal."
    )
    unit: Literal["degC", "degF", "mV"] | None = Field(
        None,
        description="Of the figures: degC, degF, or on serial boards mV of type K; left out: degC.",
    )
    baud: Baud | None = Field(None, description="serial, modbus: bits a second; left out: 9600.")
    column: Column | None = Field(
        None,
        description="serial: which one is the figure, from 1; left out: the line is the figure.",
    )
    cold_column: Column | None = Field(
        None, description="serial, mV: column of the board's own temperature, in °C."
    )
    separator: Literal["any", "comma", "semicolon", "tab", "space"] | None = Field(
        None, description="serial: between columns; left out: any, as the line has it."
    )
    decimal: Literal["point", "comma"] | None = Field(
        None, description="serial, mqtt, http: decimal point or comma; left out: point."
    )
    pattern: Line | None = Field(
        None, description="serial: regular expression whose first group is the figure."
    )
    says_open: Line | None = Field(
        None, description="serial, mqtt, http: regular expression for a broken wire."
    )
    says_short: Line | None = Field(
        None, description="serial, mqtt, http: regular expression for a shorted wire."
    )
    ends: Literal["line", "pause"] | None = Field(
        None, description="serial: what ends a reading; left out: line."
    )
    device: Device | None = Field(
        None, description="modbus: number of the device on its bus; left out: 1."
    )
    register_: Register | None = Field(
        None, alias="register", description="modbus: its number as sent, from 0; left out: 0."
    )
    table: Literal["input", "holding"] | None = Field(
        None, description="modbus: input or holding register; left out: input."
    )
    scale: Scale | None = Field(None, description="modbus: degrees a count; left out: 1.")
    signed: bool | None = Field(
        None, description="modbus: whether counts go below zero; left out: true."
    )
    open_values: Counts | None = Field(
        None,
        description="modbus: counts that say the wire is broken; left out: 65535, 32767, -32768.",
    )
    short_values: Counts | None = Field(
        None, description="modbus: counts that say the wire is shorted."
    )
    parity: Literal["none", "even", "odd"] | None = Field(
        None, description="modbus on a serial port: the parity bit; left out: none."
    )
    stop_bits: StopBits | None = Field(
        None, description="modbus on a serial port: how many; left out: 1."
    )
    every: Annotated[float, Quantity("time", *EVERY_S)] | None = Field(
        None, description="modbus: time between two questions; left out: 0.1 s."
    )
    value: Line | None = Field(
        None, description="mqtt, http: where in the JSON, names and numbers with dots between."
    )
    user_env: Text | None = Field(
        None, description="mqtt: environment variable that holds the user."
    )
    password_env: Text | None = Field(
        None, description="mqtt: environment variable that holds the password."
    )
    probe: Number | None = Field(
        None, description="replay: which probe of the recording; left out: 0."
    )
    speed: Speed | None = Field(
        None, description="replay: recorded seconds in a second; left out: 1."
    )

    @model_validator(mode="after")
    def _reached(self) -> ProbeTable:
        try:
            self.settings()
        except ProbeError as error:
            raise RefusedError(
                error.found, error.expected, error.next_step, key=error.where
            ) from error
        return self

    def settings(self) -> ProbeSettings:
        """The probe that the table says.

        Raises
        ------
        ProbeError
            If keys and kind do not go together.
        """
        values = self.model_dump(exclude_none=True, by_alias=True)
        if "every" in values:
            values["every"] = f"{values['every']!r} s"
        return probe_from(values)
