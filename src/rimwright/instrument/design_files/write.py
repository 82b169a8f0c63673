"""Changing a design file and keeping what the maker wrote around the values."""

from __future__ import annotations

import contextlib
import copy
import tomllib
from collections.abc import Mapping
from itertools import pairwise
from pathlib import Path
from typing import Any

from rimwright.errors import DesignError
from rimwright.files import write_atomically
from rimwright.instrument.design_files.check import key_words
from rimwright.instrument.design_files.keys import export_schema, resolved, step
from rimwright.instrument.design_files.lines import KeyPath
from rimwright.instrument.design_files.load import SHOP_NAME, design_from_text, shop_from_text
from rimwright.instrument.design_files.quantity import short
from rimwright.instrument.design_files.toml_text import read_tables, read_text

_LONGEST_KEY = 200


def change_design(path: Path, changes: Mapping[str, str]) -> None:
    """Change values in a design or shop file; comments and order stay as they are.

    The changed text is checked as a whole before anything is written, and written whole.

    Parameters
    ----------
    path : Path
        A ``*.rim.toml`` or a ``shop.toml``.
    changes : mapping
        By key with dots, entries of lists counted from 1: ``{"plates.depth_tail": "98 mm",
        "bindings.1.count": "2"}``. Text and quantities as they are, other values as TOML
        writes them; an empty text takes the key out, and the next number after the last
        entry of a list of tables adds one.

    Raises
    ------
    DesignError
        If a key is not there to be changed or the changed file would not be accepted.
    OutputError
        If it cannot be written.
    """
    text = changed_text(read_text(path), path, changes)
    write_atomically(path, text)


def changed_text(text: str, path: Path, changes: Mapping[str, str]) -> str:
    """The text with the changes made and checked, for those who want to look first.

    Raises
    ------
    DesignError
        As `change_design`.
    """
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    schema = export_schema("shop" if path.name == SHOP_NAME else "design")
    wanted = copy.deepcopy(read_tables(text, path))
    try:
        document = tomlkit.parse(text)
        for key, value in changes.items():
            names = _names(key, path)
            new = None if value == "" else _value(schema, names, value, path)
            _put(document, names, new, tomlkit.table, path)
            _put(wanted, names, new, dict, path)
        result = tomlkit.dumps(document)
    except TOMLKitError as error:
        raise DesignError(
            " ".join(str(error).split()), "a file that can be rewritten",
            "make the change in an editor", where=str(path),
        ) from error  # fmt: skip
    if read_tables(result, path) != wanted:
        # Tables written in several places are more than the rewriter can keep apart.
        raise DesignError(
            "tables in an order that cannot be rewritten safely", "each table in one place",
            "make the change in an editor", where=str(path),
        )  # fmt: skip
    if path.name == SHOP_NAME:
        shop_from_text(result, path)
    else:
        design_from_text(result, path)
    return result


def _names(key: str, path: Path) -> KeyPath:
    """The parts of a key with dots; quotation marks as in TOML, numbers from 1 to from 0."""
    node: Any = None
    if 0 < len(key) <= _LONGEST_KEY and "\n" not in key:
        with contextlib.suppress(ValueError):
            node = tomllib.loads(f"{key} = 0")
    names: list[str | int] = []
    while isinstance(node, dict) and len(node) == 1:
        name, node = next(iter(node.items()))
        names.append(int(name) - 1 if name.isdecimal() and name != "0" else name)
    if not names or node != 0:
        raise DesignError(
            f"key {short(key)}", "a key with dots such as plates.depth_tail",
            "write it as in the file", where=str(path),
        )  # fmt: skip
    return tuple(names)


def _value(schema: dict[str, Any], names: KeyPath, value: str, path: Path) -> Any:
    """The text as the kind of value this key holds."""
    node = resolved(schema, schema)
    for part in names:
        node = step(schema, node, part)
    if node.get("type", "string") == "string" or "enum" in node or "const" in node:
        return value
    try:
        return read_tables(f"v = {value}", path)["v"]
    except DesignError as error:
        raise DesignError(
            short(value), f"a value such as TOML writes it, {node.get('type')}",
            "write it as in the file", where=f"{path}, {key_words(names)}",
        ) from error  # fmt: skip


def _put(node: Any, names: KeyPath, value: Any, table: Any, path: Path) -> None:
    """Set or take out one value in tables and lists, making tables on the way."""
    for here, after in pairwise(names):
        if not _has(node, here):
            makes = value is not None and isinstance(after, str)
            if makes and isinstance(node, list) and here == len(node):
                node.append(table())
            elif makes and isinstance(node, dict) and isinstance(here, str):
                node[here] = table()
            else:
                raise _no_such_key(names, path)
        node = node[here]
    if value is None:
        if not _has(node, names[-1]):
            raise _no_such_key(names, path)
        del node[names[-1]]
    elif _has(node, names[-1]) or (isinstance(node, dict) and isinstance(names[-1], str)):
        node[names[-1]] = value
    else:
        raise _no_such_key(names, path)


def _has(node: Any, name: str | int) -> bool:
    if isinstance(node, list):
        return isinstance(name, int) and 0 <= name < len(node)
    return isinstance(node, dict) and name in node


def _no_such_key(names: KeyPath, path: Path) -> DesignError:
    return DesignError(
        f"nothing at {key_words(names)}", "a key or list entry of the file",
        "open the file and look; list entries are counted from 1", where=str(path),
    )  # fmt: skip
