"""One run with everything that belongs to it, except its many samples."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from rimwright.errors import JournalError
from rimwright.journal.engine import Journal
from rimwright.journal.rows import EventRow, events_of

if TYPE_CHECKING:
    from sqlalchemy import Connection, Table


@dataclass(frozen=True, slots=True, kw_only=True)
class Thickness:
    """The side's thickness as measured at one place."""

    place: str
    #: From the tail seam; None where only the place was named. [m]
    s_m: float | None
    #: [m]
    thickness_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SideOfRun:
    """The piece of wood that was bent, and what it belongs to."""

    id: int
    name: str
    hand: str
    piece: str
    #: By weight over dry, and what said so. [fraction]
    moisture: float | None
    moisture_meter: str | None
    #: Of the air, and what said so. [fraction]
    humidity: float | None
    hygrometer: str | None
    words: str
    thicknesses: tuple[Thickness, ...]
    #: As their tables hold them, or None.
    instrument: Mapping[str, Any] | None
    board: Mapping[str, Any] | None
    board_set: Mapping[str, Any] | None
    wood: Mapping[str, Any] | None
    #: Number and name of its mate.
    mate: Mapping[str, Any] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RunRecord:
    """A run; times in seconds since 1970 end in `_wall_s`."""

    id: int
    uid: str
    model: str
    plan_code: str
    hand: str
    piece: str
    simulated: bool
    state: str
    begun_wall_s: float
    ended_wall_s: float | None
    run_plan: Mapping[str, Any]
    plan_document: Mapping[str, Any] | None
    design_text: str | None
    model_version: str
    prediction: Mapping[str, Any]
    blanket: str
    bench: str
    probe_settings: tuple[Mapping[str, Any], ...]
    #: Number, name, place and kind of each.
    probes: tuple[Mapping[str, Any], ...]
    side: SideOfRun | None
    #: Rows of their tables, in the order they were written.
    outcomes: tuple[Mapping[str, Any], ...]
    notes: tuple[Mapping[str, Any], ...]
    #: Without their bytes.
    photographs: tuple[Mapping[str, Any], ...]
    fits: tuple[Mapping[str, Any], ...]
    events: tuple[EventRow, ...]
    #: How many samples are kept, and the time between first and last. [s]
    samples: int
    samples_last_s: float

    @property
    def alarms(self) -> tuple[EventRow, ...]:
        """What alarms did."""
        return tuple(event for event in self.events if event.kind == "alarm")


def unknown_run(run: int, journal: Journal) -> JournalError:
    """A run that is not there, as one line."""
    return JournalError(
        f"no run {run}",
        "the number of a run in this journal",
        "list them with `rimwright records`",
        where=journal.where,
    )


def run_record(journal: Journal, run: int) -> RunRecord:
    """Everything of a run but its samples.

    Raises
    ------
    JournalError
        If there is no such run, or the journal does not answer.
    """
    from sqlalchemy import func, select

    from rimwright.journal import tables as t

    events = events_of(journal, run)
    with journal.reading() as connection:
        row = _one(connection, t.runs, run)
        if row is None:
            raise unknown_run(run, journal)
        s = t.samples.c
        count, last_ms = connection.execute(
            select(func.count(), func.max(s.at_ms)).where(s.run_id == run)
        ).one()
        side = None if row["side_id"] is None else _side(connection, row["side_id"])
        return RunRecord(
            **{name: value for name, value in row.items() if name not in _APART},
            # Empty where a damaged journal had nothing readable left.
            run_plan=row["run_plan"] or {},
            prediction=row["prediction"] or {},
            probe_settings=tuple(row["probe_settings"] or ()),
            probes=_of_run(connection, t.run_probes, run, "run_id"),
            side=side,
            outcomes=_of_run(connection, t.outcomes, run),
            notes=_notes(connection, run),
            photographs=_of_run(connection, t.photographs, run, "data"),
            fits=_of_run(connection, t.heat_fits, run),
            events=tuple(events),
            samples=int(count),
            samples_last_s=1e-3 * (last_ms or 0),
        )


_APART = ("side_id", "run_plan", "prediction", "probe_settings")


def _one(connection: Connection, table: Table, number: int | None) -> dict[str, Any] | None:
    from sqlalchemy import select

    if number is None:
        return None
    row = connection.execute(select(table).where(table.c.id == number)).mappings().first()
    return None if row is None else dict(row)


def _of_run(
    connection: Connection, table: Table, run: int, without: str = ""
) -> tuple[dict[str, Any], ...]:
    from sqlalchemy import select

    columns = [column for column in table.c if column.name != without]
    query = (
        select(*columns)
        .where(table.c.run_id == run)
        .order_by(*(column for column in table.primary_key))
    )
    return tuple(dict(row) for row in connection.execute(query).mappings())


def _notes(connection: Connection, run: int) -> tuple[dict[str, Any], ...]:
    from sqlalchemy import select

    from rimwright.journal.tables import notes

    query = select(notes).where(notes.c.subject == "run", notes.c.subject_id == run)
    return tuple(dict(row) for row in connection.execute(query.order_by(notes.c.id)).mappings())


def _side(connection: Connection, number: int) -> SideOfRun | None:
    from sqlalchemy import select

    from rimwright.journal import tables as t

    row = _one(connection, t.sides, number)
    if row is None:
        return None
    c = t.side_thicknesses.c
    measured = connection.execute(
        select(c.place, c.s_m, c.thickness_m).where(c.side_id == number).order_by(c.number)
    ).mappings()
    board = _one(connection, t.boards, row["board_id"])
    board_set = _one(connection, t.board_sets, board["set_id"] if board else None)
    # A board's own wood, else that of its set.
    of_wood = [one["wood_id"] for one in (board, board_set) if one and one["wood_id"]]
    mate = _one(connection, t.sides, row["mate_id"])
    return SideOfRun(
        **{name: row[name] for name in _SIDE_COLUMNS},
        thicknesses=tuple(Thickness(**one) for one in measured),
        instrument=_one(connection, t.instruments, row["instrument_id"]),
        board=board,
        board_set=board_set,
        wood=_one(connection, t.woods, of_wood[0] if of_wood else None),
        mate=None if mate is None else {"id": mate["id"], "name": mate["name"]},
    )


_SIDE_COLUMNS = (
    "id", "name", "hand", "piece", "moisture", "moisture_meter", "humidity", "hygrometer", "words",
)  # fmt: skip
