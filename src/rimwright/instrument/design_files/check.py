"""Tables held against their model; the first refusal becomes one line a maker can act on."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from rimwright.errors import DesignError, RimwrightError
from rimwright.instrument.design_files.lines import KeyPath, line_numbers
from rimwright.instrument.design_files.quantity import RefusedError, short

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

    from rimwright.instrument.design_files.tables import Table

_Table = TypeVar("_Table", bound="Table")

_READ_THE_EXAMPLE = "compare it with examples/tern-lane/wren.rim.toml"


def checked(model: type[_Table], tables: Mapping[str, Any], text: str, path: Path) -> _Table:
    """The tables checked against their model.

    Raises
    ------
    DesignError
        At the first key that is unknown, missing or impossible.
    """
    from pydantic import ValidationError

    try:
        return model.model_validate(tables)
    except ValidationError as error:
        details = error.errors(include_url=False, include_input=True)
        # An unknown key explains a missing one better than the other way about.
        first = min(details, key=lambda d: d["type"] == "missing")
        line = _one_line(first, model, text, path)
        for other in details:
            # A key that also takes a word, such as "advise", is refused once for each branch.
            word = other["type"] == "literal_error" and other is not first
            if word and _key_of(other) == _key_of(first):
                line = DesignError(
                    line.found,
                    f"{line.expected}, or {other['ctx']['expected']}",
                    line.next_step,
                    where=line.where,
                )
        raise line from error
    except RecursionError as error:
        raise DesignError(
            "tables within tables without end", "tables a few levels deep",
            "check the brackets", where=str(path),
        ) from error  # fmt: skip


def at_key(
    key: KeyPath, text: str, path: Path, error: RimwrightError | RefusedError
) -> DesignError:
    """The same refusal with file, line and key in front."""
    return DesignError(
        error.found, error.expected, error.next_step, where=place_of(key, text, path)
    )


def place_of(key: KeyPath, text: str, path: Path) -> str:
    """File, line and key, as every message begins; the line of the table where a key lacks."""
    lines = line_numbers(text)
    known = key
    while known and known not in lines:
        known = known[:-1]
    return f"{path}, line {lines.get(known, 1)}, {key_words(key)}"


def key_words(key: KeyPath) -> str:
    """A key as it is written; entries of lists are counted from 1.

    Examples
    --------
    >>> key_words(("sides", "thinned", 0, "to"))
    'sides.thinned[1].to'
    """
    words = ""
    for part in key:
        name = f"[{part + 1}]" if isinstance(part, int) else f".{short(part)[1:-1]}"
        words += name
    return words.lstrip(".") or "the file"


def _one_line(detail: ErrorDetails, model: type[Table], text: str, path: Path) -> DesignError:
    """One complaint of the checker in a maker's words."""
    key = _key_of(detail)
    found, context = detail["input"], detail.get("ctx", {})
    cause = context.get("error")
    if isinstance(cause, RefusedError):
        inner = tuple(int(p) if p.isdigit() else p for p in cause.key.split(".") if p)
        return at_key(key + inner, text, path, cause)
    if isinstance(cause, RimwrightError):
        return at_key(key, text, path, cause)
    match detail["type"]:
        case "extra_forbidden":
            words = _unknown(str(key[-1]), _names_at(model, key[:-1]))
        case "missing":
            words = (
                f"no {key[-1]}",
                f"{key[-1]} here" if len(key) > 1 else f"a table [{key[-1]}]",
                "add it; " + _READ_THE_EXAMPLE,
            )
        case "literal_error":
            choices = re.findall(r"'([^']*)'", str(context["expected"]))
            words = _choice(found, choices)
        case "model_type" | "model_attributes_type" | "dict_type":
            words = (short(found), f"a table [{key_words(key)}]", _READ_THE_EXAMPLE)
        case "list_type":
            words = (short(found), f"a list, or tables [[{key_words(key)}]]", _READ_THE_EXAMPLE)
        case kind:
            words = (short(found), _EXPECTED.get(kind, detail["msg"].lower()), "change the value")
            if kind in ("greater_than_equal", "less_than_equal"):
                words = (short(found), f"a number {detail['msg'][16:]}", "check the number")
    return DesignError(*words, where=place_of(key, text, path))


_EXPECTED = {
    "string_type": "text in quotation marks",
    "bool_type": "true or false, without quotation marks",
    "int_type": "a whole number, without quotation marks",
    "float_type": "a number, without quotation marks",
    "string_too_short": "some text",
    "string_too_long": "a shorter text",
    "string_pattern_mismatch": 'plain text on one line (a time of day like "08:30")',
    "too_short": "one entry at least",
    "too_long": "fewer entries",
}


def _key_of(detail: ErrorDetails) -> KeyPath:
    """The key; of a union the checker adds the branch it tried, which the file has not."""
    branches = ("function-plain", "literal[")
    return tuple(p for p in detail["loc"] if not (isinstance(p, str) and p.startswith(branches)))


def _unknown(name: str, known: list[str]) -> tuple[str, str, str]:
    close = difflib.get_close_matches(name[:80], known, n=1, cutoff=0.55)
    return (
        f"an unknown key '{short(name)[1:-1]}'",
        "one of " + ", ".join(known),
        f"did you mean {close[0]}?" if close else "take it out or correct it",
    )


def _choice(found: object, choices: list[str]) -> tuple[str, str, str]:
    close = difflib.get_close_matches(str(found)[:80], choices, n=1, cutoff=0.5)
    return (
        short(found),
        " or ".join(f"'{choice}'" for choice in choices),
        f"did you mean '{close[0]}'?" if close else "choose one of them",
    )


def _names_at(model: type[Table], key: KeyPath) -> list[str]:
    """The keys that the table of this path may have."""
    from rimwright.instrument.design_files.keys import schema_of, step

    node = schema = schema_of(model)
    for part in key:
        node = step(schema, node, part)
    return list(node.get("properties", {}))
