"""A new journal file."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from rimwright.files import made_beside
from rimwright.journal import migrating
from rimwright.journal.sqlite_file import APPLICATION_ID, make_engine


def make_file(
    path: Path, module: Any, migrations: Path | None = None, target: str = "head"
) -> None:
    """A new empty journal, whole or not at all.

    Raises
    ------
    OutputError
        If it cannot be written there.
    """
    with made_beside(path) as part:
        engine = make_engine(part, writes=True, module=module, mode="MEMORY")
        try:
            with engine.begin() as connection:
                connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
                migrating.upgrade(connection, migrations, target)
        finally:
            engine.dispose()
