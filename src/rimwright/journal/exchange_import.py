"""Records of an export into a journal: looked over as a whole first, then merged run by run."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rimwright.errors import JournalError
from rimwright.journal import exchange_csv, exchange_json, exchange_parquet
from rimwright.journal.exchange_tables import BY_NAME, FORMAT, INDEX, PHOTOGRAPHS, SHOP, TABLES
from rimwright.journal.exchange_values import checked

if TYPE_CHECKING:
    from rimwright.journal.engine import Journal

#: Table, place and row of everything in an export, in an order in which what is referred to
#: comes first.
Placed = tuple[str, str, dict[str, Any]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Imported:
    """What an import did."""

    #: Records taken in, and those that were there already, by table.
    added: Mapping[str, int] = field(default_factory=dict)
    there: Mapping[str, int] = field(default_factory=dict)
    #: Runs left out because they were open where they came from.
    still_open: int = 0

    @property
    def words(self) -> str:
        """For the terminal."""
        runs, samples = self.added.get("runs", 0), self.added.get("samples", 0)
        counted = ("runs", "samples", "events", "run_probes")
        others = sum(count for name, count in self.added.items() if name not in counted)
        said = f"Taken in: {runs} run{'' if runs == 1 else 's'} with {samples} samples"
        said += f" and {others} other record{'' if others == 1 else 's'}"
        if there := sum(self.there.values()):
            said += f"; {there} there already and left as they were"
        if self.still_open:
            said += f"; {self.still_open} left out, still open where they came from"
        return f"{said}."


def import_records(journal: Journal, folder: Path) -> Imported:
    """Take an export in; what is in the journal already is left as it is.

    Everything is looked over before the first record is taken in. Instruments, woods, boards
    and sides come in one transaction, then each run in its own.

    Parameters
    ----------
    journal : Journal
    folder : Path
        As `export_records` wrote it, in any of its forms.

    Raises
    ------
    JournalError, PictureError
        If the folder is no export, or anything in it is not what it should be; nothing was
        taken in then.
    """
    from rimwright.journal.exchange_merge import merge
    from rimwright.journal.exchange_stage import staged

    folder = Path(folder)
    if not folder.is_dir():
        found = "a file" if folder.exists() else "no such folder"
        raise JournalError(
            found,
            "the folder of an export, unpacked",
            "name the folder that was exported",
            where=str(folder),
        )
    index = _index(folder)
    rows = _documents if index["form"] == "json" else _tables
    with staged(rows(folder, index), lambda uid: picture_bytes(folder, uid)) as stage:
        return merge(stage, journal)


def _index(folder: Path) -> dict[str, Any]:
    index = exchange_json.load_index(within(folder, INDEX))
    form = index.get("form")
    if index.get("format") != FORMAT or form not in ("csv", "parquet", "json"):
        raise JournalError(
            f"the format {index.get('format')!r:.40} as {form!r:.40}",
            f"{FORMAT} as csv, parquet or json",
            "export again, or update Rimwright",
            where=INDEX,
        )
    wanted = (*SHOP, "notes", "runs") if form == "json" else ("tables",)
    for name in wanted:
        if not isinstance(index.get(name), list if form == "json" else dict):
            raise JournalError(f"no {name}", f"{name}", "export again", where=INDEX)
    return index


def _tables(folder: Path, index: Mapping[str, Any]) -> Iterator[Placed]:
    module = exchange_csv if index["form"] == "csv" else exchange_parquet
    for table in TABLES:
        path = within(folder, f"{table.name}.{module.ENDING}")
        count = 0
        for where, row in module.read_table(table, path):
            count += 1
            yield table.name, where, row
        _same_count(count, index["tables"].get(table.name), path.name)


def _documents(folder: Path, index: Mapping[str, Any]) -> Iterator[Placed]:
    for name in SHOP:
        yield from _in_index(index, name)
    for number, listed in enumerate(index["runs"], start=1):
        where = f"{INDEX}, run {number}"
        if not isinstance(listed, dict):
            raise JournalError(
                f"{listed!r:.40}", "a run's uid and counts", "export again", where=where
            )
        # Looked over before it becomes a file's name.
        uid = checked(BY_NAME["runs"].column("uid"), listed.get("uid"), where)
        path = within(folder, f"{exchange_json.RUNS}/{uid}.json")
        counts = {"samples": 0, "events": 0}
        for name, place, row in exchange_json.read_run(path, uid):
            if name in counts:
                counts[name] += 1
            yield name, place, row
        for name, count in counts.items():
            _same_count(count, listed.get(name), f"{path.name}, {name}")
    yield from _in_index(index, "notes")


def _in_index(index: Mapping[str, Any], name: str) -> Iterator[Placed]:
    for where, row in exchange_json.rows_in(index[name], name, INDEX):
        yield name, where, exchange_json.row_of(BY_NAME[name], row, where)


def _same_count(found: int, said: object, where: str) -> None:
    if found != said:
        raise JournalError(
            f"{found} rows",
            f"{said!r:.40}, as {INDEX} says",
            "export again: a part is missing or too much",
            where=where,
        )


def picture_bytes(folder: Path, uid: str) -> bytes:
    """The file of a photograph, no longer than one may be."""
    from rimwright.pictures.photograph import MAX_BYTES

    path = within(folder, f"{PHOTOGRAPHS}/{uid}.jpg")
    with path.open("rb") as file:
        return file.read(MAX_BYTES + 1)


def within(folder: Path, name: str) -> Path:
    """A plain file in the export's folder, links resolved.

    Raises
    ------
    JournalError
        If it is not there, outside of the folder, or something that only looks like a file.
    """
    path = folder / name
    home = folder.resolve()
    try:
        real = path.resolve(strict=True)
        good = real.is_relative_to(home) and real.is_file()
    except (OSError, RuntimeError):
        good = False
    if not good:
        raise JournalError(
            f"no file {name!r} in the folder itself",
            "a whole export",
            "export again",
            where=str(folder),
        )
    return path


Pictures = Callable[[str], bytes]
