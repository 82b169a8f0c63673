"""`rimwright relation`: what wood does with water and heat, by published relations."""

from __future__ import annotations

import json
from typing import Annotated

import typer


def relation(
    name: Annotated[
        str | None, typer.Argument(help="A relation; left out, all are listed.")
    ] = None,
    inputs: Annotated[
        list[str] | None, typer.Argument(help="What it asks for, such as temperature=70degF.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Answer as JSON, in SI units.")] = False,
) -> None:
    """Ask a relation of wood, water, heat or bend, with its range and source."""
    from rimwright.desk.asking import (
        answer_dict,
        answer_text,
        ask,
        find_relation,
        relation_dict,
        relation_text,
        relations_text,
    )
    from rimwright.desk.relations import RELATIONS

    if name is None:
        listed = [relation_dict(each) for each in RELATIONS.values()]
        typer.echo(_json(listed) if as_json else relations_text())
    elif not as_json and not inputs and find_relation(name).inputs:
        typer.echo(relation_text(name))
    else:
        answer = ask(name, inputs or ())
        typer.echo(_json(answer_dict(answer)) if as_json else answer_text(answer))


def _json(data: object) -> str:
    return json.dumps(data, indent=2, ensure_ascii=False)
