"""Sphinx configuration: Markdown pages and the docstrings, warnings as errors."""

from rimwright import __version__

project = "Rimwright"
copyright = "the Rimwright authors"
author = "the Rimwright authors"
release = __version__

extensions = [
    "myst_parser",
    "sphinx.ext.autodoc",
    "sphinx.ext.autosummary",
    "sphinx.ext.napoleon",
    "sphinx.ext.mathjax",
]
myst_enable_extensions = ["dollarmath", "colon_fence"]
myst_heading_anchors = 3
exclude_patterns = ["_build"]
html_theme = "furo"
html_title = "Rimwright"
# The pages must open offline: no web fonts, and formulas are few enough to read as text.
html_static_path = ["_static"]
autodoc_typehints = "description"
autosummary_generate = True
napoleon_google_docstring = False
