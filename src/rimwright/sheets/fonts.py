"""The type of the sheets, and how wide words run in it."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

#: Height of a capital over the size of the type; DejaVu Sans. [-]
CAPITAL = 0.729
NAMES = {False: "RimSans", True: "RimSans-Bold"}
_FILES = {False: "DejaVuSans.ttf", True: "DejaVuSans-Bold.ttf"}


@cache
def register() -> None:
    """Tell the PDF library of the type, once."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    folder = files("rimwright.sheets") / "fonts"
    for bold, name in NAMES.items():
        with (folder / _FILES[bold]).open("rb") as stream:
            pdfmetrics.registerFont(TTFont(name, stream))


@cache
def width(words: str, size: float, *, bold: bool = False) -> float:
    """How wide words run when a capital is `size` high, in the unit of `size`.

    Examples
    --------
    >>> round(width("waist", 3.5), 1)  # [mm]
    12.6
    """
    from reportlab.pdfbase import pdfmetrics

    register()
    return float(pdfmetrics.stringWidth(words, NAMES[bold], size / CAPITAL))


def fitting(words: str, size: float, room: float, *, bold: bool = False) -> float:
    """The size at which words run no wider than `room`, at most `size`."""
    return size * min(1.0, room / max(width(words, size, bold=bold), 1e-9))


def wrapped(words: str, size: float, room: float, *, bold: bool = False) -> list[str]:
    """Words broken into lines no wider than `room`; a longer single word stays whole."""
    lines: list[str] = []
    for paragraph in words.split("\n"):
        current = ""
        for word in paragraph.split(" "):
            longer = f"{current} {word}" if current else word
            if current and width(longer, size, bold=bold) > room:
                lines.append(current)
                current = word
            else:
                current = longer
        lines.append(current)
    return lines
