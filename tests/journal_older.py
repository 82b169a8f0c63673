"""Revisions for tests: an older schema, and the way from it to the first released one.

The way is long enough to be cut off: it makes a table, makes another anew with a column more,
and rewrites rows one by one.
"""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

from rimwright.journal.making import make_file
from rimwright.journal.migrating import MIGRATIONS
from rimwright.journal.sqlite_file import driver

_OLDER = '''
"""An older schema: no devices, and no place on the runs."""

from importlib import import_module

from alembic import op

revision, down_revision, branch_labels, depends_on = "0000", None, None, None


def upgrade() -> None:
    import_module("rimwright.journal.migrations.versions.first_0001").upgrade()
    op.drop_table("devices")
    with op.batch_alter_table("runs") as runs:
        runs.drop_column("bench")
'''

_NEXT = '''
"""The way on."""

import time

import sqlalchemy as sa
from alembic import op

revision, down_revision, branch_labels, depends_on = "0001", "0000", None, None


def upgrade() -> None:
    op.create_table(
        "devices",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("uid", sa.String(36), nullable=False, unique=True),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("token_sha256", sa.String(64), nullable=False, unique=True),
        sa.Column("may_act", sa.Boolean, nullable=False),
        sa.Column("paired_wall_s", sa.Float, nullable=False),
        sa.Column("seen_wall_s", sa.Float, nullable=False),
        sa.Column("revoked_wall_s", sa.Float),
    )
    anew = "always" if op.get_bind().dialect.name == "sqlite" else "never"
    with op.batch_alter_table("runs", recreate=anew) as runs:
        runs.add_column(sa.Column("bench", sa.Text, nullable=False, server_default=""))
    connection = op.get_bind()
    for seq in range(1, 51):
        connection.execute(
            sa.text("UPDATE events SET device = 'moved' WHERE seq = :seq"), {"seq": seq}
        )
        time.sleep(PAUSE)
    if FAILS:
        raise RuntimeError("in the middle")
'''


def revisions(folder: Path, *, pause_s: float = 0.0, fails: bool = False) -> Path:
    """A folder of revisions whose newest is 0001, after an older one."""
    versions = folder / "versions"
    versions.mkdir(parents=True)
    shutil.copy(MIGRATIONS / "env.py", folder)
    (versions / "older.py").write_text(_OLDER)
    way = _NEXT.replace("PAUSE", str(pause_s)).replace("FAILS", str(fails))
    (versions / "way.py").write_text(way)
    return folder


def old_journal(path: Path, folder: Path) -> None:
    """A journal of the older schema with one run in it."""
    module: Any = driver()
    path.parent.mkdir(parents=True, exist_ok=True)
    make_file(path, module, folder, "0000")
    bare = module.connect(str(path))
    for statement in ROWS:
        bare.execute(statement)
    bare.commit()
    bare.close()


#: Rows of the older schema, for either kind of store.
ROWS = (
    "INSERT INTO runs (id, uid, model, plan_code, hand, piece, simulated, state, begun_wall_s,"
    " run_plan, model_version, prediction, blanket, probe_settings) VALUES (1, '"
    + "u" * 36
    + "', 'Wren', 'W', 'bass', 'main', true, 'open', 1.0, '{}', '1', '{}', '', '[]')",
    *(
        f"INSERT INTO samples (run_id, seq, at_ms, probe, celsius) VALUES (1, {n}, {n}00, 0, {n})"
        for n in range(1, 201)
    ),
    *(
        "INSERT INTO events (run_id, seq, at_s, wall_s, kind, data, device)"
        f" VALUES (1, {n}, {n}, {n}, 'note', '{{}}', '')"
        for n in range(1, 51)
    ),
)
