"""Style sheets of the pages as text, for pages that are files."""

from __future__ import annotations

from importlib.resources import files


def record_style() -> str:
    """Palette and style of a record's page."""
    static = files("rimwright.web").joinpath("static")
    names = ("tokens.css", "records.css")
    return "\n".join(static.joinpath(name).read_text(encoding="utf-8") for name in names)
