"""Keep what a file says the shop has: instruments, woods, boards, sides."""

from __future__ import annotations

import datetime
import math
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from rimwright.desk.keep_entries import KINDS, Entries, Entry, kept_records
from rimwright.instrument.design_files.check import checked
from rimwright.instrument.design_files.toml_text import read_tables
from rimwright.journal import keeping

if TYPE_CHECKING:
    from rimwright.desk.keep_tables import KeepFile
    from rimwright.journal.engine import Journal

_SAVE: dict[str, Callable[[Any, Any], int]] = {
    "instruments": keeping.save_instrument,
    "woods": keeping.save_wood,
    "sets": keeping.save_board_set,
    "boards": keeping.save_board,
    "sides": keeping.save_side,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptLine:
    """What became of one record."""

    #: "instrument", "wood", "set", "board", "side".
    kind: str
    number: int
    name: str
    what: Literal["kept", "changed", "as it was"]

    @property
    def words(self) -> str:
        """For the terminal."""
        return f"{self.kind} {self.number}, {self.name}: {self.what}"


def kept_words(lines: Sequence[KeptLine]) -> str:
    """What became of everything in a file, for the terminal."""
    if not lines:
        return "The file says nothing yet: see `rimwright kept --toml`."
    told = [one.words for one in lines if one.what != "as it was"]
    same = len(lines) - len(told)
    if same:
        told.append(f"{same} {'as it was' if same == 1 else 'as they were'}")
    return "\n".join(told)


def read_keep(text: str, path: Path) -> KeepFile:
    """The file, looked over by itself.

    Raises
    ------
    DesignError
        If it says something that cannot be, with its line.
    """
    from rimwright.desk.keep_tables import KeepFile

    return checked(KeepFile, read_tables(text, path), text, path)


def keep_text(journal: Journal, text: str, path: Path) -> tuple[KeptLine, ...]:
    """Keep what a file says, new records and changed ones; what it leaves out stays.

    Everything is looked over before the first record is kept.

    Parameters
    ----------
    journal : Journal
    text : str
        The file's.
    path : Path
        Its name, for messages.

    Raises
    ------
    DesignError
        If the file says something that cannot be, with its line; nothing was kept then.
    JournalError
        If the journal cannot be written; the file may be kept again.
    """
    file = read_keep(text, path)
    entries = Entries(kept_records(journal), text, path)
    entries.take(file)
    lines: list[KeptLine] = []
    for kind in KINDS:
        for entry in entries.of[kind]:
            lines += _kept(journal, entry)
    mated = _mate(journal, entries.of["sides"])
    return tuple(
        replace(one, what="changed")
        if (one.kind, one.what) == ("side", "as it was") and one.number in mated
        else one
        for one in lines
    )


def _kept(journal: Journal, entry: Entry) -> Iterator[KeptLine]:
    if entry.row is None and entry.record is not None:
        return
    values = dict(_values(entry))
    if entry.record is None:
        record, what = _new(entry, values), "kept"
    else:
        record = replace(entry.record, **values)
        what = "as it was" if _alike(asdict(record), asdict(entry.record)) else "changed"
    if what != "as it was":
        entry.id = _SAVE[entry.kind](journal, record)
        entry.record = replace(record, id=entry.id)
    assert entry.id is not None
    yield KeptLine(kind=KINDS[entry.kind], number=entry.id, name=record.name, what=what)  # type: ignore[arg-type]  # one of the three


def _values(entry: Entry) -> Iterator[tuple[str, Any]]:
    """What a row says, by the fields of its record."""
    yield "name", entry.name
    row = entry.row
    if row is None:  # a wood of the list that another row names
        yield "properties", {"like": entry.name, "source": "the list of woods"}
        return
    for name in ("model", "player", "hand", "piece", "moisture_meter", "hygrometer", "moisture",
                 "humidity", "words"):  # fmt: skip
        if getattr(row, name, None) is not None and entry.kind != "woods":
            yield name, getattr(row, name)
    if entry.kind == "woods":
        before = {} if entry.record is None else dict(entry.record.properties)
        told = row.model_dump(exclude_none=True, by_alias=True, exclude={"name", "words", "number"})
        yield "properties", before | told
        if row.words is not None:
            yield "words", row.words
    for name in ("length", "width", "thickness"):
        if getattr(row, name, None) is not None:
            yield f"{name}_m", getattr(row, name)
    if getattr(row, "grain_angle", None) is not None:
        yield "grain_angle_rad", row.grain_angle
    if getattr(row, "begun", None) is not None and row.begun != _day_of(entry.record):
        yield "begun_wall_s", _midnight(row.begun)
    if getattr(row, "measured", None) is not None:
        yield (
            "thicknesses",
            tuple(
                keeping.Thickness(place=one.place, s_m=one.at, thickness_m=one.thickness)
                for one in row.measured
            ),
        )
    for name, other in entry.refers.items():
        if name != "mate":
            yield f"{name.rstrip('_')}_id", other.id


def _new(entry: Entry, values: dict[str, Any]) -> Any:
    if entry.kind == "instruments":
        return keeping.Instrument(**{"begun_wall_s": time.time(), **values})
    kinds = {"woods": keeping.Wood, "sets": keeping.BoardSet, "boards": keeping.Board,
             "sides": keeping.Side}  # fmt: skip
    return kinds[entry.kind](**values)


def _alike(one: Any, other: Any) -> bool:
    """Whether two records say the same: a value written in a maker's units and read again is."""
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=1e-8, abs_tol=1e-12)
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(_alike(one[key], other[key]) for key in one)
    if isinstance(one, tuple) and isinstance(other, tuple):
        return len(one) == len(other) and all(map(_alike, one, other))
    return bool(one == other)


def _day_of(instrument: keeping.Instrument | None) -> datetime.date | None:
    if instrument is None:
        return None
    moment = datetime.datetime.fromtimestamp(instrument.begun_wall_s, datetime.UTC)
    return moment.astimezone().date()


def _midnight(day: datetime.date) -> float:
    moment = datetime.datetime(day.year, day.month, day.day).astimezone()
    return max(0.0, moment.timestamp())


def _mate(journal: Journal, sides: list[Entry]) -> set[int]:
    """Pair sides, once all of them are there; the numbers of those that have another mate now."""
    changed: set[int] = set()
    for entry in sides:
        mate = entry.refers.get("mate")
        if mate is None:
            continue
        record = keeping.side(journal, entry.record.id)
        if record.mate_id != mate.id:
            keeping.save_side(journal, replace(record, mate_id=mate.id))
            changed |= {number for number in (entry.id, mate.id) if number is not None}
    return changed
