"""The keys of the design file as JSON Schema: for editors, for messages, for changes."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any, Literal

if TYPE_CHECKING:
    from rimwright.instrument.design_files.tables import Table

_DIALECT = "https://json-schema.org/draft/2020-12/schema"


def export_schema(which: Literal["design", "shop"] = "design") -> dict[str, Any]:
    """The JSON Schema of the design file or of the shop file, for editors.

    Parameters
    ----------
    which : {"design", "shop"}, default "design"
        ``*.rim.toml`` or ``shop.toml``.

    Returns
    -------
    dict
        Draft 2020-12; every key with its meaning, quantities with a pattern of number and unit.

    Examples
    --------
    >>> export_schema()["properties"]["plates"]["$ref"]
    '#/$defs/PlatesTable'
    """
    from rimwright.instrument.design_files import schema as design_schema

    model = design_schema.DesignFile if which == "design" else design_schema.ShopFile
    return {"$schema": _DIALECT, **schema_of(model)}


@cache
def schema_of(model: type[Table]) -> dict[str, Any]:
    """The JSON Schema of one model, with keys as they stand in the file."""
    return model.model_json_schema(by_alias=True)


def step(schema: dict[str, Any], node: dict[str, Any], part: str | int) -> dict[str, Any]:
    """The schema one key or list entry further down; empty where there is none."""
    if isinstance(part, int):
        return resolved(schema, node.get("items", {}))
    below = node.get("properties", {}).get(part, node.get("additionalProperties", {}))
    return resolved(schema, below if isinstance(below, dict) else {})


def resolved(schema: dict[str, Any], node: dict[str, Any]) -> dict[str, Any]:
    """A node with its reference followed and its "or nothing" taken off."""
    while True:
        if "$ref" in node:
            node = schema["$defs"][node["$ref"].rsplit("/", 1)[-1]]
        elif branches := [b for b in node.get("anyOf", []) if b.get("type") != "null"]:
            node = branches[0]
        else:
            return node
