"""A run's curve as a picture: what the probe read over what was predicted, from the heat on."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from rimwright.sheets.callouts import Callout, rows_for
from rimwright.sheets.charts import (
    AMBER,
    EMBER,
    INK,
    SECOND,
    SLATE,
    WALNUT,
    bare_figure,
    png,
)
from rimwright.sheets.record_axes import spread, time_unit
from rimwright.sheets.record_curve import Curve, Panel

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_TEAL = "#1F7A80"
_WIDE_IN = 10.0
_MAIN_IN, _REST_IN = 5.2, 1.9
#: Least distance between two labels at line ends, and from one row of names to the next. [points]
_LABEL_POINTS, _ROW_POINTS = 13.0, 13.0
#: Names of steps: their type, the height of its capitals, and how wide the axes are, about.
_STEP_POINTS, _STEP_MM, _AXIS_MM = 9.0, 2.3, 208.0
_CHAIN, _DASHED = (0, (8, 2, 1, 2)), (0, (6, 3))


def record_chart(curve: Curve, title: str, *, practice: bool = False) -> dict[str, bytes]:
    """The curve as PNG and as SVG, by ending; equal curves give equal bytes.

    Parameters
    ----------
    curve : Curve
        As `record_curve.curve_of` gives it.
    title : str
        What it is of.
    practice : bool, default False
        It was a model: the picture says so.

    Raises
    ------
    OutputError
        Where the plotting library is not installed.
    """
    tall = _MAIN_IN + (_REST_IN if curve.rest else 0.0)
    shares = (_MAIN_IN, _REST_IN) if curve.rest else (_MAIN_IN,)
    figure, axes = bare_figure(_WIDE_IN, tall, shares)
    from matplotlib import rc_context

    with rc_context({"svg.hashsalt": "rimwright", "font.family": "sans-serif"}):
        figure.suptitle(
            title + (" (practice: a model, no wood, no heat)" if practice else ""),
            fontsize=12, color=INK, x=0.01, ha="left",
        )  # fmt: skip
        degrees = _degrees(curve)
        _main(axes[0], curve, degrees)
        if curve.rest is not None:
            _frame(axes[1], curve.rest, degrees, curve.show, "since the heat came on")
            _curves(axes[1], curve.rest, degrees)
            _marks(axes[1], curve.rest, degrees)
            axes[1].set_title("the rest", loc="left", fontsize=10, color=INK)
        svg = io.BytesIO()
        figure.savefig(svg, format="svg", metadata={"Date": None})
        return {"png": png(figure), "svg": svg.getvalue()}


def _degrees(curve: Curve) -> Callable[[float], float]:
    if curve.show == "inch":
        return lambda celsius: 1.8 * celsius + 32.0
    return lambda celsius: celsius


def _frame(
    axes: Axes, panel: Panel, degrees: Callable[[float], float], show: str, words: str
) -> None:
    unit, name = time_unit(panel.end_s - panel.begin_s)
    axes.set_xlim(panel.begin_s / unit, panel.end_s / unit)
    axes.set_xlabel(f"{name} {words}", color=INK, fontsize=10)
    axes.set_ylabel(f"at the probe, {'°F' if show == 'inch' else '°C'}", color=INK, fontsize=10)
    values = [celsius for one in panel.curves for piece in one.pieces for _, celsius in piece]
    axes.set_ylim(degrees(min([20.0, *values]) - 4.0), degrees(max([40.0, *values]) + 4.0))


def _main(axes: Axes, curve: Curve, degrees: Callable[[float], float]) -> None:
    panel = curve.main
    came = "since the heat came on" if curve.heated else "since the run was begun"
    _frame(axes, panel, degrees, curve.show, came)
    unit, _ = time_unit(panel.end_s - panel.begin_s)
    values = [celsius for one in panel.curves for piece in one.pieces for _, celsius in piece]
    values += [celsius for _, celsius in curve.lines]
    low, high = min([20.0, *values]) - 4.0, max([40.0, *values]) + 8.0
    axes.set_ylim(degrees(low), degrees(high))
    if curve.heated and curve.band:
        times, lows, middles, highs = (list(one) for one in zip(*curve.band, strict=True))
        minutes = [one / unit for one in times]
        drawn = [[degrees(one) for one in edge] for edge in (lows, highs, middles)]
        axes.fill_between(
            minutes, drawn[0], drawn[1], facecolor=SLATE, alpha=0.2, edgecolor=SLATE, lw=0.5
        )
        axes.plot(minutes, drawn[2], color=SLATE, lw=1.0, ls=_CHAIN)
    ends = []
    for words, celsius in curve.lines:
        limit = words.startswith("limit")
        axes.axhline(
            degrees(celsius), color=EMBER if limit else SECOND, lw=1.3 if limit else 0.8,
            ls=_DASHED,
        )  # fmt: skip
        ends.append((degrees(celsius), words, EMBER if limit else INK))
    ends += _curves(axes, panel, degrees)
    _marks(axes, panel, degrees)
    _ends(axes, ends)
    _steps(axes, panel)


def _curves(
    axes: Axes, panel: Panel, degrees: Callable[[float], float]
) -> list[tuple[float, str, str]]:
    """What was read; a gap stays open. Where each ends, with its name."""
    unit, _ = time_unit(panel.end_s - panel.begin_s)
    ends = []
    for number, one in reversed(list(enumerate(panel.curves))):
        colour, style, weight = (WALNUT, _DASHED, 1.1) if number else (AMBER, "-", 1.8)
        for piece in one.pieces:
            times = [at_s / unit for at_s, _ in piece]
            drawn = [degrees(celsius) for _, celsius in piece]
            mark: Any = {"marker": "."} if len(piece) == 1 else {}
            axes.plot(times, drawn, color=colour, ls=style, lw=weight, **mark)
        if one.pieces:
            ends.append((degrees(one.pieces[-1][-1][1]), one.name, colour))
    return ends


def _marks(axes: Axes, panel: Panel, degrees: Callable[[float], float]) -> None:
    unit, _ = time_unit(panel.end_s - panel.begin_s)
    foot = axes.get_ylim()[0]
    for one in panel.marks:
        y = foot if one.celsius is None else degrees(one.celsius)
        if one.kind == "call":
            axes.plot(one.at_s / unit, y, marker="o", ms=6.0, mfc="white", mec=_TEAL, mew=1.3,
                      zorder=5, clip_on=False)  # fmt: skip
            continue
        axes.plot(one.at_s / unit, y, marker="v", ms=9.0, mfc=EMBER, mec=EMBER, zorder=6,
                  clip_on=False)  # fmt: skip
        axes.annotate(one.words, (one.at_s / unit, y), xytext=(7, 5), textcoords="offset points",
                      fontsize=9.5, color=EMBER, fontweight="bold")  # fmt: skip


def _ends(axes: Axes, ends: list[tuple[float, str, str]]) -> None:
    """Name each line where it ends, apart where two would overlap."""
    low, high = axes.get_ylim()
    # The height of the axes is near enough that of its row: labels need no more.
    apart = _LABEL_POINTS * (high - low) / (72.0 * 0.82 * _MAIN_IN)
    ends.sort()
    places = spread([y for y, *_ in ends], apart)
    for y, (_, words, colour) in zip(places, ends, strict=True):
        axes.annotate(
            words, (1.0, (y - low) / (high - low)), xycoords="axes fraction", xytext=(6, 0),
            textcoords="offset points", va="center", color=colour, fontsize=9.5,
            annotation_clip=False,
        )  # fmt: skip


def _steps(axes: Axes, panel: Panel) -> None:
    """Where each step began, its name in stairs under the curve."""
    unit, _ = time_unit(panel.end_s - panel.begin_s)
    scale = _AXIS_MM / (panel.end_s - panel.begin_s)
    named = [
        Callout(scale * (one.at_s - panel.begin_s), 0.0, (f"{one.number} {one.title}",))
        for one in panel.ticks
    ]
    for one, callout, row in zip(panel.ticks, named, rows_for(named, _STEP_MM), strict=True):
        x = one.at_s / unit
        # The curve begins in the corner: words there stand clear of it.
        aside = 16.0 if callout.x < 4.0 else 3.0
        axes.annotate(
            callout.lines[0], (x, 0.0), xycoords=("data", "axes fraction"),
            xytext=(aside, 3.0 + _ROW_POINTS * row), textcoords="offset points",
            fontsize=_STEP_POINTS, color=INK,
        )  # fmt: skip
        axes.annotate(
            "", (x, 0.0), xycoords=("data", "axes fraction"),
            xytext=(0.0, 12.0 + _ROW_POINTS * row), textcoords="offset points",
            arrowprops={"arrowstyle": "-", "color": SECOND, "lw": 0.6, "shrinkA": 0, "shrinkB": 0},
        )  # fmt: skip
