"""`rimwright keep`: instruments, woods, boards and sides into the journal."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from rimwright.cli.live_options import JournalPlace


def keep(
    file: Annotated[
        Path, typer.Argument(help="A list in TOML; `rimwright kept --toml` writes one to fill in.")
    ],
    journal: JournalPlace = None,
) -> None:
    """Keep what FILE says the shop has; as often as you like, what it leaves out stays."""
    from rimwright.cli.journal_link import opened
    from rimwright.cli.server_link import server_of
    from rimwright.desk.keeping import KeptLine, keep_text, kept_words, read_keep
    from rimwright.errors import DesignError
    from rimwright.instrument.design_files.toml_text import read_text

    if not file.exists():
        raise DesignError(
            "no such file", "a list of what the shop has",
            "check the name, or begin one with `rimwright kept --toml > FILE`", where=str(file),
        )  # fmt: skip
    text = read_text(file)
    # What can be found wrong without the journal is, with its line.
    read_keep(text, file)
    link = server_of(journal)
    if link is None:
        with opened(journal, make=True) as journal_:
            lines = keep_text(journal_, text, file)
    else:
        told = link.post("/api/kept", {"text": text, "name": file.name[:60]})
        lines = tuple(KeptLine(**line) for line in told)
    typer.echo(kept_words(lines))
