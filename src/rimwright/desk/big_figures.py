"""Figures large enough to be read across a workshop, out of a terminal's own characters."""

from __future__ import annotations

#: Three columns by five rows each; a dot is one column.
_SHAPES = {
    "0": ("███", "█ █", "█ █", "█ █", "███"),
    "1": (" █ ", "██ ", " █ ", " █ ", "███"),
    "2": ("███", "  █", "███", "█  ", "███"),
    "3": ("███", "  █", "███", "  █", "███"),
    "4": ("█ █", "█ █", "███", "  █", "  █"),
    "5": ("███", "█  ", "███", "  █", "███"),
    "6": ("███", "█  ", "███", "█ █", "███"),
    "7": ("███", "  █", "  █", "  █", "  █"),
    "8": ("███", "█ █", "███", "█ █", "███"),
    "9": ("███", "█ █", "███", "  █", "███"),
    "-": ("   ", "   ", "███", "   ", "   "),
    ":": (" ", "█", " ", "█", " "),
    " ": ("  ", "  ", "  ", "  ", "  "),
}
ROWS = 5


def big(text: str) -> list[str]:
    """Digits, minus, colon and space as five rows; each dot is two columns wide.

    Examples
    --------
    >>> print("\\n".join(big("1")))
      ██
    ████
      ██
      ██
    ██████
    """
    rows = []
    for row in range(ROWS):
        parts = ["".join(2 * dot for dot in _SHAPES[letter][row]) for letter in text]
        rows.append("  ".join(parts).rstrip())
    return rows


_BARS = "▁▂▃▄▅▆▇█"


def bars(values: list[float | None], low: float, high: float) -> str:
    """A curve in one line; a gap is a blank.

    Examples
    --------
    >>> bars([20.0, 65.0, None, 110.0], 20.0, 110.0)
    '▁▄ █'
    """
    span = max(high - low, 1e-9)

    def bar(value: float | None) -> str:
        if value is None:
            return " "
        share = min(max((value - low) / span, 0.0), 1.0)
        return _BARS[int(share * (len(_BARS) - 1))]

    return "".join(map(bar, values))
