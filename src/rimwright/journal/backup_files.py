"""Backups as files: their folder, their names, and whether one is sound."""

from __future__ import annotations

import contextlib
import re
import time
from calendar import timegm
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rimwright.errors import JournalError

if TYPE_CHECKING:
    from rimwright.journal.engine import Journal

_STAMP = re.compile(r"-(\d{8}-\d{6})(?:-\d+)?\.sqlite$")
_FORM = "%Y%m%d-%H%M%S"


@dataclass(frozen=True, slots=True, kw_only=True)
class Backup:
    """One backup in its folder."""

    path: Path
    #: When it was made. [s since 1970]
    wall_s: float
    size_bytes: int


def backup_folder(journal: Journal) -> Path:
    """Where a journal's backups go: beside its file, or in the maker's data folder."""
    from rimwright.journal.opening import usual_place

    return (journal.path or usual_place()).parent / "backups"


def stem_of(journal: Journal) -> str:
    """What the names of its backups begin with."""
    if journal.path is not None:
        return journal.path.stem
    # "postgresql://shop@host/journal" without what a file's name cannot have.
    address = journal.where.partition("://")[2].rpartition("@")[2]
    return "server-" + re.sub(r"[^A-Za-z0-9.]+", "-", address).strip("-.")[:80]


def named(folder: Path, stem: str, wall_s: float, mark: str = "") -> Path:
    """A name for a copy made at this moment that no file in the folder has."""
    name = f"{stem}{mark}-{time.strftime(_FORM, time.gmtime(wall_s))}"
    path, number = folder / f"{name}.sqlite", 1
    while path.exists():
        number += 1
        path = folder / f"{name}-{number}.sqlite"
    return path


def backups_in(folder: Path, stem: str) -> tuple[Backup, ...]:
    """Backups in a folder of the journal whose name begins so, newest first."""
    found = []
    for path in folder.glob("*.sqlite"):
        stamp = _STAMP.search(path.name)
        if stamp and path.name[: stamp.start()] == stem and path.is_file():
            with contextlib.suppress(OSError, ValueError):
                made = float(timegm(time.strptime(stamp[1], _FORM)))
                found.append(Backup(path=path, wall_s=made, size_bytes=path.stat().st_size))
    return tuple(sorted(found, key=lambda one: (one.wall_s, len(one.path.name), one.path.name)))[
        ::-1
    ]


def refuse_unsound(path: Path, where: str) -> None:
    """Look a copy over: whole, every reference found, a journal.

    Raises
    ------
    JournalError
        With what is wrong.
    """
    from rimwright.journal.sqlite_file import APPLICATION_ID, driver

    module: Any = driver()
    try:
        connection = module.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)
        try:
            found = connection.execute("PRAGMA integrity_check(1)").fetchone()[0]
            lost = connection.execute("PRAGMA foreign_key_check").fetchone()
            ours = connection.execute("PRAGMA application_id").fetchone()[0] == APPLICATION_ID
        finally:
            connection.close()
    except module.Error as error:
        raise JournalError(
            f"a file that is no sound journal ({error})",
            "a backup of a journal",
            "take another backup; run `rimwright check`",
            where=where,
        ) from error
    if found == "ok" and lost is None and ours:
        return
    what = (
        "another program's database" if not ours else found if lost is None else "lost references"
    )
    raise JournalError(
        f"a copy that is not sound ({what:.60})",
        "a whole journal",
        "take another backup; run `rimwright check`",
        where=where,
    )
