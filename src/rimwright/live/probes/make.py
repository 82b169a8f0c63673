"""From a probe's settings to the source that reads it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Protocol

from rimwright.equipment.probe_kinds import (
    HttpSettings,
    ModbusSettings,
    MqttSettings,
    ReplaySettings,
    SerialSettings,
)
from rimwright.equipment.probes import ProbeSettings
from rimwright.errors import ProbeError
from rimwright.live.probes.http import HttpSource
from rimwright.live.probes.modbus import ModbusSource
from rimwright.live.probes.mqtt import MqttSource
from rimwright.live.probes.recording import Recorded, checked_recording, read_recording
from rimwright.live.probes.replay import ReplaySource
from rimwright.live.probes.serial_line import SerialSource
from rimwright.live.probes.source import Source
from rimwright.live.readings import Fault


class KeptSample(Protocol):
    """A sample as the journal hands it out."""

    @property
    def at_ms(self) -> int:
        """Since the run was begun. [ms]"""
        ...

    @property
    def probe(self) -> int:
        """Number within its run."""
        ...

    @property
    def celsius(self) -> float | None:
        """[degC]"""
        ...

    @property
    def fault(self) -> str | None:
        """As `Fault` writes it."""
        ...


def make_source(
    settings: ProbeSettings,
    number: int,
    recorded: Callable[[int], Iterable[KeptSample]] | None = None,
    begun_ago_s: float = 0.0,
) -> Source:
    """The source of one probe, not yet started.

    Parameters
    ----------
    settings : ProbeSettings
        Of any kind but "model": what the model must know of the stack, the session knows.
    number : int
        Of the probe within the run, from 0.
    recorded : callable, optional
        The samples of a run of the journal by its number, for a replay of one.
    begun_ago_s : float, default 0.0
        How long ago the run was begun: a replay goes on where it was. [s]

    Raises
    ------
    ProbeError
        If a recording cannot be read, or the kind is made elsewhere.

    Examples
    --------
    >>> from rimwright.equipment.probes import parse_probe
    >>> make_source(parse_probe("waist=serial:/dev/ttyUSB0,column=2"), 0).kind
    'serial'
    """
    match settings.how:
        case SerialSettings() as how:
            return SerialSource(how, number)
        case ModbusSettings() as how:
            return ModbusSource(how, number)
        case MqttSettings() as how:
            return MqttSource(how, number)
        case HttpSettings() as how:
            return HttpSource(how, number)
        case ReplaySettings() as how:
            return ReplaySource(_recording(how, recorded), number, how.speed, begun_ago_s)
    raise ProbeError(
        f"a {settings.kind} probe", "one that is reached from outside",
        "the run makes its model by itself", where=settings.name,
    )  # fmt: skip


def _recording(
    how: ReplaySettings, recorded: Callable[[int], Iterable[KeptSample]] | None
) -> tuple[Recorded, ...]:
    if how.run is None:
        return read_recording(Path(how.recording), how.probe)
    if recorded is None:
        raise ProbeError(
            f"run {how.run} of a journal, but no journal", "a file, or a journal",
            "name the exported file", where="recording",
        )  # fmt: skip
    samples = (
        Recorded(1e-3 * one.at_ms, one.celsius, Fault(one.fault) if one.fault else None)
        for one in recorded(how.run)
        if one.probe == how.probe
    )
    return checked_recording(samples, f"run {how.run}, probe {how.probe}")
