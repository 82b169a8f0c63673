"""States in which a journal file can be found, to be laid out again and again."""

from __future__ import annotations

import json
import shutil
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from journal_rows import event, new_run, sample
from rimwright.journal.opening import open_journal
from rimwright.journal.runs import begin_run, events_of, open_runs, samples_after
from rimwright.journal.writer import Writer

NAME = "journal.sqlite"


@dataclass(frozen=True)
class State:
    """The files of a journal at one moment, as a power cut would leave them."""

    files: Mapping[str, bytes]
    #: Samples and events of run 1 whose commit had returned, and those that were handed in.
    acknowledged: tuple[int, int]
    handed_in: tuple[int, int]

    @classmethod
    def of(
        cls, folder: Path, acknowledged: tuple[int, int], handed_in: tuple[int, int] | None = None
    ) -> State:
        """Of a journal that is open."""
        files = {
            str(path.relative_to(folder)): path.read_bytes()
            for path in sorted(folder.rglob("*"))
            if path.is_file() and not path.name.endswith("-shm")
        }
        return cls(files, acknowledged, handed_in or acknowledged)

    def lay(self, folder: Path, **changed: bytes | None) -> Path:
        """Lay it out, with changed files by their ending (`wal`, `journal`, `main`)."""
        if folder.exists():
            shutil.rmtree(folder)
        ends = {"main": NAME, "wal": f"{NAME}-wal", "journal": f"{NAME}-journal"}
        files: dict[str, bytes | None] = {**self.files}
        files.update({ends[end]: data for end, data in changed.items()})
        for name, data in files.items():
            if data is not None:
                (folder / name).parent.mkdir(parents=True, exist_ok=True)
                (folder / name).write_bytes(data)
        path, lock = folder / NAME, folder / f"{NAME}.lock"
        if lock.exists() and path.exists():
            # It is the same file on the disk, as far as its lock can tell.
            said = json.loads(lock.read_bytes())
            said["file"] = path.stat().st_ino
            lock.write_text(json.dumps(said).ljust(4000))
        return path


def grown(folder: Path, samples: int, *, each: int = 3, backup_at: int = 0) -> State:
    """A journal into which one run was recorded, a few samples to a commit; still open."""
    journal, _ = open_journal(folder / NAME)
    run = open_runs(journal)[0] if open_runs(journal) else begin_run(journal, new_run())
    writer = Writer(journal, every_s=0.0)
    for number, first in enumerate(range(1, samples + 1, each), 1):
        last = min(first + each - 1, samples)
        writer.put(run, [sample(seq) for seq in range(first, last + 1)], [event(number)])
        assert writer.flush(20.0)
        if backup_at and first <= backup_at <= last:
            from rimwright.journal.backup import back_up

            back_up(journal)
    state = State.of(folder, writer.kept(run))
    writer.stop()
    journal.close()
    return state


def content(path: Path, run: int = 1) -> tuple[list[int], list[int], tuple[str, ...]]:
    """Open it; numbers of a run's samples and events, none of them invented, and the notices."""
    journal, notices = open_journal(path)
    try:
        samples = samples_after(journal, run)
        events = events_of(journal, run)
        for row in samples:
            true = sample(row.seq)
            # A flipped bit below a billionth of a kelvin is not found, and alters nothing.
            if row != true:
                assert row.celsius == pytest.approx(true.celsius, abs=1e-9)
                assert replace(row, celsius=None) == replace(true, celsius=None)
        for one in events:
            assert one == event(one.seq)
        return [row.seq for row in samples], [one.seq for one in events], notices
    finally:
        journal.close()


def is_prefix(numbers: list[int]) -> bool:
    """1, 2, 3 ... without a hole."""
    return numbers == list(range(1, len(numbers) + 1))
