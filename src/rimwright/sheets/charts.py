"""What every chart has in common: colours, bare axes, the picture as bytes, its units."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Literal

from rimwright.errors import OutputError

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

PAPER, INK, SECOND, HAIR = "#FFFEFA", "#22201C", "#5E584D", "#D9D2C3"
WALNUT, SLATE, AMBER, EMBER = "#7A4E2D", "#4F6475", "#B97A10", "#B2371C"
_DOTS_PER_INCH = 160


def bare_figure(
    width: float, height: float, rows: tuple[float, ...] = (1.0,), *, one_axis: bool = False
) -> tuple[Figure, list[Axes]]:
    """A figure of these inches and its axes from the top, each as high as its share in `rows`.

    With `one_axis` all rows share the axis along the bottom.

    Raises
    ------
    OutputError
        Where the plotting library is not installed.
    """
    try:
        from matplotlib.backends.backend_agg import FigureCanvasAgg
        from matplotlib.figure import Figure
    except ImportError:
        raise OutputError(
            "no matplotlib, which draws the plots",
            "it installed",
            "run `pip install matplotlib`, or leave out -o and use --json",
        ) from None
    figure = Figure(figsize=(width, height), facecolor=PAPER, layout="constrained")
    FigureCanvasAgg(figure)
    drawn = figure.subplots(
        len(rows), 1, sharex=one_axis, squeeze=False, gridspec_kw={"height_ratios": rows}
    )
    for axes in drawn[:, 0]:
        axes.set_facecolor(PAPER)
        for side in ("top", "right"):
            axes.spines[side].set_visible(False)
        for side in ("left", "bottom"):
            axes.spines[side].set_color(SECOND)
        axes.tick_params(colors=SECOND, labelsize=9)
    return figure, list(drawn[:, 0])


def png(figure: Figure) -> bytes:
    """The figure as a PNG; the same figure gives the same bytes."""
    buffer = io.BytesIO()
    # Without the library's name and the date.
    figure.savefig(buffer, format="png", dpi=_DOTS_PER_INCH, metadata={"Software": None})
    return buffer.getvalue()


def per_metre(show: Literal["metric", "inch"]) -> tuple[float, str]:
    """How many of the axis's units make a metre, and the unit's name."""
    return (1e3, "mm") if show == "metric" else (1.0 / 0.0254, "in")


def size_text(value_m: float, show: Literal["metric", "inch"]) -> str:
    """A length as it stands beside a line of a chart."""
    factor, unit = per_metre(show)
    return f"{factor * value_m:.{0 if unit == 'mm' else 2}f} {unit}"
