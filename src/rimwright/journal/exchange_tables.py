"""What an export holds: its tables and columns, the same in every form. Units end the names.

The journal's own numbers of rows stay behind: a record is told by its `uid`, and what refers
to another record says that one's `uid`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Kind = Literal["uid", "text", "integer", "number", "truth", "values"]

_LARGE = ("run_plan", "prediction", "plan_document", "design_text")


@dataclass(frozen=True, slots=True)
class Column:
    """A column of an exported table."""

    name: str
    kind: Kind
    #: It may be empty.
    optional: bool = False
    #: The journal's table whose record it names; "" where it names none.
    of: str = ""
    #: Its name in the journal, where that is another.
    kept_as: str = ""

    @property
    def most(self) -> int:
        """Characters of its text or JSON; a plan with its outline has half a million."""
        return 8_000_000 if self.name in _LARGE else 100_000

    @property
    def inside(self) -> str:
        """Its name in the journal's table."""
        return self.kept_as or self.name


@dataclass(frozen=True, slots=True)
class ExportedTable:
    """A table of an export; the same name in the journal."""

    name: str
    columns: tuple[Column, ...]

    def column(self, name: str) -> Column:
        """The column of that name."""
        return next(one for one in self.columns if one.name == name)


def _columns(text: str, **of: str) -> tuple[Column, ...]:
    """Columns as "name:kind", with "?" where one may be empty; `of` names what uids refer to."""
    columns = []
    for word in text.split():
        name, _, kind = word.partition(":")
        bare = name.rstrip("?")
        target = of.get(bare, "")
        columns.append(
            Column(
                bare,
                kind or "text",  # type: ignore[arg-type]  # written out below
                optional=name.endswith("?"),
                of=target,
                kept_as=f"{bare.removesuffix('_uid')}_id" if target else "",
            )
        )
    return tuple(columns)


#: In an order in which what is referred to comes first.
TABLES: tuple[ExportedTable, ...] = (
    ExportedTable("woods", _columns("uid:uid name properties:values words")),
    ExportedTable("board_sets", _columns("uid:uid name wood_uid?:uid words", wood_uid="woods")),
    ExportedTable(
        "boards",
        _columns(
            "uid:uid name set_uid?:uid wood_uid?:uid length_m?:number width_m?:number "
            "thickness_m?:number grain_angle_rad?:number words",
            set_uid="board_sets",
            wood_uid="woods",
        ),
    ),
    ExportedTable("instruments", _columns("uid:uid name model player begun_wall_s:number words")),
    ExportedTable(
        "sides",
        _columns(
            "uid:uid name instrument_uid?:uid board_uid?:uid mate_uid?:uid hand piece "
            "moisture?:number moisture_meter? humidity?:number hygrometer? words",
            instrument_uid="instruments",
            board_uid="boards",
            mate_uid="sides",
        ),
    ),
    ExportedTable(
        "side_thicknesses",
        _columns(
            "side_uid:uid number:integer place s_m?:number thickness_m:number", side_uid="sides"
        ),
    ),
    ExportedTable(
        "runs",
        _columns(
            "uid:uid number?:integer side_uid?:uid model plan_code hand piece simulated:truth "
            "state begun_wall_s:number ended_wall_s?:number blanket bench model_version "
            "run_plan:values prediction:values probe_settings:values plan_document?:values "
            "design_text?",
            side_uid="sides",
        ),
    ),
    ExportedTable(
        "run_probes", _columns("run_uid:uid number:integer name place kind", run_uid="runs")
    ),
    ExportedTable(
        "samples",
        _columns(
            "run_uid:uid seq:integer at_ms:integer probe:integer celsius?:number fault?",
            run_uid="runs",
        ),
    ),
    ExportedTable(
        "events",
        _columns(
            "run_uid:uid seq:integer at_s:number wall_s:number kind data:values key? device",
            run_uid="runs",
        ),
    ),
    ExportedTable(
        "outcomes",
        _columns(
            "uid:uid run_uid:uid kind place s_m?:number face words wall_s:number", run_uid="runs"
        ),
    ),
    ExportedTable(
        "photographs",
        _columns(
            "uid:uid run_uid:uid words wall_s:number media_type width_px:integer height_px:integer",
            run_uid="runs",
        ),
    ),
    # What a note is about may stand in one of four tables.
    ExportedTable("notes", _columns("uid:uid subject subject_uid:uid wall_s:number words")),
    ExportedTable(
        "heat_fits",
        _columns(
            "uid:uid run_uid:uid blanket wall_s:number values:values rms_k:number points:integer",
            run_uid="runs",
        ),
    ),
)
BY_NAME = {table.name: table for table in TABLES}
#: Belong to a run.
OF_RUNS = tuple(
    table.name for table in TABLES if any(one.name == "run_uid" for one in table.columns)
)
#: Stand by themselves.
SHOP = ("woods", "board_sets", "boards", "instruments", "sides", "side_thicknesses")
#: The whole export, in its index.
FORMAT = "rimwright-records/1"
#: One run as a JSON document.
RUN_FORMAT = "rimwright-run/1"
INDEX = "index.json"
#: Folder of the photographs, whose names are their uids.
PHOTOGRAPHS = "photographs"
