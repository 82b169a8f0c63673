"""File, line and key of what is refused only once the outline is drawn."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from rimwright.errors import RimwrightError

#: A key as the rooms below name it: "ends.neck_block_width", "sides.thinned[1]".
_KEY = re.compile(r"(plates|ends|sides|heating)((\.[a-z_]+)|(\[\d+\]))+")


@contextmanager
def placed(path: Path) -> Iterator[None]:
    """Put file, line and key in front of whatever is refused of that design file meanwhile.

    A refusal that already says where it lies (a drawing, a part of the tooling) keeps that,
    after the file's name; a bare drawing has no lines to name.
    """
    try:
        yield
    except RimwrightError as error:
        if path.suffix.lower() == ".toml":
            error.where = _place(error.where, path)
        raise


def _place(where: str, path: Path) -> str:
    if not _KEY.fullmatch(where):
        return f"{path}, {where}" if where else str(path)
    from rimwright.instrument.design_files.check import place_of
    from rimwright.instrument.design_files.toml_text import read_text

    parts = re.findall(r"[a-z_]+|\d+", where)
    key = tuple(int(part) - 1 if part.isdigit() else part for part in parts)
    return place_of(key, read_text(path), path)
