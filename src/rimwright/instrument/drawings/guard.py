"""Guarded reading: drawings and pictures are opened in a child process with limits.

A small fork server with its libraries imported is kept beside this process; each file is
read in a fork of it (a few milliseconds), under a limit of time and memory. A hostile or
broken file costs at most those, and one line.
"""

from __future__ import annotations

import atexit
import contextlib
import os
import pickle
import subprocess
import sys
import threading
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar, cast

from rimwright.errors import DrawingError, RimwrightError
from rimwright.instrument.drawings.guard_server import LONGEST_S, ROOM, named, receive, send

T = TypeVar("T")

_PROGRAM = "from rimwright.instrument.drawings.guard_server import serve; serve()"


@dataclass(frozen=True, slots=True)
class Named:
    """The function of a module that bears the module's name, without importing it here."""

    module: str

    def __reduce__(self) -> tuple[object, ...]:
        return named, (self.module,)


class _Server:
    """The fork server of this process."""

    def __init__(self) -> None:
        import rimwright

        home = Path(rimwright.__file__).parents[1]
        environment = {
            **os.environ,
            # One thread each: a fork must not inherit half a pool, and threads cost memory.
            "OPENBLAS_NUM_THREADS": "1",
            "OMP_NUM_THREADS": "1",
            "PYTHONPATH": os.pathsep.join([str(home), *_site_folders()]),
        }
        self.owner = os.getpid()
        self.lock = threading.Lock()
        # -P: modules lying in the folder the maker works in are not ours to import.
        self.process = subprocess.Popen(
            [sys.executable, "-P", "-c", _PROGRAM],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env=environment,
            start_new_session=True,
        )

    def ask(self, request: bytes) -> bytes | None:
        """One request to one answer; None if the server is gone."""
        assert self.process.stdin is not None
        assert self.process.stdout is not None
        with self.lock:
            try:
                send(cast("Any", self.process.stdin), request)
                return receive(cast("Any", self.process.stdout))
            except OSError:
                return None

    @property
    def usable(self) -> bool:
        """Whether it is this process's own and alive."""
        return self.owner == os.getpid() and self.process.poll() is None

    def end(self) -> None:
        """End it now."""
        self.process.kill()
        self.process.wait()

    def close(self) -> None:
        """Let it end, and wait for it."""
        for stream in (self.process.stdin, self.process.stdout):
            if stream is not None:
                stream.close()
        if self.owner == os.getpid():
            try:
                self.process.wait(timeout=1.0)
            except subprocess.TimeoutExpired:
                self.end()


def _site_folders() -> list[str]:
    return [entry for entry in sys.path if entry.endswith("site-packages")]


_servers: list[_Server] = []
_starting = threading.Lock()


def start_reader_early(file: Path) -> None:
    """Start the fork server, so that it imports its libraries meanwhile, if this file wants it.

    A drawing or picture does, and a design file that names one. Returns at once; worth
    calling before the rest of a command imports its own things.
    """
    wanted = file.suffix.lower() != ".toml"
    if not wanted:
        # Only a hint: what cannot be read is refused where it is opened.
        with contextlib.suppress(OSError, ValueError), file.open("rb") as stream:
            wanted = b"outline.drawing" in stream.read(1_000_000)
    if wanted:
        _server()


def _server() -> _Server:
    with _starting:
        if not _servers or not _servers[-1].usable:
            if not _servers:
                atexit.register(_close)
            elif _servers[-1].owner == os.getpid():
                _servers.pop().close()
            _servers.append(_Server())
        return _servers[-1]


def _close() -> None:
    for server in _servers:
        server.close()
    _servers.clear()


def read_guarded(task: Callable[..., T], *, where: str, **arguments: Any) -> T:
    """Run a module's function on a file in the guarded child and hand back what it returns.

    Parameters
    ----------
    task : callable
        A function at the top of a module; it and its arguments are pickled.
    where : str
        The file's name, for the message.

    Raises
    ------
    RimwrightError
        What the task refused, or that it took too long, too much memory, or broke.
    """
    request = pickle.dumps((task, arguments))
    server = _server()
    reply = server.ask(request)
    if reply is None:
        # The server itself went away (killed from outside): one fresh try.
        server.end()
        reply = _server().ask(request)
    kind, value = pickle.loads(reply) if reply is not None else ("crash", None)
    if kind == "result":
        return cast("T", value)
    if kind == "refused":
        raise cast("RimwrightError", value)
    found = {
        "late": f"a file that takes more than {LONGEST_S:.0f} s to read",
        "memory": f"a file that takes more than {ROOM / 1e6:.0f} MB of memory to read",
    }.get(kind, "a file that cannot be read" + (f" ({value})" if value else ""))
    raise DrawingError(
        found,
        "a drawing or picture of ordinary size, undamaged",
        "save the outline alone in a new file and read that",
        where=where,
    )
