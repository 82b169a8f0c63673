"""`rimwright woods`: the woods on the list, or one of them with its sources."""

from __future__ import annotations

from typing import Annotated

import typer


def woods(
    name: Annotated[str | None, typer.Argument(help="A wood, to see all of it.")] = None,
) -> None:
    """List the woods, or show one with every value's source."""
    from rimwright.desk.woods import wood_text, woods_text

    typer.echo(woods_text() if name is None else wood_text(name))
