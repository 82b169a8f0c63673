"""A plan's document from what a maker names: `plan.json`, or a design that is planned now."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from rimwright.errors import DesignError

_LARGEST = 64_000_000


def document_of(path: Path) -> tuple[dict[str, Any], str | None]:
    """The plan's document, and the design file's text where there is one.

    Parameters
    ----------
    path : Path
        `plan.json`, the folder it lies in, or a design file.

    Raises
    ------
    RimwrightError
        If there is no such file, it cannot be read, or the design is refused.
    """
    if path.is_dir():
        path = path / "plan.json"
    if path.suffix.lower() == ".json":
        return _read(path), None
    from rimwright.desk.opening import open_design
    from rimwright.desk.placing import placed
    from rimwright.plan import make_plan

    design = open_design(path)
    with placed(path):
        document = make_plan(design).document
    text = path.read_text(encoding="utf-8") if path.suffix.lower() == ".toml" else None
    return document, text


def _read(path: Path) -> dict[str, Any]:
    try:
        if path.stat().st_size > _LARGEST:
            raise DesignError("a file of more than 64 MB", "a plan.json", "name the right file",
                              where=str(path))  # fmt: skip
        document = json.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        raise DesignError(
            str(error.strerror or error).lower(),
            "a plan.json, or a design file",
            "make one with `rimwright plan FILE -o FOLDER`",
            where=str(path),
        ) from error
    except (ValueError, RecursionError) as error:
        raise DesignError(
            "text that is no JSON", "plan.json as it was written", "plan the design again",
            where=str(path),
        ) from error  # fmt: skip
    if not isinstance(document, dict):
        raise DesignError(
            "JSON that is no plan", "plan.json as it was written", "plan the design again",
            where=str(path),
        )  # fmt: skip
    return document
