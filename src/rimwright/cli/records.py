"""`rimwright records`: the list of runs."""

from __future__ import annotations

from typing import Annotated

import typer

from rimwright.cli.live_options import JournalPlace
from rimwright.cli.options import AsJson


def records(
    model: Annotated[str | None, typer.Option(help="Any part of the model's name.")] = None,
    side: Annotated[str | None, typer.Option(help="bass or treble.")] = None,
    state: Annotated[str | None, typer.Option(help="on, ended or abandoned.")] = None,
    outcome: Annotated[
        str | None,
        typer.Option(help="How it came out, such as cracked or 'flat spot'; none: not said yet."),
    ] = None,
    alarm: Annotated[
        str | None, typer.Option(help="Which alarm called, such as 'too hot'; any: one did.")
    ] = None,
    since: Annotated[
        str | None, typer.Option(help="Begun since: 2026-11-25, '2026-11-25 14:30', '7 days'.")
    ] = None,
    until: Annotated[
        str | None, typer.Option(help="Begun until; a day is taken to its end.")
    ] = None,
    practice: Annotated[
        bool | None,
        typer.Option("--practice/--real", help="Only practice runs, or with --real only bends."),
    ] = None,
    most: Annotated[
        int | None, typer.Option(min=1, max=1_000_000, help="The newest so many.")
    ] = None,
    as_json: AsJson = False,
    journal: JournalPlace = None,
) -> None:
    """List the runs that were recorded, newest first."""
    from rimwright.cli.journal_link import opened
    from rimwright.desk.record import dump
    from rimwright.desk.records import records_document, records_of, records_text, run_filter

    filters = run_filter(
        model=model, side=side, state=state, outcome=outcome, alarm=alarm, since=since,
        until=until, practice=practice, most=most,
    )  # fmt: skip
    with opened(journal) as journal_:
        lines = records_of(journal_, filters)
    if as_json:
        typer.echo(dump(records_document(lines)), nl=False)
        return
    typer.echo(records_text(lines, narrowed=filters != run_filter()))
