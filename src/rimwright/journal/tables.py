"""The tables of the journal, as they are now. Units are in the names of the columns.

Moments are seconds since 1970 in UTC (`_wall_s`); times within a run count from its beginning
(`at_s`, `at_ms`). Numbers of rows are for people; `uid` tells the same record in two journals.
"""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa

metadata = sa.MetaData(
    naming_convention={
        "pk": "pk_%(table_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    }
)


def _record(name: str, *items: sa.Column[Any] | sa.Index) -> sa.Table:
    """A table of records with a number for people and a name that is the same everywhere."""
    return sa.Table(
        name,
        metadata,
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("uid", sa.String(36), nullable=False, unique=True),
        *items,
    )


#: One row: which journal this is.
about = sa.Table(
    "about",
    metadata,
    sa.Column("key", sa.String(40), primary_key=True),
    sa.Column("value", sa.Text, nullable=False),
)

instruments = _record(
    "instruments",
    sa.Column("name", sa.Text, nullable=False),
    sa.Column("model", sa.Text, nullable=False),
    sa.Column("player", sa.String(5), nullable=False),
    sa.Column("begun_wall_s", sa.Float, nullable=False),
    sa.Column("words", sa.Text, nullable=False, default=""),
)

#: A wood as it was planned with: its values and where they are from.
woods = _record(
    "woods",
    sa.Column("name", sa.Text, nullable=False),
    sa.Column("properties", sa.JSON, nullable=False),
    sa.Column("words", sa.Text, nullable=False, default=""),
)

#: Boards that belong together, mostly two from one plank.
board_sets = _record(
    "board_sets",
    sa.Column("name", sa.Text, nullable=False),
    sa.Column("wood_id", sa.ForeignKey("woods.id")),
    sa.Column("words", sa.Text, nullable=False, default=""),
)

boards = _record(
    "boards",
    sa.Column("name", sa.Text, nullable=False),
    sa.Column("set_id", sa.ForeignKey("board_sets.id")),
    sa.Column("wood_id", sa.ForeignKey("woods.id")),
    sa.Column("length_m", sa.Float),
    sa.Column("width_m", sa.Float),
    sa.Column("thickness_m", sa.Float),
    sa.Column("grain_angle_rad", sa.Float),
    sa.Column("words", sa.Text, nullable=False, default=""),
)

sides = _record(
    "sides",
    sa.Column("name", sa.Text, nullable=False),
    sa.Column("instrument_id", sa.ForeignKey("instruments.id")),
    sa.Column("board_id", sa.ForeignKey("boards.id")),
    sa.Column("mate_id", sa.ForeignKey("sides.id")),
    sa.Column("hand", sa.String(6), nullable=False),
    sa.Column("piece", sa.String(6), nullable=False, default="main"),
    #: By weight over dry, if a meter said it. [fraction]
    sa.Column("moisture", sa.Float),
    sa.Column("moisture_meter", sa.Text),
    #: Of the air, and which hygrometer said it: they differ by a tenth side by side.
    sa.Column("humidity", sa.Float),
    sa.Column("hygrometer", sa.Text),
    sa.Column("words", sa.Text, nullable=False, default=""),
)

side_thicknesses = sa.Table(
    "side_thicknesses",
    metadata,
    sa.Column("side_id", sa.ForeignKey("sides.id", ondelete="CASCADE"), primary_key=True),
    sa.Column("number", sa.SmallInteger, primary_key=True),
    sa.Column("place", sa.Text, nullable=False),
    sa.Column("s_m", sa.Float),
    sa.Column("thickness_m", sa.Float, nullable=False),
)

runs = _record(
    "runs",
    sa.Column("side_id", sa.ForeignKey("sides.id")),
    sa.Column("model", sa.Text, nullable=False),
    sa.Column("plan_code", sa.Text, nullable=False),
    sa.Column("hand", sa.String(6), nullable=False),
    sa.Column("piece", sa.String(6), nullable=False),
    sa.Column("simulated", sa.Boolean, nullable=False),
    #: "open", "ended", "abandoned".
    sa.Column("state", sa.String(10), nullable=False),
    sa.Column("begun_wall_s", sa.Float, nullable=False),
    sa.Column("ended_wall_s", sa.Float),
    #: Of Rimwright, whose model predicted.
    sa.Column("model_version", sa.Text, nullable=False),
    sa.Column("blanket", sa.Text, nullable=False, default=""),
    #: Name of the computer that records it: several may share one journal, and each goes on
    #: with its own.
    sa.Column("bench", sa.Text, nullable=False, default=""),
    #: How its probes are reached, so that a restart finds them again. No secrets.
    sa.Column("probe_settings", sa.JSON, nullable=False),
    # Long texts go over many pages of a file and stand last: where one of them cannot be read
    # any more, all that stands before it can.
    #: What the run follows (`live.run_plan.RunPlan`), as plain values.
    sa.Column("run_plan", sa.JSON, nullable=False),
    #: What was predicted before the run.
    sa.Column("prediction", sa.JSON, nullable=False),
    #: `plan.json` and the design file's text as they were.
    sa.Column("design_text", sa.Text),
    sa.Column("plan_document", sa.JSON),
    sa.Index(None, "state"),
    sa.Index(None, "begun_wall_s"),
)

run_probes = sa.Table(
    "run_probes",
    metadata,
    sa.Column("run_id", sa.ForeignKey("runs.id", ondelete="CASCADE"), primary_key=True),
    sa.Column("number", sa.SmallInteger, primary_key=True),
    sa.Column("name", sa.Text, nullable=False),
    sa.Column("place", sa.Text, nullable=False),
    sa.Column("kind", sa.String(10), nullable=False),
)

#: Small rows, many of them: ten a second for days.
samples = sa.Table(
    "samples",
    metadata,
    sa.Column("run_id", sa.ForeignKey("runs.id", ondelete="CASCADE"), primary_key=True),
    sa.Column("seq", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("at_ms", sa.BigInteger, nullable=False),
    sa.Column("probe", sa.SmallInteger, nullable=False),
    sa.Column("celsius", sa.Float),
    #: `live.readings.Fault` where there is no temperature.
    sa.Column("fault", sa.String(12)),
    #: `sums.sample_sum`: a row that a damaged disk altered is found out. Empty: not summed.
    sa.Column("check_sum", sa.Integer),
    sqlite_with_rowid=False,
)

events = sa.Table(
    "events",
    metadata,
    sa.Column("run_id", sa.ForeignKey("runs.id", ondelete="CASCADE"), primary_key=True),
    sa.Column("seq", sa.Integer, primary_key=True, autoincrement=False),
    sa.Column("at_s", sa.Float, nullable=False),
    sa.Column("wall_s", sa.Float, nullable=False),
    sa.Column("kind", sa.String(20), nullable=False),
    sa.Column("data", sa.JSON, nullable=False),
    sa.Column("key", sa.String(64)),
    sa.Column("device", sa.Text, nullable=False, default=""),
    #: `sums.event_sum`.
    sa.Column("check_sum", sa.BigInteger),
    # A double tap acts once, whatever restarts in between. Events without a command have no key.
    sa.UniqueConstraint("run_id", "key", "seq"),
    sa.Index(None, "kind"),
    sqlite_with_rowid=False,
)

outcomes = _record(
    "outcomes",
    sa.Column("run_id", sa.ForeignKey("runs.id", ondelete="CASCADE"), nullable=False),
    #: "sound", "hairline", "cracked", "scorched", "stained", "ripples", "cupped", "flat spot".
    sa.Column("kind", sa.String(12), nullable=False),
    #: Named place: "horn", "scoop", "waist", ... ; "" where it is nowhere special.
    sa.Column("place", sa.Text, nullable=False, default=""),
    #: From the tail seam. [m]
    sa.Column("s_m", sa.Float),
    #: "inside", "outside", "both", "".
    sa.Column("face", sa.String(7), nullable=False, default=""),
    sa.Column("words", sa.Text, nullable=False, default=""),
    sa.Column("wall_s", sa.Float, nullable=False),
    sa.Index(None, "run_id"),
)

photographs = _record(
    "photographs",
    sa.Column("run_id", sa.ForeignKey("runs.id", ondelete="CASCADE"), nullable=False),
    sa.Column("words", sa.Text, nullable=False, default=""),
    sa.Column("wall_s", sa.Float, nullable=False),
    sa.Column("media_type", sa.String(20), nullable=False),
    sa.Column("width_px", sa.Integer, nullable=False),
    sa.Column("height_px", sa.Integer, nullable=False),
    sa.Column("data", sa.LargeBinary, nullable=False),
    sa.Index(None, "run_id"),
)

notes = _record(
    "notes",
    #: "run", "side", "instrument", "board".
    sa.Column("subject", sa.String(10), nullable=False),
    sa.Column("subject_id", sa.Integer, nullable=False),
    sa.Column("wall_s", sa.Float, nullable=False),
    sa.Column("words", sa.Text, nullable=False),
    sa.Index(None, "subject", "subject_id"),
)

#: What a run taught of its blanket and stack; the newest goes into the next prediction.
heat_fits = _record(
    "heat_fits",
    sa.Column("run_id", sa.ForeignKey("runs.id", ondelete="CASCADE"), nullable=False),
    sa.Column("blanket", sa.Text, nullable=False),
    sa.Column("wall_s", sa.Float, nullable=False),
    #: "power_share", "loss_share", "contact_m2_k_w": middle, low, high each.
    sa.Column("values", sa.JSON, nullable=False),
    sa.Column("rms_k", sa.Float, nullable=False),
    sa.Column("points", sa.Integer, nullable=False),
    sa.Index(None, "blanket"),
)

devices = _record(
    "devices",
    sa.Column("name", sa.Text, nullable=False),
    #: SHA-256 of its token, in hexadecimal; the token itself is kept nowhere.
    sa.Column("token_sha256", sa.String(64), nullable=False, unique=True),
    sa.Column("may_act", sa.Boolean, nullable=False),
    sa.Column("paired_wall_s", sa.Float, nullable=False),
    sa.Column("seen_wall_s", sa.Float, nullable=False),
    sa.Column("revoked_wall_s", sa.Float),
)
