"""The first tables.

Revision 0001. Written out, not taken from `tables.py`: that one goes on, this one stays.
"""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Make them."""
    op.create_table(
        "about",
        sa.Column("key", sa.String(40), primary_key=True),
        sa.Column("value", sa.Text, nullable=False),
    )
    _things()
    _runs()
    _what_a_run_left()
    _records(
        "devices",
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("token_sha256", sa.String(64), nullable=False, unique=True),
        sa.Column("may_act", sa.Boolean, nullable=False),
        sa.Column("paired_wall_s", sa.Float, nullable=False),
        sa.Column("seen_wall_s", sa.Float, nullable=False),
        sa.Column("revoked_wall_s", sa.Float),
    )


def _records(name: str, *columns: "sa.Column[Any]") -> None:
    op.create_table(
        name,
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("uid", sa.String(36), nullable=False, unique=True),
        *columns,
    )


def _words() -> "sa.Column[Any]":
    return sa.Column("words", sa.Text, nullable=False)


def _run() -> "sa.Column[Any]":
    return sa.Column(
        "run_id", sa.Integer, sa.ForeignKey("runs.id", ondelete="CASCADE"), nullable=False
    )


def _of_run() -> "sa.Column[Any]":
    return sa.Column(
        "run_id", sa.Integer, sa.ForeignKey("runs.id", ondelete="CASCADE"), primary_key=True
    )


def _index(table: str, *columns: str) -> None:
    op.create_index(f"ix_{table}_{'_'.join(columns)}", table, list(columns))


def _things() -> None:
    """Instruments, wood, boards and sides."""
    _records(
        "instruments",
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("model", sa.Text, nullable=False),
        sa.Column("player", sa.String(5), nullable=False),
        sa.Column("begun_wall_s", sa.Float, nullable=False),
        _words(),
    )
    _records(
        "woods",
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("properties", sa.JSON, nullable=False),
        _words(),
    )
    _records(
        "board_sets",
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("wood_id", sa.Integer, sa.ForeignKey("woods.id")),
        _words(),
    )
    _records(
        "boards",
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("set_id", sa.Integer, sa.ForeignKey("board_sets.id")),
        sa.Column("wood_id", sa.Integer, sa.ForeignKey("woods.id")),
        sa.Column("length_m", sa.Float),
        sa.Column("width_m", sa.Float),
        sa.Column("thickness_m", sa.Float),
        sa.Column("grain_angle_rad", sa.Float),
        _words(),
    )
    _records(
        "sides",
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("instrument_id", sa.Integer, sa.ForeignKey("instruments.id")),
        sa.Column("board_id", sa.Integer, sa.ForeignKey("boards.id")),
        sa.Column("mate_id", sa.Integer, sa.ForeignKey("sides.id")),
        sa.Column("hand", sa.String(6), nullable=False),
        sa.Column("piece", sa.String(6), nullable=False),
        sa.Column("moisture", sa.Float),
        sa.Column("moisture_meter", sa.Text),
        sa.Column("humidity", sa.Float),
        sa.Column("hygrometer", sa.Text),
        _words(),
    )
    op.create_table(
        "side_thicknesses",
        sa.Column(
            "side_id", sa.Integer, sa.ForeignKey("sides.id", ondelete="CASCADE"), primary_key=True
        ),
        sa.Column("number", sa.SmallInteger, primary_key=True),
        sa.Column("place", sa.Text, nullable=False),
        sa.Column("s_m", sa.Float),
        sa.Column("thickness_m", sa.Float, nullable=False),
    )


def _runs() -> None:
    """Runs, their probes, samples and events."""
    _records(
        "runs",
        sa.Column("side_id", sa.Integer, sa.ForeignKey("sides.id")),
        sa.Column("model", sa.Text, nullable=False),
        sa.Column("plan_code", sa.Text, nullable=False),
        sa.Column("hand", sa.String(6), nullable=False),
        sa.Column("piece", sa.String(6), nullable=False),
        sa.Column("simulated", sa.Boolean, nullable=False),
        sa.Column("state", sa.String(10), nullable=False),
        sa.Column("begun_wall_s", sa.Float, nullable=False),
        sa.Column("ended_wall_s", sa.Float),
        sa.Column("model_version", sa.Text, nullable=False),
        sa.Column("blanket", sa.Text, nullable=False),
        sa.Column("bench", sa.Text, nullable=False),
        sa.Column("probe_settings", sa.JSON, nullable=False),
        sa.Column("run_plan", sa.JSON, nullable=False),
        sa.Column("prediction", sa.JSON, nullable=False),
        sa.Column("design_text", sa.Text),
        sa.Column("plan_document", sa.JSON),
    )
    _index("runs", "state")
    _index("runs", "begun_wall_s")
    op.create_table(
        "run_probes",
        _of_run(),
        sa.Column("number", sa.SmallInteger, primary_key=True),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("place", sa.Text, nullable=False),
        sa.Column("kind", sa.String(10), nullable=False),
    )
    op.create_table(
        "samples",
        _of_run(),
        sa.Column("seq", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("at_ms", sa.BigInteger, nullable=False),
        sa.Column("probe", sa.SmallInteger, nullable=False),
        sa.Column("celsius", sa.Float),
        sa.Column("fault", sa.String(12)),
        sa.Column("check_sum", sa.Integer),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "events",
        _of_run(),
        sa.Column("seq", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("at_s", sa.Float, nullable=False),
        sa.Column("wall_s", sa.Float, nullable=False),
        sa.Column("kind", sa.String(20), nullable=False),
        sa.Column("data", sa.JSON, nullable=False),
        sa.Column("key", sa.String(64)),
        sa.Column("device", sa.Text, nullable=False),
        sa.Column("check_sum", sa.BigInteger),
        sa.UniqueConstraint("run_id", "key", "seq"),
        sqlite_with_rowid=False,
    )
    _index("events", "kind")


def _what_a_run_left() -> None:
    """Outcomes, photographs, notes, and what was learnt of the blanket."""
    _records(
        "outcomes",
        _run(),
        sa.Column("kind", sa.String(12), nullable=False),
        sa.Column("place", sa.Text, nullable=False),
        sa.Column("s_m", sa.Float),
        sa.Column("face", sa.String(7), nullable=False),
        _words(),
        sa.Column("wall_s", sa.Float, nullable=False),
    )
    _index("outcomes", "run_id")
    _records(
        "photographs",
        _run(),
        _words(),
        sa.Column("wall_s", sa.Float, nullable=False),
        sa.Column("media_type", sa.String(20), nullable=False),
        sa.Column("width_px", sa.Integer, nullable=False),
        sa.Column("height_px", sa.Integer, nullable=False),
        sa.Column("data", sa.LargeBinary, nullable=False),
    )
    _index("photographs", "run_id")
    _records(
        "notes",
        sa.Column("subject", sa.String(10), nullable=False),
        sa.Column("subject_id", sa.Integer, nullable=False),
        sa.Column("wall_s", sa.Float, nullable=False),
        _words(),
    )
    _index("notes", "subject", "subject_id")
    _records(
        "heat_fits",
        _run(),
        sa.Column("blanket", sa.Text, nullable=False),
        sa.Column("wall_s", sa.Float, nullable=False),
        sa.Column("values", sa.JSON, nullable=False),
        sa.Column("rms_k", sa.Float, nullable=False),
        sa.Column("points", sa.Integer, nullable=False),
    )
    _index("heat_fits", "blanket")
