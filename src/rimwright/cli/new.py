"""`rimwright new`: eight questions, then a commented design file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from rimwright.errors import RimwrightError


def new(
    folder: Annotated[Path, typer.Argument(help="Where to write the design.")] = Path(),
) -> None:
    """Ask eight questions and write a commented design file."""
    from rimwright.instrument.design_files.load import load_shop
    from rimwright.instrument.design_files.new import questions, write_new_design

    answers: dict[str, str] = {}
    for question in questions(load_shop(folder / "shop.toml").own_woods):
        while question.needed(answers):
            answer = typer.prompt(question.text, default=question.default, show_default=True)
            try:
                question.check(answer)
            except RimwrightError as error:
                # Asked again rather than refused: seven answers should not be lost to one.
                typer.echo(str(error), err=True)
                continue
            answers[question.key] = answer
            break
    path = write_new_design(answers, folder)
    typer.echo(f"Wrote {path}. Next: rimwright plan {path} -o {path.parent / 'out'}")
