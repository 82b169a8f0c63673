"""`rimwright backup`: a copy of the journal, made while it is written."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from rimwright.cli.live_options import JournalPlace


def backup(
    output: Annotated[
        Path | None,
        typer.Option("-o", "--output", help="Folder; else the one beside the journal."),
    ] = None,
    journal: JournalPlace = None,
) -> None:
    """Copy the journal, whoever records into it; the ten newest copies and one a month stay."""
    from rimwright.cli.journal_link import opened
    from rimwright.journal.backup import back_up, backups

    with opened(journal) as journal_:
        path = back_up(journal_, output)
        found = backups(journal_, output)
    size = path.stat().st_size / 1e6
    typer.echo(f"Copied to {path} ({size:.1f} MB), looked over and sound.")
    typer.echo(
        "It is the only one there."
        if len(found) == 1
        else f"{len(found)} copies are there. Back to one of them: `rimwright restore FILE`"
    )
