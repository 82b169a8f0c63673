"""The frame of a page without script, and the small pieces that pages are made of."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from html import escape


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """What a page stands in: served, with links to its style, or a file that carries it."""

    head: str
    #: Links to the other pages; "" in a file.
    nav: str = ""


def served(version: str) -> Frame:
    """The frame of a page of the server.

    Parameters
    ----------
    version : str
        In the addresses of its style; letters, figures, dots and dashes.
    """
    at = f"/static/{escape(version)}"
    return Frame(
        head=f'<link rel="icon" href="{at}/icon.svg" type="image/svg+xml">'
        f'<link rel="stylesheet" href="{at}/tokens.css">'
        f'<link rel="stylesheet" href="{at}/records.css">',
        nav='<nav aria-label="Pages"><a href="/">Bends that are on</a>'
        '<a href="/records">Records</a></nav>',
    )


def by_itself(style: str) -> Frame:
    """The frame of a page that is one file, and asks nothing of anywhere."""
    # A style with these letters in it would end its own element.
    style = style.replace("</", "<\\/")
    known = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = f"default-src 'none'; style-src 'sha256-{known}'; img-src data:; base-uri 'none'"
    return Frame(
        head=f'<meta http-equiv="Content-Security-Policy" content="{policy}"><style>{style}</style>'
    )


def page(title: str, body: str, frame: Frame) -> str:
    """A whole page."""
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        '<meta name="color-scheme" content="dark light">'
        f"{frame.head}<title>{escape(title)}</title></head>"
        f"<body>{frame.nav}<main>{body}</main></body></html>\n"
    )


def section(title: str, body: str, name: str = "") -> str:
    """A part of a page under its title; "" where there is nothing in it."""
    return f"<section{classed(name)}><h2>{escape(title)}</h2>{body}</section>" if body else ""


def facts(pairs: Iterable[tuple[str, str]]) -> str:
    """Names and what is said to each; "" where there are none."""
    rows = "".join(
        f"<div><dt>{escape(name)}</dt><dd>{lines(words)}</dd></div>" for name, words in pairs
    )
    return f"<dl>{rows}</dl>" if rows else ""


def bullets(texts: Iterable[str]) -> str:
    """A list of words; "" where there are none."""
    items = "".join(f"<li>{lines(text)}</li>" for text in texts)
    return f"<ul>{items}</ul>" if items else ""


def lines(text: str) -> str:
    """Words with their line ends kept."""
    return escape(text).replace("\n", "<br>")


def classed(name: str) -> str:
    """The attribute of a class; "" for none."""
    return f' class="{escape(name)}"' if name else ""
