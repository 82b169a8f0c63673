"""From an older schema to this one: a copy first, then all of it in one transaction."""

from __future__ import annotations

import contextlib
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rimwright.errors import JournalError
from rimwright.journal.engine import SCHEMA

if TYPE_CHECKING:
    from sqlalchemy import Connection

#: The revisions that come with us.
MIGRATIONS = Path(__file__).with_name("migrations")


def revision_of(connection: Connection) -> str | None:
    """Which schema a database has; None where it has none of ours."""
    from sqlalchemy import inspect

    if not inspect(connection).has_table("alembic_version"):
        return None
    row = connection.exec_driver_sql("SELECT version_num FROM alembic_version").first()
    return None if row is None else str(row[0])


def newest(migrations: Path | None = None) -> str:
    """The schema that this program reads and writes."""
    if migrations is None:
        return SCHEMA
    return _scripts(migrations)[1].get_current_head() or ""


def knows(revision: str, migrations: Path | None = None) -> bool:
    """Whether this program can go on from that schema; not where a newer one wrote it."""
    from alembic.util import CommandError

    if revision == newest(migrations):
        return True
    with contextlib.suppress(CommandError):
        return _scripts(migrations)[1].get_revision(revision) is not None
    return False


def refuse_newer(revision: str, where: str) -> JournalError:
    """A journal that a newer Rimwright has written, as one line."""
    return JournalError(
        f"a journal of a newer Rimwright (schema {revision})",
        f"schema {SCHEMA} or older",
        "update Rimwright on this computer",
        where=where,
    )


def upgrade(connection: Connection, migrations: Path | None = None, target: str = "head") -> None:
    """Bring the tables to a revision, within the transaction of the connection.

    Parameters
    ----------
    connection : Connection
        In a transaction, the caller commits it.
    migrations : Path, optional
        Folder of revisions; those that come with us if left out.
    target : str, default "head"
        Revision to go on to.
    """
    from alembic import command

    config = _scripts(migrations)[0]
    config.attributes["connection"] = connection
    command.upgrade(config, target)


def keep_copy(path: Path, revision: str, module: Any, now: float) -> Path:
    """A whole copy of a journal file before its schema changes, beside its backups.

    Raises
    ------
    OutputError
        If there is no room for it.
    """
    from rimwright.files import made_beside, make_folder
    from rimwright.journal.backup_files import named

    folder = path.parent / "backups"
    make_folder(folder)
    copy = named(folder, path.stem, now, f"-schema-{revision}")
    with made_beside(copy) as part:
        connection = module.connect(str(path), isolation_level=None)
        try:
            connection.execute("VACUUM INTO ?", (str(part),))
        finally:
            connection.close()
    return copy


def _scripts(migrations: Path | None) -> tuple[Any, Any]:
    from alembic.config import Config
    from alembic.script import ScriptDirectory

    config = Config()
    # "%" would be read as the beginning of a reference to another option.
    config.set_main_option("script_location", str(migrations or MIGRATIONS).replace("%", "%%"))
    config.set_main_option("path_separator", "newline")
    return config, ScriptDirectory.from_config(config)
