"""The JSON Schema for editors accepts what the reader accepts, and says what keys mean."""

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

from rimwright.instrument.design_files.keys import resolved
from rimwright.instrument.design_files.load import export_schema

TERN_LANE = Path(__file__).parents[2] / "examples" / "tern-lane"
DESIGNS = sorted(TERN_LANE.glob("*.rim.toml"))


def complaints(value: Any, node: dict[str, Any], schema: dict[str, Any], at: str = "") -> list[str]:
    """The part of JSON Schema that the exported schemas use, checked by hand."""
    if "$ref" in node:
        return complaints(value, schema["$defs"][node["$ref"].rsplit("/", 1)[-1]], schema, at)
    if "anyOf" in node:
        tried = [complaints(value, branch, schema, at) for branch in node["anyOf"]]
        return [] if [] in tried else tried[0]
    if "enum" in node and value not in node["enum"]:
        return [f"{at}: {value!r} is none of {node['enum']}"]
    if "const" in node and value != node["const"]:
        return [f"{at}: {value!r} is not {node['const']!r}"]
    kinds = {"object": dict, "array": list, "string": str, "boolean": bool, "null": type(None),
             "integer": int, "number": (int, float)}  # fmt: skip
    assert node.keys() & {"type", "enum", "const"}, node
    if "type" in node and not isinstance(value, kinds[node["type"]]):
        return [f"{at}: {value!r} is no {node['type']}"]
    found = []
    if isinstance(value, str) and not re.search(node.get("pattern", ""), value):
        found.append(f"{at}: {value!r} does not fit {node['pattern']}")
    if isinstance(value, list):
        for i, entry in enumerate(value):
            found += complaints(entry, node["items"], schema, f"{at}[{i}]")
    assert "patternProperties" not in node
    if isinstance(value, dict):
        known, others = node.get("properties", {}), node.get("additionalProperties", True)
        found += [f"{at}: no {key}" for key in node.get("required", []) if key not in value]
        for key, entry in value.items():
            below = known.get(key, others)
            if below is False:
                found.append(f"{at}: unknown {key}")
            elif below is not True:
                found += complaints(entry, below, schema, f"{at}.{key}")
    return found


@pytest.mark.parametrize("path", DESIGNS, ids=lambda path: path.name)
def test_examples_are_valid(path: Path):
    assert len(DESIGNS) == 3
    schema = export_schema()
    assert complaints(tomllib.loads(path.read_text()), schema, schema) == []


def test_the_shop_is_valid():
    schema = export_schema("shop")
    tables = tomllib.loads((TERN_LANE / "shop.toml").read_text())
    assert complaints(tables, schema, schema) == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('depth_tail = "100 mm"', 'depth_tail = "100"'),
        ('depth_tail = "100 mm"', 'depth_tail = "100 degF"'),
        ('depth_tail = "100 mm"', "depth_tail = 100"),
        ('depth_tail = "100 mm"', 'depth_tial = "100 mm"'),
        ('depth_tail = "100 mm"', ""),
        ('player = "right"', 'player = "lefty"'),
        ("count = 2", 'count = "2"'),
        ('figure = "plain"', "figure = 3"),
    ],
)
def test_editors_see_what_is_wrong(old: str, new: str):
    text = (TERN_LANE / "wren.rim.toml").read_text()
    assert old in text
    schema = export_schema()
    assert complaints(tomllib.loads(text.replace(old, new)), schema, schema)


@pytest.mark.parametrize("which", ["design", "shop"])
def test_every_table_and_key_has_its_meaning(which):
    schema = export_schema(which)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    for name, table in schema["$defs"].items():
        assert table["description"], name
        assert table["additionalProperties"] is False, name
        for key, node in table["properties"].items():
            told = node.get("description") or resolved(schema, node).get("description")
            assert told, f"{name}.{key}"
