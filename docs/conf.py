"""Sphinx configuration: Markdown pages and the docstrings, warnings as errors."""

import re
import sys
from pathlib import Path

from rimwright import __version__

sys.path.insert(0, str(Path(__file__).parent))

project = "Rimwright"
copyright = "the Rimwright authors"
author = "the Rimwright authors"
release = __version__

extensions = [
    "myst_parser",
    "sphinx.ext.autodoc",
    "sphinx.ext.napoleon",
    "plain_math",
]
myst_enable_extensions = ["colon_fence"]
myst_heading_anchors = 3
exclude_patterns = ["_build"]
html_theme = "furo"
html_title = "Rimwright"
html_static_path = ["_static"]
html_css_files = ["pages.css"]
html_show_sourcelink = False
# The pages must open offline: no web fonts, and formulas are few enough to read as text.
html_math_renderer = "plain"
autodoc_typehints = "description"
autodoc_typehints_description_target = "documented"
autodoc_member_order = "bysource"
napoleon_google_docstring = False


def _footnotes_as_text(*event) -> None:
    """`[1]_` and `.. [1]` as plain words: many docstrings share a page, each with its own 1."""
    lines = event[-1]
    lines[:] = [re.sub(r"(?:\.\. )?(\[\d\])_?", r"\1", line) for line in lines]


def setup(app) -> None:
    """Tell Sphinx."""
    app.connect("autodoc-process-docstring", _footnotes_as_text)
