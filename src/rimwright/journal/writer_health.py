"""Whether what happens is being kept, in words."""

from __future__ import annotations

import shutil
from dataclasses import dataclass

from rimwright.errors import JournalError
from rimwright.journal.engine import Journal

#: Less free disk than this is as good as none: an hour of it can be gone at once. [bytes]
LEAST_ROOM = 100_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class WriterHealth:
    """Whether what happens is being kept."""

    ok: bool
    #: Why not, and what to do; "" where all is well.
    words: str
    #: Rows that are only in memory.
    waiting: int
    #: Samples that were given up because memory is bounded, and rows that no database takes.
    dropped: int
    #: How long ago a commit returned; 0 before the first. [s]
    last_commit_s: float


def words_of(error: Exception) -> str:
    """Why a commit failed and what to do, as people are told."""
    if isinstance(error, JournalError):
        return f"{error.found[:1].upper()}{error.found[1:]}: {error.next_step}"
    return f"The journal refuses ({type(error).__name__}): look at disk or server"


def free_room(journal: Journal) -> int | None:
    """Free bytes on the disk of a journal file; None where nobody knows."""
    if journal.path is None:
        return None
    try:
        return shutil.disk_usage(journal.path.parent).free
    except OSError:
        return None
