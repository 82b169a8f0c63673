"""A drawing as SVG at true size, for a browser or a laser's software."""

from __future__ import annotations

from collections.abc import Iterable
from xml.sax.saxutils import escape, quoteattr

from rimwright.sheets.drawing import DASHES, Drawing, Path, Pen, Shape, Text, arc_centre
from rimwright.sheets.fonts import CAPITAL

_MARGIN = 5.0


def svg_text(drawing: Drawing) -> str:
    """The drawing as an SVG document; one user unit is one millimetre.

    Examples
    --------
    >>> from rimwright.sheets.drawing import FINE, rectangle
    >>> text = svg_text(Drawing("square", (rectangle(0, 0, 10, 10, FINE),)))
    >>> 'width="20mm"' in text
    True
    """
    left, bottom, right, top = drawing.bounds
    width, height = right - left + 2 * _MARGIN, top - bottom + 2 * _MARGIN
    box = f"{_n(left - _MARGIN)} {_n(-top - _MARGIN)} {_n(width)} {_n(height)}"
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(width)}mm" height="{_n(height)}mm" '
        f'viewBox="{box}">',
        f"<title>{escape(drawing.title)}</title>",
        f'<rect x="{_n(left - _MARGIN)}" y="{_n(-top - _MARGIN)}" width="{_n(width)}" '
        f'height="{_n(height)}" fill="#fff"/>',
        '<g fill="none" stroke="#000" stroke-linecap="round" stroke-linejoin="round" '
        "font-family=\"system-ui, 'DejaVu Sans', sans-serif\">",
    ]
    for pen in dict.fromkeys(shape.pen for shape in drawing.shapes):
        lines.append(_layer(pen, (shape for shape in drawing.shapes if shape.pen == pen)))
    return "\n".join([*lines, "</g>", "</svg>", ""])


def _layer(pen: Pen, shapes: Iterable[Shape]) -> str:
    dashes = " ".join(_n(d) for d in DASHES[pen.style])
    dash = f' stroke-dasharray="{dashes}"' if dashes else ""
    body = "\n".join(_path(s) if isinstance(s, Path) else _words(s) for s in shapes)
    return f'<g id="{pen.layer}" stroke-width="{_n(pen.weight)}"{dash}>\n{body}\n</g>'


def _path(path: Path) -> str:
    fill = {"none": "", "black": ' fill="#000" stroke="none"', "white": ' fill="#fff"'}[path.fill]
    return f'<path d="{path_data(path)}"{fill}/>'


def path_data(path: Path) -> str:
    """The strokes of a path as SVG writes them.

    Examples
    --------
    >>> from rimwright.sheets.drawing import FINE, line
    >>> path_data(line((0.0, 0.0), (2.5, 1.0), FINE))
    'M0 0 L2.5 -1'
    """
    x, y = path.points[0]
    parts = [f"M{_n(x)} {_n(-y)}"]
    for start, end, bulge in path.strokes():
        if bulge:
            _, radius = arc_centre(start, end, bulge)
            large = int(abs(bulge) > 1.0)
            # y runs down in SVG, so a left turn sweeps the negative way.
            sweep = int(bulge < 0.0)
            parts.append(f"A{_n(radius)} {_n(radius)} 0 {large} {sweep} {_n(end[0])} {_n(-end[1])}")
        else:
            parts.append(f"L{_n(end[0])} {_n(-end[1])}")
    if path.closed:
        parts.append("Z")
    return " ".join(parts)


def _words(text: Text) -> str:
    x, y = text.at
    turn = f' transform="rotate({_n(-text.angle)} {_n(x)} {_n(-y)})"' if text.angle else ""
    bold = ' font-weight="bold"' if text.bold else ""
    # Set to the width it has on paper, whatever the reader's own type.
    return (
        f'<text x="{_n(x)}" y="{_n(-y)}" font-size="{_n(text.size / CAPITAL)}" '
        f'text-anchor={quoteattr(text.anchor)} textLength="{_n(text.width)}" '
        f'lengthAdjust="spacingAndGlyphs" fill="#000" stroke="none"{bold}{turn}>'
        f"{escape(text.words)}</text>"
    )


def _n(value: float) -> str:
    """A number to a ten-thousandth of a millimetre, without trailing noughts."""
    return f"{value:.4f}".rstrip("0").rstrip(".") if value else "0"
