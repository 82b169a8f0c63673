"""Which wire a probe hangs on, and whether several probes go together."""

from __future__ import annotations

from collections.abc import Iterable

from rimwright.equipment.probe_kinds import How, ModbusSettings, SerialSettings
from rimwright.equipment.probes import ProbeSettings
from rimwright.errors import ProbeError

#: What two probes on one wire must agree on.
_SAME = ("baud", "ends", "parity", "stop_bits")


def refuse_clashes(probes: Iterable[ProbeSettings]) -> None:
    """Refuse two probes of one name, or two that would set one serial port differently.

    Raises
    ------
    ProbeError
    """
    names: set[str] = set()
    wires: dict[str, ProbeSettings] = {}
    for probe in probes:
        if probe.name.casefold() in names:
            raise ProbeError(
                f"two probes named '{probe.name}'", "a name of its own for each",
                "rename one", where="name",
            )  # fmt: skip
        names.add(probe.name.casefold())
        wire = serial_port(probe.how)
        other = wires.setdefault(wire, probe) if wire else probe
        for key in _SAME if other.kind == probe.kind else ():
            if getattr(other.how, key, None) != getattr(probe.how, key, None):
                raise ProbeError(
                    f"{key} of {other.name} and {probe.name} not alike on {wire}",
                    "one setting for one port", "correct one of them", where=key,
                )  # fmt: skip
        if other.kind != probe.kind:
            raise ProbeError(
                f"{other.name} by {other.kind} and {probe.name} by {probe.kind} on {wire}",
                "one kind on one port", "correct the port of one of them", where="kind",
            )  # fmt: skip


def serial_port(how: How) -> str:
    """The serial port, or "" where there is none."""
    if isinstance(how, SerialSettings):
        return how.port
    return how.address if isinstance(how, ModbusSettings) and how.over_serial else ""
