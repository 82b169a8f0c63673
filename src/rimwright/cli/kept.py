"""`rimwright kept`: what the shop has, by its numbers."""

from __future__ import annotations

from typing import Annotated, Literal, cast

import typer

from rimwright.cli.live_options import JournalPlace
from rimwright.cli.options import AsJson


def kept(
    what: Annotated[
        str | None,
        typer.Argument(help="instruments, woods, sets, boards or sides; all if left out."),
    ] = None,
    name: Annotated[str | None, typer.Option(help="Any part of the name.")] = None,
    show: Annotated[str, typer.Option(help="Figures in metric or inch.")] = "metric",
    as_toml: Annotated[
        bool,
        typer.Option("--toml", help="As a list that `rimwright keep` reads, with an example."),
    ] = False,
    as_json: AsJson = False,
    journal: JournalPlace = None,
) -> None:
    """List the instruments, woods, boards and sides that are kept, with their numbers."""
    from rimwright.cli.journal_link import opened
    from rimwright.desk.kept import kept_document, kept_of, kept_text, kept_toml
    from rimwright.desk.record import dump
    from rimwright.desk.records import chosen

    figures = cast('Literal["metric", "inch"]', chosen(show, ("metric", "inch"), "--show"))
    # The list to fill in is asked for before there is a journal.
    with opened(journal, make=as_toml) as journal_:
        everything = kept_of(journal_)
        found = kept_of(journal_, what, name)
    if as_json:
        typer.echo(dump(kept_document(found)), nl=False)
    elif as_toml:
        typer.echo(kept_toml(found), nl=False)
    else:
        typer.echo(kept_text(found, everything, figures))
