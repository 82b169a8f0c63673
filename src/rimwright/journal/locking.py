"""A file beside the journal: who writes it, how the last one ended, and what it had kept."""

from __future__ import annotations

import contextlib
import json
import os
import threading
import time
from collections.abc import Mapping
from dataclasses import astuple, dataclass, field, replace
from pathlib import Path
from typing import Literal

from rimwright.errors import JournalError

#: How long the start waits while another process looks the same journal over. [s]
_WAIT_S = 10.0

#: Written at this length from the beginning, so that it never needs room on a full disk.
_BYTES = 4000

#: Runs whose last kept rows are remembered.
_RUNS = 40


@dataclass(frozen=True, slots=True)
class Tally:
    """The last rows of a run whose commit had returned."""

    sample: int = 0
    #: Of that sample, since the run was begun. [ms]
    at_ms: int = 0
    event: int = 0
    #: Rows that are known to be missing between others.
    holes: int = 0


@dataclass(frozen=True, slots=True)
class Mark:
    """What the file says; it outlives the process that wrote it."""

    #: "writing" with nobody holding the file: the last one was cut off.
    state: Literal["", "checking", "writing", "closed"] = ""
    process: int = 0
    #: What was said before somebody began to look.
    before: Literal["", "checking", "writing", "closed"] = ""
    #: Which file on the disk it is about.
    file: int = 0
    runs: Mapping[int, Tally] = field(default_factory=dict)


class LockFile:
    """One process writes: it holds this file. The system lets go of it when the process ends."""

    def __init__(self, journal: Path) -> None:
        self.path = journal.with_name(f"{journal.name}.lock")
        self._journal = journal
        self._held: int | None = None
        self._one_at_a_time = threading.Lock()
        self.mark = self.read()

    @property
    def held(self) -> bool:
        """Whether this process has it."""
        return self._held is not None

    def read(self) -> Mark:
        """What it says now; nothing where it is not there or cannot be read."""
        try:
            said = json.loads(self.path.read_bytes())
            runs = {int(run): Tally(*map(int, tally)) for run, tally in said["runs"].items()}
            return Mark(said["state"], int(said["process"]), said["before"], said["file"], runs)
        except (OSError, ValueError, TypeError, KeyError, AttributeError):
            return Mark()

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
        except BlockingIOError:
            os.close(handle)
            return False
        except OSError as error:
            os.close(handle)
            raise JournalError(
                f"a disk where no file can be locked ({error.strerror})",
                "a folder on this computer's own disk",
                "choose another with RIMWRIGHT_JOURNAL",
                where=str(self.path),
            ) from error
        self._held = handle
        self.mark = self.read()
        return True

    def take_to_look(self) -> bool:
        """Take it at the start: wait for somebody who only looks, not for one who writes."""
        until = time.monotonic() + _WAIT_S
        while not self.take():
            if self.read().state == "writing" or time.monotonic() > until:
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
                f"another process that records into it (number {self.read().process or 'unknown'})",
                "one process that writes a journal file",
                "use the one that runs, or end it; several benches share a postgresql:// journal",
                where=str(self._journal),
            )
        self.say("writing")

    def say(self, state: Literal["checking", "writing", "closed"]) -> None:
        """Note what goes on, on the disk before anything else happens."""
        mark, number = self.mark, self._number()
        before = mark.before if mark.state == "checking" else mark.state
        # Another file in its place, a backup perhaps, never had what the former one had.
        runs = mark.runs if number == mark.file else {}
        self.mark = Mark(state, os.getpid(), before, number, runs)
        self._write()
        if self._held is not None:
            with contextlib.suppress(OSError):
                os.fsync(self._held)

    def count(self, runs: Mapping[int, Tally]) -> None:
        """Note what was committed: not synced, for it is only told apart from nothing by it."""
        with self._one_at_a_time:
            known = {**self.mark.runs}
            for run, tally in runs.items():
                last = known.pop(run, Tally())
                known[run] = Tally(*map(max, astuple(last), astuple(tally)))
            newest = dict(list(known.items())[-_RUNS:])
            self.mark = replace(self.mark, runs=newest)
            self._write()

    def count_anew(self, runs: Mapping[int, Tally]) -> None:
        """What was kept is as the file has it now."""
        self.mark = replace(self.mark, runs=dict(runs))
        self._write()

    def release(self) -> None:
        """Let others have it."""
        if self._held is not None:
            os.close(self._held)
            self._held = None

    def _number(self) -> int:
        with contextlib.suppress(OSError):
            return self._journal.stat().st_ino
        return 0

    def _write(self) -> None:
        mark = self.mark
        runs = {str(run): astuple(tally) for run, tally in mark.runs.items()}
        said = {
            "state": mark.state,
            "process": mark.process,
            "before": mark.before,
            "file": mark.file,
            "runs": runs,
        }
        if self._held is not None:
            # A full disk must not stop the journal from being read.
            with contextlib.suppress(OSError):
                os.pwrite(self._held, json.dumps(said).ljust(_BYTES).encode("ascii"), 0)
