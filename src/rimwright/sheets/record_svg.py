"""A plot within a page: its strokes by the names of their pens, coloured by the page's style."""

from __future__ import annotations

from html import escape

from rimwright.sheets.drawing import DASHES, Drawing, Path, Shape, Text
from rimwright.sheets.fonts import CAPITAL
from rimwright.sheets.record_html import classed
from rimwright.sheets.svg import path_data

_MARGIN = 0.8
#: Strokes of a page's plot, over those on paper: a screen's lines are seen against light.
_HEAVIER = 1.15


def inline_svg(drawing: Drawing, words: str, name: str) -> str:
    """A drawing as an element of a page.

    Parameters
    ----------
    drawing : Drawing
        Of lines in pens of `record_pens`; each pen's layer becomes a class.
    words : str
        What is to be seen, for who cannot see it.
    name : str
        Class of the element.
    """
    left, bottom, right, top = drawing.bounds
    width, height = right - left + 2.0 * _MARGIN, top - bottom + 2.0 * _MARGIN
    box = f"{_n(left - _MARGIN)} {_n(-top - _MARGIN)} {_n(width)} {_n(height)}"
    parts = [
        f'<svg class="{escape(name)}" viewBox="{box}" role="img" aria-label="{escape(words)}">'
    ]
    # Words over all lines, which they clear.
    ordered = sorted(drawing.shapes, key=lambda shape: isinstance(shape, Text))
    for pen in dict.fromkeys(shape.pen for shape in ordered):
        dashes = " ".join(_n(one) for one in DASHES[pen.style])
        dash = f' stroke-dasharray="{dashes}"' if dashes else ""
        body = "".join(_shape(shape) for shape in drawing.shapes if shape.pen == pen)
        weight = _n(_HEAVIER * pen.weight)
        parts.append(f'<g class="{pen.layer}" stroke-width="{weight}"{dash}>{body}</g>')
    return "".join([*parts, "</svg>"])


def _shape(shape: Shape) -> str:
    if isinstance(shape, Path):
        kind = {"none": "area" if shape.closed else "", "black": "filled", "white": "hollow"}
        name = kind[shape.fill]
        return f'<path{classed(name)} d="{path_data(_short(shape))}"/>'
    return _words(shape)


def _short(path: Path) -> Path:
    """Hundredths of a millimetre are finer than any screen."""
    points = tuple((round(x, 2), round(y, 2)) for x, y in path.points)
    return Path(points, path.pen, path.bulges, path.closed, path.fill)


def _words(text: Text) -> str:
    bold = ' font-weight="bold"' if text.bold else ""
    return (
        f'<text x="{_n(text.at[0])}" y="{_n(-text.at[1])}" font-size="{_n(text.size / CAPITAL)}" '
        f'text-anchor="{text.anchor}"{bold}>{escape(text.words)}</text>'
    )


def _n(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".") if abs(value) >= 0.005 else "0"
