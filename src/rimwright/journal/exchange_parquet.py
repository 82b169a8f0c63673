"""An export as Parquet: one file a table, numbers as numbers, plain values as JSON text."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import islice
from pathlib import Path
from typing import Any, BinaryIO

from rimwright.errors import JournalError
from rimwright.journal.exchange_csv import in_heading
from rimwright.journal.exchange_tables import Column, ExportedTable
from rimwright.journal.exchange_values import checked, from_json, to_json

ENDING = "parquet"
#: Rows of a group: a day at ten a second in nine of them. A run's row has its plan.
_GROUP, _LARGE_GROUP = 100_000, 20
#: What one group of an import may hold when it is unpacked. [bytes]
_MOST_UNPACKED = 500_000_000


def write_table(table: ExportedTable, rows: Iterable[Mapping[str, Any]], file: BinaryIO) -> int:
    """Write a table group by group as its rows come; how many there were."""
    import pyarrow as pa
    from pyarrow import parquet

    schema = pa.schema([pa.field(one.name, _type(one), one.optional) for one in table.columns])
    size = _LARGE_GROUP if table.name == "runs" else _GROUP
    ongoing = iter(rows)
    count = 0
    with parquet.ParquetWriter(file, schema, compression="zstd") as writer:
        while group := list(islice(ongoing, size)):
            arrays = [
                pa.array([_packed(column, row[column.name]) for row in group], field.type)
                for column, field in zip(table.columns, schema, strict=True)
            ]
            writer.write_table(pa.Table.from_arrays(arrays, schema=schema))
            count += len(group)
    return count


def read_table(table: ExportedTable, path: Path) -> Iterator[tuple[str, dict[str, Any]]]:
    """Rows of a table's file, each looked over, with the place it stood at.

    Raises
    ------
    JournalError
        If it is no Parquet file, a column is missing, unknown or of another type, or a value
        is not what its column holds.
    """
    import pyarrow as pa
    from pyarrow import parquet

    try:
        schema = parquet.read_schema(path)
        columns = in_heading(table, schema.names, path.name)
        for column, field in zip(columns, schema, strict=True):
            _check_type(column, field.type, path.name)
        text = [column.name for column in columns if _type(column) == pa.string()]
        # Kept by reference as it is in the file: a word that a million rows share is held once.
        with parquet.ParquetFile(path, read_dictionary=text) as file:
            _check_size(file.metadata, path.name)
            number = 0
            for batch in file.iter_batches(20 if table.name == "runs" else 10_000):
                lists = [_values(batch.column(one.name)) for one in columns]
                for values in zip(*lists, strict=True):
                    number += 1
                    where = f"{path.name}, row {number}"
                    yield where, _unpacked(columns, values, where)
    except (pa.ArrowException, OSError, UnicodeDecodeError) as error:
        said = " ".join(str(error).split())[:80].replace(str(path), path.name)
        raise JournalError(
            f"a file that cannot be read as Parquet ({said})",
            "a file as it was exported",
            "export again",
            where=path.name,
        ) from error


def _values(array: Any) -> list[Any]:
    """The values of a column; those that are the same are one and the same object."""
    from pyarrow import types

    if not types.is_dictionary(array.type):
        return list(array.to_pylist())
    words = array.dictionary.to_pylist()
    return [None if place is None else words[place] for place in array.indices.to_pylist()]


def _unpacked(columns: list[Column], values: tuple[Any, ...], where: str) -> dict[str, Any]:
    row = {}
    for column, value in zip(columns, values, strict=True):
        if column.kind == "values" and isinstance(value, str):
            row[column.name] = checked(column, from_json(column, value, where), where)
        else:
            row[column.name] = checked(column, value, where)
    return row


def _type(column: Column) -> Any:
    import pyarrow as pa

    kinds = {"integer": pa.int64(), "number": pa.float64(), "truth": pa.bool_()}
    return kinds.get(column.kind, pa.string())


def _packed(column: Column, value: Any) -> Any:
    return to_json(value) if column.kind == "values" and value is not None else value


def _check_type(column: Column, found: Any, where: str) -> None:
    """Another program may have written narrower numbers, or a column of nothing."""
    from pyarrow import types

    if types.is_dictionary(found):
        found = found.value_type
    number = types.is_integer(found) or types.is_floating(found)
    good = {
        "integer": types.is_integer(found),
        "number": number,
        "truth": types.is_boolean(found),
    }.get(column.kind, types.is_string(found) or types.is_large_string(found))
    if not good and not (column.optional and types.is_null(found)):
        raise JournalError(
            f"{column.name} of type {found}",
            f"{column.name} of type {_type(column)}",
            "export again",
            where=where,
        )


def _check_size(metadata: Any, where: str) -> None:
    """A small file can hold as much as it says; that is read before anything is unpacked."""
    for number in range(metadata.num_row_groups):
        unpacked = metadata.row_group(number).total_byte_size
        if not 0 <= unpacked <= _MOST_UNPACKED:
            raise JournalError(
                f"a group of {unpacked / 1e6:.0f} MB unpacked",
                f"{_MOST_UNPACKED / 1e6:.0f} MB at most",
                "export again",
                where=where,
            )
