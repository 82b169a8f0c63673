"""`compiled`: a kernel made into machine code once, and kept for the next start.

Numba's own cache looks only at the file a kernel stands in, so it would keep a stale kernel
when one that it calls, in another file, has changed. Ours lies in a folder named after all
kernels' sources: change one and every kernel is compiled anew.
"""

from __future__ import annotations

import contextlib
import hashlib
import importlib
import os
import platform
import sys
import tempfile
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import Any, TypeVar, cast

import numba
import numpy as np
import numpy.typing as npt
from numba.core import config, event
from numba.np import linalg

from rimwright.bending import kernels

#: What a kernel takes and gives beside bare floats.
Array = npt.NDArray[np.float64]
Kernel = TypeVar("Kernel", bound=Callable[..., Any])

#: Where the kernels' machine code is kept, instead of the user's cache folder.
CACHE_VARIABLE = "RIMWRIGHT_CACHE"
COMPILING = "compiling the models for this machine, once; this takes up to a minute"


def sources_hash(folder: Path | None = None) -> str:
    """Sixteen digits that change when any kernel's source, numba or Python changes."""
    digest = hashlib.sha256(f"{numba.__version__} {platform.python_version()}".encode())
    for path in sorted((folder or Path(__file__).parent).glob("*.py")):
        digest.update(path.name.encode() + b"\0" + path.read_bytes() + b"\0")
    return digest.hexdigest()[:16]


def _user_cache() -> Path:
    if os.name == "nt":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData/Local")
    if sys.platform == "darwin":
        return Path.home() / "Library/Caches"
    return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")


@lru_cache(maxsize=1)
def cache_folder() -> Path:
    """Where this version's kernels are kept; a temporary folder if nothing lasting is writable."""
    named = os.environ.get(CACHE_VARIABLE)
    parent = Path(named) if named else _user_cache() / "rimwright"
    folder = parent / "kernels" / sources_hash()
    with contextlib.suppress(OSError):
        folder.mkdir(parents=True, exist_ok=True)
        if os.access(folder, os.W_OK):
            return folder
    return Path(tempfile.mkdtemp(prefix="rimwright-kernels-"))


class _Teller(event.Listener):
    """Passes on the first compilation of this process; loads from the cache are not events."""

    told = False

    def on_start(self, event: Any) -> None:
        """Tell, the first time."""
        if not self.told:
            self.told = True
            kernels.compiling(COMPILING)

    def on_end(self, event: Any) -> None:
        """Nothing to tell."""


def _load_without_linear_algebra() -> None:
    """Load numba's array functions without scipy.linalg, which they look for and we never use.

    Half of what a kernel's first call in a process takes, some 0.13 s, is that look. They then
    think that it is there, as it is: SciPy is one of our own dependencies.
    """
    looked_for = linalg.ensure_blas
    linalg.ensure_blas = lambda: None
    try:
        importlib.import_module("numba.np.arraymath")
    finally:
        linalg.ensure_blas = looked_for


_load_without_linear_algebra()
event.register("numba:compile", _Teller())  # type: ignore[no-untyped-call]


def compiled(kernel: Kernel) -> Kernel:
    """Make a kernel into machine code, kept between starts.

    Strict arithmetic: nothing is reordered, so the same input gives the same bits; division
    by zero gives infinity as in NumPy; indices are not checked. Types come from the first
    call. With `NUMBA_DISABLE_JIT=1` the kernel stays plain Python, for coverage.

    Examples
    --------
    >>> @compiled
    ... def double(x: float) -> float:
    ...     return 2.0 * x
    >>> double(21.0)
    42.0
    """
    # Numba reads the folder while it decorates; others' kernels keep theirs.
    before: str = config.CACHE_DIR  # type: ignore[attr-defined]
    config.CACHE_DIR = str(cache_folder())  # type: ignore[attr-defined]
    try:
        # A kernel typed at a prompt or in a doctest has no file to cache under.
        kept = Path(kernel.__code__.co_filename).is_file()
        made = numba.njit(
            cache=kept, fastmath=False, error_model="numpy", boundscheck=False, nogil=True
        )(kernel)
    finally:
        config.CACHE_DIR = before  # type: ignore[attr-defined]
    return cast("Kernel", made)
