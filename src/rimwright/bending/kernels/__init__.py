"""Compiled loops on bare floats and arrays: no units, no files, no objects.

Importing this package does not import the compiler; `kernels.compiled` does.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from functools import lru_cache

_listeners: list[Callable[[str], None]] = []


def when_compiling(tell: Callable[[str], None] | None) -> None:
    """Have `tell` called with a line of words if a kernel must be compiled; None: nobody.

    That is so the first time ever, and after a change of the kernels; it takes some seconds.
    """
    _listeners[:] = [] if tell is None else [tell]


def compiling(words: str) -> None:
    """Pass on that a kernel is being compiled."""
    for tell in _listeners:
        tell(words)


@lru_cache(maxsize=1)
def load_early() -> threading.Thread:
    """Begin to load the compiler in the background, for one who first waits for something else.

    Not a daemon: a process that ends meanwhile waits the third of a second that is left.
    """
    thread = threading.Thread(target=_load, name="load kernels")
    thread.start()
    return thread


def _load() -> None:
    from rimwright.bending.kernels import diffusion, heat  # noqa: F401
    from rimwright.bending.kernels.heat_wood import saturation

    # The first call of any kernel sets the compiler's books up, which is most of the work.
    saturation(20.0)
