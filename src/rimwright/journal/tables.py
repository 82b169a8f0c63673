"""The tables of the journal, as they are now. Units are in the names of the columns.

Moments are seconds since 1970 in UTC (`_wall_s`); times within a run count from its beginning
(`at_s`, `at_ms`). Numbers of rows are for people; `uid` tells the same record in two journals.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import (
    JSON,
    BigInteger,
    Boolean,
    Column,
    Float,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    SmallInteger,
    String,
    Table,
    Text,
    UniqueConstraint,
)

metadata = MetaData(
    naming_convention={
        "pk": "pk_%(table_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    }
)


def _record(name: str, *items: Column[Any] | Index) -> Table:
    """A table of records with a number for people and a name that is the same everywhere."""
    return Table(
        name,
        metadata,
        Column("id", Integer, primary_key=True),
        Column("uid", String(36), nullable=False, unique=True),
        *items,
    )


#: One row: which journal this is.
about = Table(
    "about",
    metadata,
    Column("key", String(40), primary_key=True),
    Column("value", Text, nullable=False),
)

instruments = _record(
    "instruments",
    Column("name", Text, nullable=False),
    Column("model", Text, nullable=False),
    Column("player", String(5), nullable=False),
    Column("begun_wall_s", Float, nullable=False),
    Column("words", Text, nullable=False, default=""),
)

#: A wood as it was planned with: its values and where they are from.
woods = _record(
    "woods",
    Column("name", Text, nullable=False),
    Column("properties", JSON, nullable=False),
    Column("words", Text, nullable=False, default=""),
)

#: Boards that belong together, mostly two from one plank.
board_sets = _record(
    "board_sets",
    Column("name", Text, nullable=False),
    Column("wood_id", ForeignKey("woods.id")),
    Column("words", Text, nullable=False, default=""),
)

boards = _record(
    "boards",
    Column("name", Text, nullable=False),
    Column("set_id", ForeignKey("board_sets.id")),
    Column("wood_id", ForeignKey("woods.id")),
    Column("length_m", Float),
    Column("width_m", Float),
    Column("thickness_m", Float),
    Column("grain_angle_rad", Float),
    Column("words", Text, nullable=False, default=""),
)

sides = _record(
    "sides",
    Column("name", Text, nullable=False),
    Column("instrument_id", ForeignKey("instruments.id")),
    Column("board_id", ForeignKey("boards.id")),
    Column("mate_id", ForeignKey("sides.id")),
    Column("hand", String(6), nullable=False),
    Column("piece", String(6), nullable=False, default="main"),
    #: By weight over dry, if a meter said it. [fraction]
    Column("moisture", Float),
    Column("moisture_meter", Text),
    #: Of the air, and which hygrometer said it: they differ by a tenth side by side.
    Column("humidity", Float),
    Column("hygrometer", Text),
    Column("words", Text, nullable=False, default=""),
)

side_thicknesses = Table(
    "side_thicknesses",
    metadata,
    Column("side_id", ForeignKey("sides.id", ondelete="CASCADE"), primary_key=True),
    Column("number", SmallInteger, primary_key=True),
    Column("place", Text, nullable=False),
    Column("s_m", Float),
    Column("thickness_m", Float, nullable=False),
)

runs = _record(
    "runs",
    Column("side_id", ForeignKey("sides.id")),
    Column("model", Text, nullable=False),
    Column("plan_code", Text, nullable=False),
    Column("hand", String(6), nullable=False),
    Column("piece", String(6), nullable=False),
    Column("simulated", Boolean, nullable=False),
    #: "open", "ended", "abandoned".
    Column("state", String(10), nullable=False),
    Column("begun_wall_s", Float, nullable=False),
    Column("ended_wall_s", Float),
    #: Of Rimwright, whose model predicted.
    Column("model_version", Text, nullable=False),
    Column("blanket", Text, nullable=False, default=""),
    #: Name of the computer that records it: several may share one journal, and each goes on
    #: with its own.
    Column("bench", Text, nullable=False, default=""),
    #: How its probes are reached, so that a restart finds them again. No secrets.
    Column("probe_settings", JSON, nullable=False),
    # Long texts go over many pages of a file and stand last: where one of them cannot be read
    # any more, all that stands before it can.
    #: What the run follows (`live.run_plan.RunPlan`), as plain values.
    Column("run_plan", JSON, nullable=False),
    #: What was predicted before the run.
    Column("prediction", JSON, nullable=False),
    #: `plan.json` and the design file's text as they were.
    Column("design_text", Text),
    Column("plan_document", JSON),
    Index(None, "state"),
    Index(None, "begun_wall_s"),
)

run_probes = Table(
    "run_probes",
    metadata,
    Column("run_id", ForeignKey("runs.id", ondelete="CASCADE"), primary_key=True),
    Column("number", SmallInteger, primary_key=True),
    Column("name", Text, nullable=False),
    Column("place", Text, nullable=False),
    Column("kind", String(10), nullable=False),
)

#: Small rows, many of them: ten a second for days.
samples = Table(
    "samples",
    metadata,
    Column("run_id", ForeignKey("runs.id", ondelete="CASCADE"), primary_key=True),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    Column("at_ms", BigInteger, nullable=False),
    Column("probe", SmallInteger, nullable=False),
    Column("celsius", Float),
    #: `live.readings.Fault` where there is no temperature.
    Column("fault", String(12)),
    #: `sums.sample_sum`: a row that a damaged disk altered is found out. Empty: not summed.
    Column("check_sum", Integer),
    sqlite_with_rowid=False,
)

events = Table(
    "events",
    metadata,
    Column("run_id", ForeignKey("runs.id", ondelete="CASCADE"), primary_key=True),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    Column("at_s", Float, nullable=False),
    Column("wall_s", Float, nullable=False),
    Column("kind", String(20), nullable=False),
    Column("data", JSON, nullable=False),
    Column("key", String(64)),
    Column("device", Text, nullable=False, default=""),
    #: `sums.event_sum`.
    Column("check_sum", BigInteger),
    # A double tap acts once, whatever restarts in between. Events without a command have no key.
    UniqueConstraint("run_id", "key", "seq"),
    Index(None, "kind"),
    sqlite_with_rowid=False,
)

outcomes = _record(
    "outcomes",
    Column("run_id", ForeignKey("runs.id", ondelete="CASCADE"), nullable=False),
    #: "sound", "hairline", "cracked", "scorched", "stained", "ripples", "cupped", "flat spot".
    Column("kind", String(12), nullable=False),
    #: Named place: "horn", "scoop", "waist", ... ; "" where it is nowhere special.
    Column("place", Text, nullable=False, default=""),
    #: From the tail seam. [m]
    Column("s_m", Float),
    #: "inside", "outside", "both", "".
    Column("face", String(7), nullable=False, default=""),
    Column("words", Text, nullable=False, default=""),
    Column("wall_s", Float, nullable=False),
    Index(None, "run_id"),
)

photographs = _record(
    "photographs",
    Column("run_id", ForeignKey("runs.id", ondelete="CASCADE"), nullable=False),
    Column("words", Text, nullable=False, default=""),
    Column("wall_s", Float, nullable=False),
    Column("media_type", String(20), nullable=False),
    Column("width_px", Integer, nullable=False),
    Column("height_px", Integer, nullable=False),
    Column("data", LargeBinary, nullable=False),
    Index(None, "run_id"),
)

notes = _record(
    "notes",
    #: "run", "side", "instrument", "board".
    Column("subject", String(10), nullable=False),
    Column("subject_id", Integer, nullable=False),
    Column("wall_s", Float, nullable=False),
    Column("words", Text, nullable=False),
    Index(None, "subject", "subject_id"),
)

#: What a run taught of its blanket and stack; the newest goes into the next prediction.
heat_fits = _record(
    "heat_fits",
    Column("run_id", ForeignKey("runs.id", ondelete="CASCADE"), nullable=False),
    Column("blanket", Text, nullable=False),
    Column("wall_s", Float, nullable=False),
    #: "power_share", "loss_share", "contact_m2_k_w": middle, low, high each.
    Column("values", JSON, nullable=False),
    Column("rms_k", Float, nullable=False),
    Column("points", Integer, nullable=False),
    Index(None, "blanket"),
)

devices = _record(
    "devices",
    Column("name", Text, nullable=False),
    #: SHA-256 of its token, in hexadecimal; the token itself is kept nowhere.
    Column("token_sha256", String(64), nullable=False, unique=True),
    Column("may_act", Boolean, nullable=False),
    Column("paired_wall_s", Float, nullable=False),
    Column("seen_wall_s", Float, nullable=False),
    Column("revoked_wall_s", Float),
)
