"""The fork server's side of guarded reading: a process that has everything imported.

Started by `rimwright.instrument.drawings.guard` as ``python -c``; it takes one pickled request at
a time from its standard input, forks a child under limits to answer it, and passes the
answer on. It never runs the caller's own program, so no ``__main__`` guard is needed.
"""

from __future__ import annotations

import gc
import os
import pickle
import selectors
import signal
import struct
import sys
import time
from collections.abc import Callable
from typing import Any, BinaryIO, cast

#: How long one file may take. [s]
LONGEST_S = 5.0
#: Address space of a reading child beyond what the server itself holds. [bytes]
ROOM = 700_000_000
#: An answer larger than this is none. [bytes]
LARGEST_ANSWER = 64_000_000

_HEADER = struct.Struct("<Q")


def serve() -> None:
    """Answer requests until the input closes."""
    _preload()
    source, target = sys.stdin.buffer, os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    while (request := receive(source)) is not None:
        send(target, _in_child(request) if hasattr(os, "fork") else answer(request))


def send(stream: BinaryIO, data: bytes) -> None:
    """Write one length-headed message."""
    stream.write(_HEADER.pack(len(data)) + data)
    stream.flush()


def receive(stream: BinaryIO) -> bytes | None:
    """Read one length-headed message; None at the end."""
    header = stream.read(_HEADER.size)
    if len(header) < _HEADER.size:
        return None
    (size,) = _HEADER.unpack(header)
    data = stream.read(size)
    return data if len(data) == size else None


def named(module: str) -> Callable[..., Any]:
    """The function of a module that bears the module's name."""
    import importlib

    name = module.rpartition(".")[2]
    return cast("Callable[..., Any]", getattr(importlib.import_module(module), name))


def _preload() -> None:
    """Import what every reading needs, and try it once."""
    import importlib

    for name in (
        "scipy.interpolate",
        "scipy.spatial",
        "ezdxf",
        "ezdxf.recover",
        "svgelements",
        "rimwright.instrument.drawings.dxf",
        "rimwright.instrument.drawings.outline_from",
        "rimwright.instrument.drawings.svg",
        "rimwright.curves.trace",
    ):
        importlib.import_module(name)
    _rehearse()
    # What is loaded stays; a child that never collects copies no page just to look at it.
    gc.collect()
    gc.freeze()
    gc.disable()


def _rehearse() -> None:
    """Read a small body once, so that no child has to do anything for the first time."""
    import tempfile
    from pathlib import Path

    from rimwright.instrument.design import Drawing
    from rimwright.instrument.drawings.dxf import read_dxf
    from rimwright.instrument.drawings.outline_from import outline_from

    half = "M0 0C0 110 50 178 118 178 S210 111 268 111 330 134 372 134 S470 80 470 0"
    shapes = f'<path d="{half}"/><path d="{half}" transform="scale(1 -1)"/><path d="M-9 0H480"/>'
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="500mm" viewBox="0 0 500 400">'
    line = "0\nSECTION\n2\nENTITIES\n0\nLINE\n8\n0\n10\n0\n20\n0\n11\n1\n21\n0\n0\nENDSEC\n0\nEOF\n"
    with tempfile.TemporaryDirectory() as folder:
        sheet = Path(folder, "rehearsal.svg")
        sheet.write_text(f"{head}{shapes}</svg>", encoding="utf-8")
        outline_from(Drawing(path=sheet), seen_from="face", player="right")
        sheet = sheet.with_suffix(".dxf")
        sheet.write_text(line, encoding="utf-8")
        read_dxf(sheet)


def _in_child(request: bytes) -> bytes:
    """Fork, let the child answer, and end it when it takes too long."""
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        status = 1
        try:
            os.close(reader)
            os.setsid()
            limit()
            with os.fdopen(writer, "wb") as stream:
                stream.write(answer(request))
            status = 0
        finally:
            os._exit(status)
    os.close(writer)
    data, late = _collect(reader, time.monotonic() + LONGEST_S)
    os.close(reader)
    if late:
        _end(child)
    _, status = os.waitpid(child, 0)
    if late:
        return pickle.dumps(("late", None))
    return data if data and status == 0 else pickle.dumps(("crash", None))


def _end(child: int) -> None:
    """End the child with whatever it started itself."""
    try:
        os.killpg(child, signal.SIGKILL)
    except ProcessLookupError:  # not yet a group of its own
        os.kill(child, signal.SIGKILL)


def _collect(reader: int, deadline: float) -> tuple[bytes, bool]:
    """All the child writes, and whether it was not done by the deadline."""
    parts: list[bytes] = []
    total = 0
    with selectors.DefaultSelector() as selector:
        selector.register(reader, selectors.EVENT_READ)
        while True:
            left = deadline - time.monotonic()
            if left <= 0.0 or total > LARGEST_ANSWER:
                return b"", True
            if not selector.select(left):
                continue
            part = os.read(reader, 1 << 20)
            if not part:
                return b"".join(parts), False
            parts.append(part)
            total += len(part)


def limit() -> None:
    """Bound the memory and the processor time of this process, and close its input."""
    import resource
    from pathlib import Path

    held = 0
    pages = Path("/proc/self/statm")
    if pages.exists():
        held = int(pages.read_text().split()[0]) * resource.getpagesize()
        resource.setrlimit(resource.RLIMIT_AS, (held + ROOM, held + ROOM))
    seconds = int(LONGEST_S) + 2
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def answer(request: bytes) -> bytes:
    """Run one request and pickle what came of it."""
    from rimwright.errors import RimwrightError

    task: Callable[..., Any]
    try:
        task, arguments = pickle.loads(request)
        reply: tuple[str, Any] = ("result", task(**arguments))
    except RimwrightError as error:
        reply = ("refused", error)
    except MemoryError:
        reply = ("memory", None)
    except RecursionError:
        reply = ("crash", "nested too deeply")
    except Exception as error:  # noqa: BLE001  # a hostile file may raise anything
        reply = ("crash", f"{type(error).__name__}: {error}"[:200])
    return pickle.dumps(reply)
