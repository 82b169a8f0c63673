"""Records out of a journal and into another: CSV, Parquet or JSON, photographs as files.

An export is a folder with an index; an import takes that folder into another journal, where
what is there already is left as it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO, Literal, get_args

from rimwright import __version__
from rimwright.errors import JournalError, OutputError
from rimwright.files import Content, write_all
from rimwright.journal import exchange_csv, exchange_json, exchange_parquet
from rimwright.journal.exchange_import import Imported, import_records
from rimwright.journal.exchange_rows import Choice, choose, picture_of, rows_of
from rimwright.journal.exchange_tables import FORMAT, INDEX, PHOTOGRAPHS, SHOP, TABLES
from rimwright.journal.exchange_values import to_json

if TYPE_CHECKING:
    from rimwright.journal.engine import Journal

__all__ = ["FORMS", "Exported", "Form", "Imported", "export_records", "import_records"]

Form = Literal["csv", "parquet", "json"]
FORMS: tuple[Form, ...] = get_args(Form)


@dataclass(frozen=True, slots=True, kw_only=True)
class Exported:
    """What an export wrote."""

    folder: Path
    form: Form
    files: tuple[Path, ...]
    #: Runs in it.
    runs: int
    #: Samples in it.
    samples: int


def export_records(
    journal: Journal, folder: Path, form: Form, runs: Sequence[int] | None = None
) -> Exported:
    """Write records into a new folder: all of its files, or none.

    Parameters
    ----------
    journal : Journal
        It may be recorded into meanwhile; a run that is open is written as far as it went.
    folder : Path
        Not there yet, or empty.
    form : "csv", "parquet" or "json"
        Tables as CSV or Parquet, or a JSON document for each run.
    runs : sequence of int, optional
        Only these runs, with the sides, boards and woods they rest on; all records if left out.

    Raises
    ------
    JournalError
        If there is no such run or form, or the journal does not answer.
    OutputError
        If the folder is not empty or cannot be written.
    """
    if form not in FORMS:
        found, expected = f"the form {form!r:.40}", f"one of {', '.join(FORMS)}"
        raise JournalError(found, expected, "choose one", where="export")
    folder = Path(folder)
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise OutputError(
            "a folder that is not empty", "a new folder", "name another", where=str(folder)
        )
    choice = choose(journal, runs)
    counts: dict[str, Any] = {}
    files = _documents if form == "json" else partial(_tables, form)
    written = write_all(folder, files(journal, choice, counts))
    return Exported(
        folder=folder,
        form=form,
        files=written,
        runs=len(choice.runs),
        samples=counts["samples"],
    )


def _tables(
    form: Form, journal: Journal, choice: Choice, counts: dict[str, Any]
) -> Iterator[tuple[str, Content]]:
    """Files of an export of tables; each is counted as it is written, the index comes last."""
    module = exchange_csv if form == "csv" else exchange_parquet

    for table in TABLES:

        def write(file: BinaryIO, table: Any = table) -> None:
            rows = rows_of(journal, choice, table.name)
            counts[table.name] = module.write_table(table, rows, file)

        yield f"{table.name}.{module.ENDING}", write
    yield from _pictures(journal, choice)
    yield INDEX, _index(form, {"tables": counts})


def _documents(
    journal: Journal, choice: Choice, counts: dict[str, Any]
) -> Iterator[tuple[str, Content]]:
    """Files of an export as documents; the index comes last."""
    counts["samples"] = 0
    listed: list[Mapping[str, Any]] = []
    for number, uid in choice.runs.items():

        def write(file: BinaryIO, number: int = number, uid: str = uid) -> None:
            run = next(rows_of(journal, choice, "runs", number))
            rows = partial(rows_of, journal, choice, run=number)
            found = exchange_json.write_run(run, rows, file)
            counts["samples"] += found["samples"]
            listed.append({"uid": uid, **found})

        yield f"{exchange_json.RUNS}/{uid}.json", write
    yield from _pictures(journal, choice)
    shop = {name: list(rows_of(journal, choice, name)) for name in SHOP}
    notes = [row for row in rows_of(journal, choice, "notes") if row["subject"] != "run"]
    yield INDEX, _index("json", {**shop, "notes": notes, "runs": listed})


def _pictures(journal: Journal, choice: Choice) -> Iterator[tuple[str, Content]]:
    for row in rows_of(journal, choice, "photographs"):
        yield f"{PHOTOGRAPHS}/{row['uid']}.jpg", picture_of(journal, row["uid"])


def _index(form: Form, rest: Mapping[str, Any]) -> str:
    """What is in the folder, one member on a line."""
    head = {"format": FORMAT, "form": form, "made_with": f"Rimwright {__version__}"}
    members: Iterable[str] = (
        f"{to_json(name)}:{to_json(value)}" for name, value in {**head, **rest}.items()
    )
    return "{" + ",\n".join(members) + "}\n"
