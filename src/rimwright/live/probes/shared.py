"""One wire, several probes: a port is opened once in this program, whoever listens.

A board that prints two columns, or two controllers on one pair of wires, are one port; a second
opening would take half of the bytes from the first.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Any, Generic, Protocol, TypeVar

from rimwright.errors import ProbeError
from rimwright.live.probes.source import Keeper


class Ear(Protocol):
    """Somebody who listens to a wire."""

    def lost(self, words: str) -> None:
        """The wire is not there, and what the system says."""
        ...


_Ear = TypeVar("_Ear", bound=Ear)


class Wire(Generic[_Ear]):
    """A wire with its thread; `attend` of each kind reads it for all `ears`."""

    def __init__(self, name: str, set_as: tuple[object, ...]) -> None:
        #: What two who share it must agree on.
        self.set_as = set_as
        self.ears: tuple[_Ear, ...] = ()
        self._keeper = Keeper(f"probe {name}", self.attend, self._lost)

    def attend(self, keeper: Keeper) -> None:
        """Open, read until told to stop, close.

        Raises
        ------
        LinkLostError
            If it is not there or is lost.
        """
        raise NotImplementedError

    def begin(self) -> None:
        """Start its thread."""
        self._keeper.start()

    def end(self) -> None:
        """Stop its thread."""
        self._keeper.stop()

    def _lost(self, words: str) -> None:
        for ear in self.ears:
            ear.lost(words)


_lock = threading.Lock()
#: Ports are things of the computer, one each: so is this table.
_wires: dict[str, Wire[Any]] = {}


def listen(name: str, make: Callable[[], Wire[_Ear]], ear: _Ear) -> None:
    """Listen to the wire of this name; it is opened for the first who listens.

    Raises
    ------
    ProbeError
        If somebody listens to it with other settings.
    """
    asked = make()
    with _lock:
        wire = _wires.get(name)
        if wire is not None and (type(wire) is not type(asked) or wire.set_as != asked.set_as):
            raise ProbeError(
                f"{name} in use with other settings",
                "the same kind and settings for all probes of one port",
                "correct one of them, or stop the other run",
            )
        if wire is None:
            wire = _wires[name] = asked
            wire.ears = (ear,)
            wire.begin()
        else:
            wire.ears = (*wire.ears, ear)


def leave(name: str, ear: Ear) -> None:
    """Listen no more; the wire is closed behind the last."""
    with _lock:
        wire = _wires.get(name)
        if wire is None or ear not in wire.ears:
            return
        wire.ears = tuple(one for one in wire.ears if one is not ear)
        if wire.ears:
            return
        del _wires[name]
    wire.end()
