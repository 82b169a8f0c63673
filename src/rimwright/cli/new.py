"""`rimwright new`: eight questions, then a commented design file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def new(
    folder: Annotated[Path, typer.Argument(help="Where to write the design.")] = Path(),
) -> None:
    """Ask eight questions and write a commented design file."""
    from rimwright.instrument.design_new import QUESTIONS, write_new_design

    answers: dict[str, str] = {}
    for question in QUESTIONS:
        answers[question.key] = typer.prompt(question.text, default=question.default)
    path = write_new_design(answers, folder)
    typer.echo(f"Wrote {path}. Next: rimwright plan {path} -o {folder / 'out'}")
