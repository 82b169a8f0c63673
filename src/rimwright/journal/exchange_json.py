"""An export as JSON: one document a run; woods, boards, sides and instruments in the index."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any, BinaryIO

from rimwright.errors import JournalError
from rimwright.journal.exchange_csv import in_heading
from rimwright.journal.exchange_stream import JsonStream
from rimwright.journal.exchange_tables import BY_NAME, OF_RUNS, RUN_FORMAT, ExportedTable
from rimwright.journal.exchange_values import checked, to_json

RUNS = "runs"
#: Long lists, at the end of a document; the rest is small.
_LONG = ("events", "samples")
#: A sample is a short list and no object, or its names would be most of the document.
_SAMPLE = tuple(one for one in BY_NAME["samples"].columns if one.name != "run_uid")
Rows = Callable[[str], Iterable[Mapping[str, Any]]]
Placed = tuple[str, str, dict[str, Any]]


def write_run(run: Mapping[str, Any], rows: Rows, file: BinaryIO) -> dict[str, int]:
    """Write the document of a run as its rows come.

    Parameters
    ----------
    run : mapping
        Its row of `runs`.
    rows : callable
        Rows of a table that belong to it.
    file : binary file

    Returns
    -------
    dict of str to int
        How many samples and events there were.
    """
    write = file.write
    write(b'{"format":' + _bytes(RUN_FORMAT) + b',\n"run":' + _bytes(run))
    short = [name for name in (*OF_RUNS, "notes") if name not in _LONG]
    for name in short:
        write(b",\n" + _bytes(name) + b":" + _bytes([_without_run(row) for row in rows(name)]))
    write(b',\n"sample_columns":' + _bytes([column.name for column in _SAMPLE]))
    counts = {}
    for name in _LONG:
        write(b",\n" + _bytes(name) + b":[")
        counts[name] = 0
        for row in rows(name):
            values: Any = _without_run(row)
            if name == "samples":
                values = [row[column.name] for column in _SAMPLE]
            write((b",\n" if counts[name] else b"\n") + _bytes(values))
            counts[name] += 1
        write(b"]")
    write(b"}\n")
    return counts


def read_run(path: Path, uid: str) -> Iterator[Placed]:
    """Table, place and row of everything in a run's document, the run first.

    Raises
    ------
    JournalError
        If it is no document of this run, or a value is not what its column holds.
    """
    try:
        with path.open(encoding="utf-8-sig") as file:
            yield from _short(JsonStream(file, path.name), uid, path.name)
        with path.open(encoding="utf-8-sig") as file:
            stream = JsonStream(file, path.name)
            for name in stream.members():
                if name not in _LONG:
                    stream.value()
                    continue
                for number, row in enumerate(stream.elements(), start=1):
                    where = f"{path.name}, {name} {number}"
                    yield name, where, _long_row(name, uid, row, where)
    except UnicodeDecodeError as error:
        raise JournalError(
            "text that is no UTF-8", "JSON as it was exported", "export again", where=path.name
        ) from error


def _short(stream: JsonStream, uid: str, where: str) -> Iterator[Placed]:
    """Everything but the long lists; the columns of the samples are looked at."""
    members = {}
    for name in stream.members():
        if name in _LONG:
            for _ in stream.elements():
                pass
        members[name] = None if name in _LONG else stream.value()
    wanted = {"format", "run", "sample_columns", "notes", *OF_RUNS}
    if members.keys() != wanted or members["format"] != RUN_FORMAT:
        strange = sorted(members.keys() ^ wanted) or [str(members["format"])]
        raise JournalError(
            f"{strange[0]!r:.40} missing or unknown",
            f"a document of the format {RUN_FORMAT}",
            "export again",
            where=where,
        )
    if members["sample_columns"] != [column.name for column in _SAMPLE]:
        found, expected = "other columns of samples", ", ".join(one.name for one in _SAMPLE)
        raise JournalError(found, expected, "export again", where=where)
    run = row_of(BY_NAME["runs"], members["run"], f"{where}, run")
    if run["uid"] != uid:
        found, expected = f"the run {run['uid']}", f"the run {uid}, as the index says"
        raise JournalError(found, expected, "export again", where=where)
    yield "runs", f"{where}, run", run
    for name in (*OF_RUNS, "notes"):
        if name not in _LONG:
            for place, row in rows_in(members[name], name, where):
                yield name, place, _with_run(name, uid, row, place)


def rows_in(rows: Any, name: str, where: str) -> Iterator[tuple[str, Any]]:
    """The rows of a list with their places.

    Raises
    ------
    JournalError
        If it is no list.
    """
    if not isinstance(rows, list):
        raise JournalError(f"no list of {name}", "a list", "export again", where=where)
    for number, row in enumerate(rows, start=1):
        yield f"{where}, {name} {number}", row


def row_of(table: ExportedTable, values: Any, where: str) -> dict[str, Any]:
    """A row from an object, each value looked over.

    Raises
    ------
    JournalError
        If it has other members than the table columns, or a value that is none.
    """
    if not isinstance(values, dict):
        raise JournalError(f"{values!r:.40}", "an object", "export again", where=where)
    return {
        column.name: checked(column, values[column.name], where)
        for column in in_heading(table, list(values), where)
    }


def _with_run(name: str, uid: str, row: Any, where: str) -> dict[str, Any]:
    if not isinstance(row, dict):
        raise JournalError(f"{row!r:.40}", "an object", "export again", where=where)
    own = {"subject": "run", "subject_uid": uid} if name == "notes" else {"run_uid": uid}
    return row_of(BY_NAME[name], {**row, **own}, where)


def _long_row(name: str, uid: str, row: Any, where: str) -> dict[str, Any]:
    if name == "events":
        return _with_run(name, uid, row, where)
    if not isinstance(row, list) or len(row) != len(_SAMPLE):
        found, expected = f"{row!r:.40}", f"a list of {len(_SAMPLE)} values"
        raise JournalError(found, expected, "export again", where=where)
    pairs = zip(_SAMPLE, row, strict=True)
    values = {column.name: checked(column, value, where) for column, value in pairs}
    return {"run_uid": uid, **values}


def _without_run(row: Mapping[str, Any]) -> dict[str, Any]:
    """The document is about one run; its rows need not say which."""
    own = ("run_uid", "subject", "subject_uid")
    return {name: value for name, value in row.items() if name not in own}


def _bytes(value: Any) -> bytes:
    return to_json(value).encode("ascii")


def load_index(path: Path) -> dict[str, Any]:
    """The index of an export, as plain values.

    Raises
    ------
    JournalError
        If it is not there, or no object in JSON.
    """
    try:
        with path.open(encoding="utf-8-sig") as file:
            stream = JsonStream(file, path.name)
            index = {}
            for name in stream.members():
                index[name] = stream.value()
            return index
    except (OSError, UnicodeDecodeError, json.JSONDecodeError) as error:
        raise JournalError(
            "no index that can be read",
            f"the folder of an export, with its {path.name}",
            "name the folder that was exported",
            where=str(path.parent),
        ) from error
