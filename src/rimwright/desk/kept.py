"""What the shop has, as the journal keeps it: listed, as data, and as a file to change."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any, Literal

from rimwright.desk.keep_entries import KINDS, kept_records
from rimwright.desk.records import chosen
from rimwright.sheets.record_words import day_text
from rimwright.units import length_text

if TYPE_CHECKING:
    from rimwright.journal.engine import Journal

Show = Literal["metric", "inch"]
Records = Mapping[str, Sequence[Any]]
_HEADS = {
    "instruments": ("model", "player", "begun"),
    "woods": ("like", "from"),
    "sets": ("wood",),
    "boards": ("set", "wood", "length × width × thickness", "run-out"),
    "sides": ("hand", "for", "board", "mate", "thickness", "moisture", "air"),
}


def kept_of(journal: Journal, what: str | None = None, name: str | None = None) -> Records:
    """The records of one kind, or of all, whose name has this part.

    Raises
    ------
    JournalError
        If there is no such kind, or the journal does not answer.
    """
    records = kept_records(journal)
    kinds = KINDS if what is None else (chosen(what, KINDS, "kept"),)
    part = (name or "").casefold()
    return {
        kind: tuple(one for one in records[kind] if part in one.name.casefold()) for kind in kinds
    }


def kept_text(records: Records, everything: Records, show: Show) -> str:
    """The records as tables, each under its kind.

    Parameters
    ----------
    records : mapping
        What is listed, as `kept_of` gives it.
    everything : mapping
        All kinds, for the names of what they refer to.
    show : {"metric", "inch"}
    """
    names = {kind: {one.id: one.name for one in everything[kind]} for kind in everything}
    lines: list[str] = []
    for kind, found in records.items():
        if not found:
            continue
        rows = [(kind, "", *_HEADS[kind])]
        rows += [(str(one.id), one.name, *_cells(kind, one, names, show)) for one in found]
        lines += [*_table(rows), ""]
    if not lines:
        return "Nothing of the kind is kept. `rimwright kept --toml > shelf.toml` begins a list."
    if records.get("sides"):
        lines.append("Bend one: `rimwright begin PLAN --of SIDE`, with the side's number.")
    return "\n".join(lines).rstrip()


def kept_document(records: Records) -> dict[str, list[dict[str, Any]]]:
    """The records as plain values in SI units."""
    return {kind: [asdict(one) for one in found] for kind, found in records.items()}


def _cells(
    kind: str, one: Any, names: Mapping[str, Mapping[int, str]], show: Show
) -> Iterator[str]:
    if kind == "instruments":
        yield from (one.model, f"{one.player}-handed", day_text(one.begun_wall_s))
    elif kind == "woods":
        properties = one.properties
        yield str(properties.get("like", properties.get("class", "")))
        yield _cut(str(properties.get("source", "")))
    elif kind == "sets":
        yield names["woods"].get(one.wood_id, "")
    elif kind == "boards":
        yield names["sets"].get(one.set_id, "")
        yield names["woods"].get(one.wood_id, "")
        yield _sizes(one, show)
        angle = one.grain_angle_rad
        yield "" if angle is None else f"{math.degrees(angle):.1f}°"
    else:
        yield f"{one.hand}{' return' if one.piece == 'return' else ''}"
        yield names["instruments"].get(one.instrument_id, "")
        yield names["boards"].get(one.board_id, "")
        yield "" if one.mate_id is None else str(one.mate_id)
        yield _thickness(one, show)
        yield "" if one.moisture is None else f"{100.0 * one.moisture:.1f}%"
        yield "" if one.humidity is None else f"{100.0 * one.humidity:.0f}%"


def _sizes(board: Any, show: Show) -> str:
    sizes = [board.length_m, board.width_m]
    told = ["?" if size is None else length_text(size, show) for size in sizes]
    thick = board.thickness_m
    told.append("?" if thick is None else length_text(thick, show, fine=True))
    return " × ".join(told) if any(one != "?" for one in told) else ""


def _thickness(side: Any, show: Show) -> str:
    values = sorted(one.thickness_m for one in side.thicknesses)
    if not values:
        return ""
    ends = [length_text(value, show, fine=True) for value in (values[0], values[-1])]
    span = ends[0] if ends[0] == ends[1] else f"{ends[0]} to {ends[1]}"
    return f"{span} ({len(values)})"


def _cut(text: str, most: int = 30) -> str:
    return text if len(text) <= most else f"{text[: most - 1]}…"


def _table(rows: Sequence[Sequence[str]]) -> Iterator[str]:
    """Rows in columns, the numbers to the right; columns without a word are left out."""
    columns = [
        column
        for column in range(len(rows[0]))
        if column < 2 or any(row[column] for row in rows[1:])
    ]
    wide = [max(len(row[column]) for row in rows[1:]) for column in columns]
    wide = [max(room, len(rows[0][column]) if column > 1 else 0) for room, column in
            zip(wide, columns, strict=True)]  # fmt: skip
    for number, row in enumerate(rows):
        if number == 0:
            head = " " * (wide[0] + 4 + wide[1]) if len(row[0]) <= wide[0] + 2 + wide[1] else ""
            cells = [row[0].ljust(len(head))] if head else [row[0]]
            cells += [row[c].ljust(w) for c, w in zip(columns[2:], wide[2:], strict=True)]
        else:
            cells = [f"  {row[0].rjust(wide[0])}  {row[1].ljust(wide[1])}"]
            cells += [row[c].ljust(w) for c, w in zip(columns[2:], wide[2:], strict=True)]
        yield "   ".join(cells).rstrip()


def kept_toml(records: Records) -> str:
    """The records as a file that `rimwright keep` reads, under a note on how it is written."""
    from rimwright.desk.kept_toml import EXAMPLE, toml_of

    return EXAMPLE + "".join(toml_of(kind, one) for kind, one in _all(records))


def _all(records: Records) -> Iterable[tuple[str, Any]]:
    return ((kind, one) for kind, found in records.items() for one in found)
