"""A file beside the journal that says who writes it, and whether the last one ended well."""

from __future__ import annotations

import contextlib
import os
import time
from pathlib import Path

from rimwright.errors import JournalError

#: How long the start waits while another process looks the same journal over. [s]
_WAIT_S = 10.0


class LockFile:
    """One process writes: it holds this file. The system lets go of it when the process ends.

    What it says outlives the process: "writing" with nobody holding it means that the last
    one was cut off. Its time of change follows every commit.
    """

    def __init__(self, journal: Path) -> None:
        self.path = journal.with_name(f"{journal.name}.lock")
        self._journal = journal
        self._held: int | None = None

    @property
    def held(self) -> bool:
        """Whether this process has it."""
        return self._held is not None

    def says(self) -> str:
        """ "checking", "writing", "closed", or "" where no journal was."""
        with contextlib.suppress(OSError, UnicodeDecodeError):
            return self.path.read_text("ascii").partition(" ")[0]
        return ""

    def last_s(self) -> float | None:
        """When the journal was last written, as far as the file knows. [s since 1970]"""
        with contextlib.suppress(OSError):
            return self.path.stat().st_mtime
        return None

    def take(self) -> bool:
        """Take it if nobody has it."""
        import fcntl

        if self._held is not None:
            return True
        try:
            handle = os.open(self.path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o644)
        except OSError as error:
            raise JournalError(
                f"no way to write there ({error.strerror})",
                "a folder you may write to",
                "choose another with RIMWRIGHT_JOURNAL",
                where=str(self.path),
            ) from error
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            os.close(handle)
            return False
        self._held = handle
        return True

    def take_to_look(self) -> bool:
        """Take it at the start: wait for somebody who only looks, not for one who writes."""
        until = time.monotonic() + _WAIT_S
        while not self.take():
            if self.says() == "writing" or time.monotonic() > until:
                return False
            time.sleep(0.02)
        return True

    def take_to_write(self) -> None:
        """Take it for good.

        Raises
        ------
        JournalError
            If another process writes this journal.
        """
        if self._held is not None:
            return
        if not self.take_to_look():
            raise JournalError(
                f"another process that records into it ({self._holder()})",
                "one process that writes a journal file",
                "use the one that runs, or end it; several benches share a postgresql:// journal",
                where=str(self._journal),
            )
        self.say("writing")

    def say(self, word: str) -> None:
        """Note what goes on, on the disk before anything else happens."""
        if self._held is None:
            return
        os.pwrite(self._held, f"{word} {os.getpid()}\n".ljust(24).encode("ascii"), 0)
        os.fsync(self._held)

    def touch(self) -> None:
        """Something was committed."""
        if self._held is not None:
            with contextlib.suppress(OSError):
                os.utime(self._held)

    def release(self) -> None:
        """Let others have it."""
        if self._held is not None:
            os.close(self._held)
            self._held = None

    def _holder(self) -> str:
        with contextlib.suppress(OSError, UnicodeDecodeError, IndexError):
            return f"process {self.path.read_text('ascii').split()[1]}"
        return "unknown process"
