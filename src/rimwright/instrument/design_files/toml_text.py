"""From bytes on disk to the tables of a TOML text, within limits."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from rimwright.errors import DesignError
from rimwright.instrument.design_files.quantity import short

#: A design is a few kilobytes; what is longer than this is something else. [bytes]
LARGEST_FILE = 1_000_000
#: More dots than this in a line are no design, and would keep the TOML reader busy for minutes.
_MOST_DOTS = 100
_AT_LINE = re.compile(r"^(.*?) \(at (?:line (\d+), column (\d+)|end of document)\)$", re.DOTALL)


def read_text(path: Path) -> str:
    """The text of a design or shop file.

    Raises
    ------
    DesignError
        If it is not there, too large, or not UTF-8 text.
    """
    where = str(path)
    try:
        # A pipe would keep us waiting for ever.
        if path.exists() and not path.is_file():
            raise DesignError(
                "a folder or a device", "a design file", "check the name", where=where
            )
        with path.open("rb") as file:
            data = file.read(LARGEST_FILE + 1)
    except FileNotFoundError as error:
        raise DesignError(
            "no such file", "a design file", "check the name, or start one with `rimwright new`",
            where=where,
        ) from error  # fmt: skip
    except (OSError, ValueError) as error:
        words = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise DesignError(
            words.lower(), "a file that can be read", "check the name", where=where
        ) from error
    if len(data) > LARGEST_FILE:
        raise DesignError(
            "more than 1 MB", "a design file of a few kilobytes", "check the name", where=where
        )
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise DesignError(
            "bytes that are not UTF-8 text", "a TOML text in UTF-8",
            "save the file as UTF-8", where=f"{where}, line {line}",
        ) from error  # fmt: skip
    return text


def read_tables(text: str, path: Path) -> dict[str, Any]:
    """The TOML text as plain tables.

    Raises
    ------
    DesignError
        If it is not TOML, or nested without end.
    """
    for number, line in enumerate(text.split("\n"), start=1):
        if line.count(".") > _MOST_DOTS and not line.lstrip().startswith("#"):
            raise DesignError(
                f"a line with more than {_MOST_DOTS} dots", "short lines",
                "put each entry of the list on a line of its own",
                where=f"{path}, line {number}",
            )  # fmt: skip
    try:
        return tomllib.loads(text)
    except RecursionError as error:
        raise DesignError(
            "brackets within brackets without end", "tables a few levels deep",
            "check the brackets", where=str(path),
        ) from error  # fmt: skip
    except ValueError as error:  # TOMLDecodeError, and numbers too long to read
        raise _syntax_error(str(error), text, path) from error


def _syntax_error(message: str, text: str, path: Path) -> DesignError:
    """What the TOML reader said, as one line with the place."""
    found, where = re.sub(r"\('(.*?)',?\)", r"'\1'", message), str(path)
    if "integer string conversion" in message:
        found = "a number of thousands of digits"
    if place := _AT_LINE.match(found):
        found = place.group(1)
        line = int(place.group(2) or text.rstrip().count("\n") + 1)
        where = f"{path}, line {line}"
        rows = text.split("\n")
        if line <= len(rows) and (row := rows[line - 1].strip()):
            key = row.split("=")[0].strip() if "=" in row else ""
            where += f", {short(key)[1:-1]}" if key else ""
            found = f"{short(row)} ({found[0].lower()}{found[1:]})"
    return DesignError(
        found,
        'TOML: key = "text in quotation marks" under a [table]',
        "correct the line (quotation marks, brackets, no key twice)",
        where=where,
    )
