"""One record: gathered from the journal, in words, as data, as files."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rimwright.errors import RimwrightError
from rimwright.files import write_all
from rimwright.sheets.record_told import Told, told, windows_for

if TYPE_CHECKING:
    from rimwright.journal.engine import Journal
    from rimwright.journal.runs import RunRecord

FORMAT = "rimwright-record/1"
#: Kept with a run, but large: an export has them.
_LARGE = ("plan_document", "design_text")


def record_told(journal: Journal, run: int) -> Told:
    """A run as it is told.

    Raises
    ------
    JournalError
        If there is no such run, or the journal does not answer.
    """
    from rimwright.journal.runs import run_record

    return _told(journal, run_record(journal, run))


def _told(journal: Journal, record: RunRecord) -> Told:
    from rimwright.journal.keeping import notes_of
    from rimwright.journal.runs import stretches_of

    windows = windows_for(record)
    begin, end = windows.main
    main = stretches_of(
        journal, record.id, windows.every_s(windows.main), since_s=begin, until_s=end
    )
    rest = []
    if windows.rest is not None:
        begin, end = windows.rest
        every_s = windows.every_s(windows.rest)
        rest = stretches_of(journal, record.id, every_s, since_s=begin, until_s=end + 1.0)
    notes: list[Mapping[str, Any]] = []
    if record.side is not None:
        try:
            notes = [asdict(one) for one in notes_of(journal, "side", record.side.id)]
        except RimwrightError:
            notes = []
    return told(record, (main, rest), notes)


def record_document(journal: Journal, run: int) -> dict[str, Any]:
    """A run as plain values in SI units: its record, what was compared, its curve in few points.

    Raises
    ------
    JournalError
        As `record_told`.
    """
    from rimwright.journal.runs import run_record

    record = run_record(journal, run)
    plain = {key: value for key, value in asdict(record).items() if key not in _LARGE}
    words = _told(journal, record)
    return {
        "format": FORMAT,
        **plain,
        "compared": [asdict(one) for one in words.compared],
        "steps": [asdict(one) for one in words.steps],
        "curve": asdict(words.curve),
    }


def dump(document: Any) -> str:
    """As JSON, with an end of line."""
    return json.dumps(document, ensure_ascii=False, indent=2, default=str) + "\n"


def write_record(journal: Journal, run: int, folder: Path, style: str) -> tuple[Path, ...]:
    """Write a run's page, its printout and its curve into a folder: all of them or none.

    Parameters
    ----------
    journal : Journal
    run : int
    folder : Path
        Made if it is not there.
    style : str
        Style sheet of the page, which it carries in itself.

    Raises
    ------
    JournalError
        As `record_told`.
    OutputError
        If a file cannot be written.
    """
    from rimwright.journal.photographs import photograph
    from rimwright.sheets.pdf import pdf_bytes
    from rimwright.sheets.record_chart import record_chart
    from rimwright.sheets.record_page import record_file
    from rimwright.sheets.record_sheet import record_pages

    words = record_told(journal, run)
    chart = record_chart(words.curve, f"{words.title}, run {run}", practice=words.simulated)
    pictures = {one.id: photograph(journal, one.id).data for one in words.pictures}
    files: list[tuple[str, bytes | str]] = [
        ("record.html", record_file(words, style, pictures)),
        ("record.pdf", pdf_bytes(record_pages(words), f"{words.title}, run {run}")),
        *((f"curve.{ending}", data) for ending, data in chart.items()),
    ]
    return write_all(folder, files)
