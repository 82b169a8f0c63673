"""`rimwright export`: records out of the journal."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal, cast

import typer

from rimwright.cli.live_options import JournalPlace


def export(
    folder: Annotated[Path, typer.Argument(help="A new folder, or an empty one.")],
    form: Annotated[str, typer.Option("--as", help="csv, parquet or json.")] = "csv",
    run: Annotated[
        list[int] | None,
        typer.Option(help="Only this run, with its side and wood; repeat. Left out: everything."),
    ] = None,
    journal: JournalPlace = None,
) -> None:
    """Write records into FOLDER for a spreadsheet, a program, or another journal."""
    from rimwright.cli.journal_link import opened
    from rimwright.desk.records import chosen
    from rimwright.journal.exchange import FORMS, export_records
    from rimwright.sheets.record_words import counted

    chosen_form = cast('Literal["csv", "parquet", "json"]', chosen(form, FORMS, "--as"))
    with opened(journal) as journal_:
        done = export_records(journal_, folder, chosen_form, run or None)
    typer.echo(
        f"Wrote {counted(done.runs, 'run')} with {counted(done.samples, 'reading')} as "
        f"{done.form}, {counted(len(done.files), 'file')}, to {done.folder}."
    )
