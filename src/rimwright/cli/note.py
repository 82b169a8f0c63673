"""`rimwright note`: words for the record."""

from __future__ import annotations

import secrets
from typing import Annotated

import typer

from rimwright.cli.live_options import JournalPlace


def note(
    number: Annotated[int, typer.Argument(min=1, max=2**31 - 1, help="Number of the run.")],
    words: Annotated[list[str], typer.Argument(help="What is to be kept.")],
    about: Annotated[
        str, typer.Option(help="What the number is of: run, side, instrument or board.")
    ] = "run",
    journal: JournalPlace = None,
) -> None:
    """Write WORDS down about a run, or about a side, an instrument or a board."""
    from rimwright.cli.journal_link import opened
    from rimwright.cli.server_link import server_of
    from rimwright.desk import saying
    from rimwright.desk.records import chosen
    from rimwright.errors import JournalError
    from rimwright.journal.keeping import SUBJECTS

    subject = chosen(about, SUBJECTS, "--about")
    said = " ".join(words).strip()
    if not said:
        raise JournalError("no words", "a word or two", "write them after the number")
    link = server_of(journal)
    if link is None:
        with opened(journal) as journal_:
            saying.add_note(journal_, subject, number, said)
    elif subject != "run":
        link.post(f"/api/kept/{subject}/{number}/notes", {"words": said})
    elif number in link.get("/api/state")["runs"]:
        link.post(
            f"/api/runs/{number}/commands",
            {"key": secrets.token_hex(8), "kind": "note", "text": said},
        )
    else:
        link.post(f"/api/records/{number}/notes", {"words": said})
    typer.echo(f"{subject.capitalize()} {number}: noted.")
