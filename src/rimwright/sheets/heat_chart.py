"""The heat drawn: temperatures, distance to softening and power over time."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from rimwright.bending.heat import HeatRun
from rimwright.bending.heat_ranges import bands
from rimwright.sheets.charts import AMBER, EMBER, HAIR, INK, SECOND, WALNUT
from rimwright.units import temperature_text

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

_SIZE_IN = (8.2, 8.6)
#: Least distance between two labels at line ends. [points]
_LABEL_GAP = 12.0


def heat_chart(run: HeatRun, title: str, show: Literal["metric", "inch"]) -> dict[str, bytes]:
    """The chart as PNG and as SVG, by ending."""
    from matplotlib import rc_context
    from matplotlib.figure import Figure

    style: Any = {
        "font.family": "sans-serif",
        "font.size": 9.5,
        "axes.edgecolor": SECOND,
        "axes.linewidth": 0.6,
        "text.color": INK,
        "axes.labelcolor": INK,
        "xtick.color": SECOND,
        "ytick.color": SECOND,
        "svg.hashsalt": "rimwright",
    }
    with rc_context(style):
        figure = Figure(figsize=_SIZE_IN, facecolor="white")
        _draw(figure, run, title, show)
        made = {}
        for ending, options in (
            ("png", {"dpi": 160, "metadata": {"Software": None}}),
            ("svg", {"metadata": {"Date": None}}),
        ):
            data = io.BytesIO()
            figure.savefig(data, format=ending, **options)
            made[ending] = data.getvalue()
    return made


def _draw(figure: Figure, run: HeatRun, title: str, show: Literal["metric", "inch"]) -> None:
    upper, middle, lower = figure.subplots(
        3, 1, sharex=True, gridspec_kw={"height_ratios": [5, 3.2, 1.3], "hspace": 0.14}
    )
    figure.subplots_adjust(left=0.12, right=0.8, top=0.92, bottom=0.07)
    figure.suptitle(title, x=0.12, ha="left", fontsize=12, color=INK)
    end = run.off_s
    times = np.linspace(0.0, end, 400)
    _temperatures(upper, run, times, show)
    _softness(middle, run, times, show)
    full = run.inputs.equipment.blanket.power_density_w_m2
    full *= run.inputs.parameters.power_share.middle
    share = run.power_w_m2[1:] / full * 100.0
    lower.step(run.time_s[1:] / 60.0, share, where="pre", color=AMBER, lw=1.4)
    lower.set_ylim(-4.0, 112.0)
    lower.set_ylabel("power, %")
    lower.set_xlabel("minutes since the heat was turned on")
    lower.set_xlim(0.0, end / 60.0)
    for axes in (upper, middle, lower):
        axes.spines[["top", "right"]].set_visible(False)
        axes.grid(axis="y", color=HAIR, lw=0.5)
        axes.set_axisbelow(True)
        axes.axvline(run.to_target_s.middle / 60.0, color=SECOND, lw=0.6, ls=(0, (1, 2)))
    figure.align_ylabels()


def _degrees(show: str) -> tuple[Callable[[Any], Any], float, str]:
    """Temperatures and differences into the maker's degrees."""
    if show == "inch":
        return (lambda celsius: celsius * 1.8 + 32.0), 1.8, "°F"
    return (lambda celsius: celsius), 1.0, "°C"


def _temperatures(axes: Axes, run: HeatRun, times: Any, show: Literal["metric", "inch"]) -> None:
    to, scale, unit = _degrees(show)
    ranges = bands(run.inputs, times)
    ends = []
    for words, curve, colour, style, band in (
        ("probe", run.probe_c, EMBER, "-", "probe"),
        ("outside face", run.outside_face_c, WALNUT, (0, (5, 1.5)), ""),
        ("middle of the wood", run.core_c, WALNUT, "-", "core"),
        ("inside face", run.inside_face_c, WALNUT, (0, (1.5, 1.2)), ""),
    ):
        drawn = to(np.interp(times, run.time_s, curve))
        axes.plot(times / 60.0, drawn, color=colour, ls=style, lw=1.5)
        if band:
            low, high = ranges[band]
            axes.fill_between(
                times / 60.0,
                drawn + scale * low,
                drawn + scale * high,
                color=colour,
                alpha=0.14,
                lw=0,
            )
        ends.append((float(drawn[-1]), words, colour))
    inputs = run.inputs
    for words, celsius in (("early alarm", inputs.early_alarm_c), ("target", inputs.target_c)):
        axes.axhline(to(celsius), color=INK, lw=0.8, ls=(0, (8, 2, 1, 2)))
        axes.annotate(
            f"{words} {temperature_text(celsius, show)}", (0.0, to(celsius)), xytext=(4, 2),
            textcoords="offset points", fontsize=8.5,
            bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.6, "alpha": 0.8},
        )  # fmt: skip
    axes.set_ylabel(f"temperature, {unit}")
    axes.set_ylim(top=to(max(float(run.probe_c.max()), inputs.target_c) + 9.0))
    _label_ends(axes, ends)


def _softness(axes: Axes, run: HeatRun, times: Any, show: str) -> None:
    _, scale, unit = _degrees(show)
    ends = []
    count = run.softness_k.shape[1]
    offset = run.inputs.softening_offset_k
    for words, fibre, style in (
        ("outside face", count - 1, (0, (5, 1.5))),
        ("middle of the wood", count // 2, "-"),
        ("inside face", 0, (0, (1.5, 1.2))),
    ):
        drawn = scale * np.interp(times, run.time_s, run.softness_k[:, fibre])
        axes.plot(times / 60.0, drawn, color=WALNUT, ls=style, lw=1.5)
        if style == "-":
            axes.fill_between(
                times / 60.0,
                drawn + scale * (offset.middle - offset.high),
                drawn + scale * (offset.middle - offset.low),
                color=WALNUT, alpha=0.14, lw=0,
            )  # fmt: skip
        ends.append((float(drawn[-1]), words, WALNUT))
    axes.axhline(0.0, color=INK, lw=0.8, ls=(0, (8, 2, 1, 2)))
    axes.annotate("softens", (0.0, 0.0), xytext=(4, 2), textcoords="offset points", fontsize=8.5)
    axes.set_ylabel(f"above softening, {unit}")
    axes.set_ylim(bottom=scale * max(-130.0, float(run.softness_k.min())))
    _label_ends(axes, ends)


def _label_ends(axes: Axes, ends: list[tuple[float, str, str]]) -> None:
    """Name each line where it ends, moved apart where two would overlap."""
    low, high = axes.get_ylim()
    gap = _LABEL_GAP / (axes.get_position().height * _SIZE_IN[1] * 72.0)
    places = sorted((((y - low) / (high - low), words, colour) for y, words, colour in ends))
    # Apart upwards, then all back down by what the topmost went too high.
    moved: list[float] = []
    for y, _, _ in places:
        moved.append(max(y, moved[-1] + gap) if moved else y)
    shift = 0.5 * sum(new - old for new, (old, _, _) in zip(moved, places, strict=True))
    shift /= max(len(moved), 1)
    for y, (_, words, colour) in zip(moved, places, strict=True):
        axes.annotate(
            words, (1.0, y - shift), xycoords="axes fraction", xytext=(5, 0),
            textcoords="offset points", va="center", color=colour, annotation_clip=False,
        )  # fmt: skip
