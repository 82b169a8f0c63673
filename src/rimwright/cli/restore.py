"""`rimwright restore`: a backup in the journal's place."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from rimwright.cli.live_options import JournalPlace


def restore(
    file: Annotated[Path, typer.Argument(help="A copy that `rimwright backup` made.")],
    journal: JournalPlace = None,
) -> None:
    """Put a backup in the journal's place; what was there is set aside, not deleted."""
    from rimwright.cli.journal_link import refusing_when_served
    from rimwright.journal.backup import restore as put_back
    from rimwright.journal.opening import named_place

    with refusing_when_served(journal, "put a backup in its place"):
        typer.echo(put_back(named_place(journal), file).words)
