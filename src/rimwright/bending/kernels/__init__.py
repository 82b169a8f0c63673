"""Compiled loops on bare floats and arrays: no units, no files, no objects.

Importing this package does not import the compiler; `kernels.compiled` does.
"""

from __future__ import annotations

from collections.abc import Callable

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
