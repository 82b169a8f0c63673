"""`rimwright photo`: a photograph into a record."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from rimwright.cli.live_options import JournalPlace, RunNumber


def photo(
    run: RunNumber,
    file: Annotated[Path, typer.Argument(help="JPEG or PNG of at most 12 MB.")],
    words: Annotated[str, typer.Option(help="What is to be seen.")] = "",
    journal: JournalPlace = None,
) -> None:
    """Keep a photograph of RUN's side; place and camera in the file are left out."""
    from rimwright.cli.journal_link import opened
    from rimwright.cli.server_link import server_of
    from rimwright.desk import saying

    data, media_type = saying.photograph_of(file)
    link = server_of(journal)
    if link is None:
        with opened(journal) as journal_:
            number = saying.keep_photograph(journal_, run, data, words)
    else:
        number = link.send(f"/api/records/{run}/photographs", data, media_type, words=words)["id"]
    typer.echo(f"Run {run}: photograph {number} kept.")
