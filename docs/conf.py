"""Sphinx configuration: Markdown pages and the docstrings, warnings as errors."""

import re
import sys
from pathlib import Path

from sphinx.ext.napoleon import Config, NumpyDocstring

from rimwright import __version__

sys.path.insert(0, str(Path(__file__).parent))

project = "Rimwright"
copyright = "the Rimwright authors"
author = "the Rimwright authors"
release = __version__

extensions = [
    "myst_parser",
    "sphinx.ext.autodoc",
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
autodoc_preserve_defaults = True


def _sections(*event) -> None:
    """Numpy sections, but not for attributes: their one line may hold a colon of its own."""
    app, what, name, obj, options, lines = event
    if what not in {"attribute", "data", "property"}:
        config = Config(napoleon_google_docstring=False)
        lines[:] = NumpyDocstring(lines, config, app, what, name, obj, options).lines()
    # `[1]_` as plain words: many docstrings share a page, each with its own 1.
    lines[:] = [re.sub(r"(?:\.\. )?(\[\d\])_?", r"\1", line) for line in lines]


def setup(app) -> None:
    """Tell Sphinx."""
    app.connect("autodoc-process-docstring", _sections)
