"""The calls of the API and what they take and give, as the OpenAPI document has them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from rimwright.web.app import api_document
from rimwright.web.rules import RULES, rule_for

Node = dict[str, Any]

#: Who may, as `web.rules` names them, in words.
WHO = {
    "anyone": "anyone",
    "view": "a device with a session",
    "act": "a paired device",
    "here": "this computer only",
    "probe": "a probe's token",
}
_PLAIN = {"boolean": "`true` or `false`", "object": "an object", "null": "`null`"}
Row = list[str]


def calls() -> tuple[Row, list[Row]]:
    """Every call: what it is for, who may, what it takes and what it gives."""
    rows = []
    for path, methods in api_document()["paths"].items():
        for method, call in methods.items():
            rule = rule_for(RULES, method.upper(), path)
            assert rule is not None
            said = " ".join(call.get("description", call["summary"]).split())
            rows.append(
                [f"`{method.upper()} {path}`", said, WHO[rule.who], _takes(call), _gives(call)]
            )
    return ["call", "what it does", "who may", "takes", "gives"], rows


def shapes() -> tuple[Row, list[Row]]:
    """Every key of what is taken and given."""
    rows = []
    for name, shape in sorted(api_document()["components"]["schemas"].items()):
        if name.startswith(("HTTPValidation", "ValidationError")):
            continue
        for key, node in shape["properties"].items():
            must = "must be given" if key in shape.get("required", []) else _default(node)
            rows.append([f"`{name}`", f"`{key}`", node.get("description", ""), _kind(node), must])
    return ["shape", "key", "what it says", "what is accepted", "left out"], rows


def _takes(call: Node) -> str:
    said = [f"`{one['name']}`" for one in call.get("parameters", []) if one["in"] == "query"]
    for kind, content in call.get("requestBody", {}).get("content", {}).items():
        shape = _kind(content["schema"]) if kind == "application/json" else ""
        said.append(shape or f"`{kind}`")
    return ", ".join(said)


def _gives(call: Node) -> str:
    status = min(call["responses"])
    content = call["responses"][status].get("content", {})
    said = [
        _kind(one["schema"]) if kind == "application/json" else f"`{kind}`"
        for kind, one in content.items()
    ]
    return ", ".join(said) or f"{status}, nothing"


def _default(node: Node) -> str:
    value = node.get("default")
    return "" if value in (None, "", []) else f"`{str(value).lower()}`"


def _kind(node: Node) -> str:
    """What a value may be, in few words."""
    return "; or ".join(dict.fromkeys(_kinds(node)))


def _kinds(node: Node) -> Iterator[str]:
    if "anyOf" in node:
        for one in node["anyOf"]:
            yield from _kinds(one)
    elif "$ref" in node:
        yield f"`{node['$ref'].rpartition('/')[2]}`"
    elif "enum" in node:
        yield ", ".join(f"`{one or '(empty)'}`" for one in node["enum"])
    elif "const" in node:
        yield f"`{str(node['const']).lower()}`"
    elif node.get("type") == "array":
        yield f"list of {_kind(node['items'])}" + _most(node, "maxItems", "items")
    elif node.get("type") in {"number", "integer"}:
        kind = "whole number" if node["type"] == "integer" else "number"
        low, high = node.get("minimum"), node.get("maximum")
        # The largest number of a row says nothing to a reader.
        high = None if high == 2**31 - 1 else high
        low_said = "" if low is None else f" from {low:g}"
        yield kind + low_said + ("" if high is None else f" to {high:g}")
    elif node.get("type") == "string":
        yield "text" + _most(node, "maxLength", "characters")
    elif node:
        yield _PLAIN[node["type"]]


def _most(node: Node, key: str, what: str) -> str:
    return f", at most {node[key]} {what}" if key in node else ""
