"""`rimwright import`: records of an export into the journal."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from rimwright.cli.live_options import JournalPlace


def import_(
    folder: Annotated[Path, typer.Argument(help="As `rimwright export` wrote it.")],
    journal: JournalPlace = None,
) -> None:
    """Take an export into the journal; what is there already stays as it is."""
    from rimwright.cli.journal_link import opened, refusing_when_served
    from rimwright.journal.exchange import import_records

    with refusing_when_served(journal, "import"), opened(journal, make=True) as journal_:
        typer.echo(import_records(journal_, folder).words)
