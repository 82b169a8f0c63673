"""`rimwright schema`: the JSON Schema of the design file, for editors."""

from __future__ import annotations

import json

import typer


def schema() -> None:
    """Print the JSON Schema of the design file, for an editor that completes and checks."""
    from rimwright.instrument.design_files.load import export_schema

    typer.echo(json.dumps(export_schema(), indent=2, ensure_ascii=False))
