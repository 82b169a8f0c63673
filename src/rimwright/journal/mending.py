"""A damaged journal file: kept as it is, its place taken by the best that can be had."""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rimwright.errors import JournalError
from rimwright.files import sync_folder
from rimwright.journal import migrating
from rimwright.journal.backup_files import Backup, backups_in, named, refuse_unsound
from rimwright.journal.locking import Mark
from rimwright.journal.making import make_file
from rimwright.journal.mending_words import lost_words, moment_words
from rimwright.journal.salvage import drop_orphans, fill, salvage
from rimwright.journal.sqlite_file import bare_connection, errors

#: What SQLite lays beside a journal file.
SIDECARS = ("-wal", "-journal")

#: A log longer than this is not held in memory while the file is looked over. [bytes]
_LONGEST_LOG = 256_000_000

#: Time for what stands behind unreadable places, in each table. [s]
_SALVAGE_S = 1.0


@dataclass(frozen=True, slots=True)
class Beside:
    """What lay beside a journal file before anybody touched it."""

    files: Mapping[str, bytes]

    @classmethod
    def of(cls, path: Path) -> Beside:
        """Read it."""
        found = {}
        for ending in SIDECARS:
            file = path.with_name(path.name + ending)
            with contextlib.suppress(OSError):
                if 0 < file.stat().st_size <= _LONGEST_LOG:
                    found[ending] = file.read_bytes()
        return cls(found)

    def put(self, path: Path) -> None:
        """Write it beside another file."""
        for ending, data in self.files.items():
            path.with_name(path.name + ending).write_bytes(data)


def mend(
    path: Path, reason: str, mark: Mark, beside: Beside, *, module: Any, now: float,
    migrations: Path | None,
) -> str:  # fmt: skip
    """Put the best that can be had in the place of a damaged journal file.

    Parameters
    ----------
    path : Path
        The journal; nobody has it open, and this process holds its lock.
    reason : str
        What is wrong with it, in a few words.
    mark : Mark
        What its lock file said.
    beside : Beside
        Its log, as it was.
    module : module
        The driver.
    now : float
        [s since 1970]
    migrations : Path or None
        Folder of the schema's revisions.

    Returns
    -------
    str
        What happened and what was lost, in plain words.

    Raises
    ------
    JournalError
        If there is no room to mend it; it is left as it is then.
    """
    try:
        work = Path(tempfile.mkdtemp(prefix=f".{path.name}.mending-", dir=path.parent))
        try:
            base, source = _best(path, beside, work, module, migrations)
            lost = lost_words(base, mark.runs, module)
            kept = _exchange(path, base, beside, now)
        finally:
            shutil.rmtree(work, ignore_errors=True)
    except OSError as error:
        raise JournalError(
            f"a damaged journal ({reason}) and no way to mend it ({error.strerror})",
            "free space and a folder you may write to",
            "make room, then start again",
            where=str(path),
        ) from error
    what = "As it was, it" if kept and kept.exists() else "Its log"
    as_it_was = f" {what} is kept in {kept}." if kept else ""
    return f"The journal was damaged: {reason}.{as_it_was} {source} {lost}"


def keep_copy_aside(path: Path, beside: Beside, now: float) -> Path:
    """A copy of a file that lacks something, with its log as it was."""
    kept = named(path.parent, path.stem, now, "-damaged")
    shutil.copyfile(path, kept)
    beside.put(kept)
    return kept


def newest_backup(path: Path, module: Any, migrations: Path | None) -> tuple[Backup, str] | None:
    """The newest sound backup of a journal file, and its schema."""
    for backup in backups_in(path.parent / "backups", path.stem):
        with contextlib.suppress(JournalError):
            refuse_unsound(backup.path, backup.path.name)
            revision = _revision(backup.path, module)
            if revision and migrating.knows(revision, migrations):
                return backup, revision
    return None


def reach(path: Path, module: Any) -> tuple[int, int, int]:
    """How far a journal file reaches: newest run, rows of the newest runs, all runs."""
    with contextlib.suppress(*errors(module)):
        bare = bare_connection(path, module)
        try:
            newest = [n for (n,) in bare.execute("SELECT id FROM runs ORDER BY id DESC LIMIT 20")]
            rows = 0
            for table in ("samples", "events"):
                for run in newest:
                    query = f"SELECT count(*) FROM {table} WHERE run_id = ?"
                    rows += bare.execute(query, (run,)).fetchone()[0]
            runs = bare.execute("SELECT count(*) FROM runs").fetchone()[0]
            return max(newest, default=0), rows, runs
        finally:
            bare.close()
    return -1, 0, 0


def _best(
    path: Path, beside: Beside, work: Path, module: Any, migrations: Path | None
) -> tuple[Path, str]:
    """The best journal that can be had, and in words what it is made of."""
    damaged, fresh = work / "damaged.sqlite", work / "fresh.sqlite"
    backup = newest_backup(path, module, migrations)
    revision, whole = None, frozenset[str]()
    if path.exists() and path.stat().st_size:
        shutil.copyfile(path, damaged)
        beside.put(damaged)
        revision = _revision(damaged, module)
    if not revision or not migrating.knows(revision, migrations):
        revision = migrating.newest(migrations)
    make_file(fresh, module, migrations, revision)
    if damaged.exists():
        try:
            whole = salvage(damaged, fresh, module, _SALVAGE_S)
        except errors(module):
            fresh.unlink()
            make_file(fresh, module, migrations, revision)
    read = reach(fresh, module)
    if backup is None:
        drop_orphans(fresh, module)
        if read[2] == 0:
            return fresh, "Nothing could be read of it, and there is no backup: it begins anew."
        return fresh, "What could be read of it was taken over."
    made = moment_words(backup[0].wall_s)
    same = backup[1] == revision
    if reach(backup[0].path, module) > read:
        base = work / "backup.sqlite"
        shutil.copyfile(backup[0].path, base)
        if same:
            fill(base, fresh, None, module)
            drop_orphans(base, module)
        return base, f"The backup of {made} took its place."
    if same:
        fill(fresh, backup[0].path, whole, module)
    drop_orphans(fresh, module)
    return fresh, (
        f"What could be read of it was taken over, and what the backup of {made} still had."
        if same
        else "What could be read of it was taken over."
    )


def _exchange(path: Path, base: Path, beside: Beside, now: float) -> Path | None:
    """Put a file in the journal's place; what was there gets another name."""
    with base.open("rb+") as file:
        os.fsync(file.fileno())
    kept = None
    if path.exists() or beside.files:
        kept = named(path.parent, path.stem, now, "-damaged")
    if kept and path.exists():
        try:
            # A second name: the journal is never without a file, whenever the power goes.
            os.link(path, kept)
        except OSError:
            shutil.copyfile(path, kept)
    if kept:
        beside.put(kept)
    for ending in (*SIDECARS, "-shm"):
        # The log of the former file would be taken for one of the new.
        path.with_name(path.name + ending).unlink(missing_ok=True)
    base.replace(path)
    sync_folder(path.parent)
    return kept


def _revision(path: Path, module: Any) -> str | None:
    with contextlib.suppress(TypeError, *errors(module)):
        bare = bare_connection(path, module)
        try:
            row = bare.execute("SELECT version_num FROM alembic_version").fetchone()
            return str(row[0])
        finally:
            bare.close()
    return None
