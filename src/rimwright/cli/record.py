"""`rimwright record`: one run in words, on paper and as a page."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from rimwright.cli.live_options import JournalPlace, RunNumber
from rimwright.cli.options import AsJson


def record(
    run: RunNumber,
    output: Annotated[
        Path | None,
        typer.Option(
            "-o", "--output",
            help="Folder for record.html, record.pdf and the curve as PNG and SVG; made if "
            "missing.",
        ),
    ] = None,
    as_json: AsJson = False,
    journal: JournalPlace = None,
) -> None:  # fmt: skip
    """Show one run: what was predicted, what came, step by step, and how it came out."""
    from rimwright.cli.journal_link import opened
    from rimwright.desk.record import dump, record_document, record_told, write_record
    from rimwright.desk.record_text import record_text
    from rimwright.web.styles import record_style

    with opened(journal) as journal_:
        written = () if output is None else write_record(journal_, run, output, record_style())
        if as_json:
            typer.echo(dump(record_document(journal_, run)), nl=False)
            return
        told = record_told(journal_, run)
    typer.echo(record_text(told))
    if written:
        names = ", ".join(path.name for path in written)
        typer.echo("")
        typer.echo(f"Wrote {names} to {output}.")
