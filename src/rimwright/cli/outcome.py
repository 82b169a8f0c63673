"""`rimwright outcome`: how a side came off the form."""

from __future__ import annotations

import secrets
from typing import Annotated

import typer

from rimwright.cli.live_options import JournalPlace, RunNumber


def outcome(
    run: RunNumber,
    kind: Annotated[
        str | None,
        typer.Argument(
            help="sound, hairline, cracked, scorched, stained, ripples, cupped or flat-spot."
        ),
    ] = None,
    place: Annotated[str, typer.Option(help="Where, such as horn, scoop or waist.")] = "",
    at: Annotated[
        str | None, typer.Option(help="From the tail seam, such as 589mm or '23 3/16 in'.")
    ] = None,
    face: Annotated[str, typer.Option(help="inside, outside or both.")] = "",
    words: Annotated[str, typer.Option(help="What else; with --take-back: why.")] = "",
    take_back: Annotated[
        int | None,
        typer.Option(help="Number of an outcome that does not hold; a note keeps what it said."),
    ] = None,
    journal: JournalPlace = None,
) -> None:
    """Say how RUN's side came off the form; say it again for each thing there is to say."""
    from rimwright.cli.journal_link import opened
    from rimwright.cli.server_link import server_of
    from rimwright.desk import saying
    from rimwright.errors import JournalError
    from rimwright.journal.keeping import OUTCOME_KINDS

    if (kind is None) == (take_back is None):
        raise JournalError(
            "no kind" if kind is None else "a kind and --take-back",
            f"one of {', '.join(OUTCOME_KINDS)}, or --take-back with a number",
            "say one of them",
        )
    link = server_of(journal)
    if take_back is not None:
        if link is None:
            with opened(journal) as journal_:
                saying.take_back(journal_, run, take_back, words)
        else:
            link.post(f"/api/records/{run}/outcomes/{take_back}/taken-back", {"words": words})
        typer.echo(f"Run {run}: outcome {take_back} is taken back, and kept as a note.")
        return
    assert kind is not None
    said = saying.outcome_of(kind, place=place, at=at, face=face, words=words)
    if link is None:
        with opened(journal) as journal_:
            saying.say_outcome(journal_, run, said)
    elif run in link.get("/api/state")["runs"]:
        # Of a run that is on: its pages are told, and its log.
        link.post(
            f"/api/runs/{run}/commands",
            {"key": secrets.token_hex(8), "kind": "outcome", "outcome": said},
        )
    else:
        link.post(f"/api/records/{run}/outcomes", said)
    typer.echo(f"Run {run}: {said['kind']}. Kept.")
