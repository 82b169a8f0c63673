"""Plots of a virtual bend: utilisation along the side over time, released line on the mould."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from rimwright.bending.bench import BENDS
from rimwright.bending.release import Gap
from rimwright.bending.virtual_bend import BendRun
from rimwright.curves.piece import FloatArray
from rimwright.instrument.design import Design
from rimwright.instrument.stations import features
from rimwright.sheets.charts import (
    AMBER,
    EMBER,
    HAIR,
    INK,
    PAPER,
    SECOND,
    SLATE,
    WALNUT,
    bare_figure,
    per_metre,
    png,
    size_text,
)

if TYPE_CHECKING:
    from matplotlib.axes import Axes


def title_of(run: BendRun, design: Design) -> str:
    """Which side of which model a chart is of."""
    kind = "return" if run.piece.rim.name == "return" else "side"
    return f"{design.name}, {run.piece.rim.hand} {kind}"


def utilisation_plot(run: BendRun, design: Design) -> bytes:
    """Which station is how far used at which moment of the bend, as a PNG.

    Above, time runs up and each bend is named where it happens; below, the greatest of all
    moments against what the wood bears.
    """
    from matplotlib.colors import LinearSegmentedColormap

    figure, (over_time, greatest) = bare_figure(8.0, 6.0, (1.5, 1.0), one_axis=True)
    per_m, unit = per_metre(design.show)
    s, table = per_m * run.piece.s, run.timetable
    last = 1 + max((i for i, name in enumerate(table.doing) if name in BENDS), default=1)
    minutes = (table.time_s[:last] - table.time_s[0]) / 60.0
    capacity = 0.01 if run.capacity is None else run.capacity.middle / 100.0
    strain = np.maximum(run.strain_inside, run.strain_outside)[:last]
    used = np.maximum(strain, 0.0) / capacity
    top = 100.0 if run.capacity is not None else float(used.max())
    heat = LinearSegmentedColormap.from_list("heat", [PAPER, "#DDB56B", AMBER, EMBER, "#4A130A"])
    shown = over_time.pcolormesh(
        s, minutes, used, cmap=heat, vmin=0.0, vmax=top, shading="gouraud", rasterized=True
    )
    word = "% of what the wood bears" if run.capacity is not None else "%"
    bar = figure.colorbar(shown, ax=[over_time, greatest], pad=0.11, aspect=40)
    bar.set_label(f"tensile stretch of the face [{word}]", color=INK)
    bar.ax.tick_params(colors=SECOND, labelsize=9)
    bar.outline.set_visible(False)
    over_time.set_ylabel("since the first move [min]", color=INK)
    over_time.tick_params(labelbottom=False)
    for name, first, end in _bends(run):
        over_time.axhline(minutes[end], color=SECOND, lw=0.5)
        over_time.annotate(name, (1.01, 0.5 * (minutes[first] + minutes[end])), fontsize=9,
                           xycoords=("axes fraction", "data"), color=INK, va="center")  # fmt: skip
    when = (run.danger.time_s - table.time_s[0]) / 60.0
    if when <= minutes[-1]:
        over_time.plot([per_m * run.danger.s_outer_m], [when], "o", ms=7, mfc="none", mec=INK)
    for line, style, label, aside in zip(
        run.stretch / capacity,
        ("-", (0, (4, 2))),
        ("inside", "outside"),
        ((4, -14), (-6, 4)),
        strict=True,
    ):
        greatest.plot(s, line, color=WALNUT, lw=1.8, ls=style)
        greatest.annotate(
            f"{label} face", (float(s[int(np.argmax(line))]), float(line.max())), xytext=aside,
            textcoords="offset points", fontsize=9, color=WALNUT,
            ha="left" if aside[0] > 0 else "right", annotation_clip=False,
        )  # fmt: skip
    if run.capacity is not None:
        greatest.axhline(100.0, color=EMBER, lw=1.0, ls=(0, (6, 3)))
        greatest.text(float(s[0]), 103.0, " what the wood bears, middle", fontsize=9, color=EMBER)
    start = "tail seam" if run.piece.rim.name == "main" else "horn tip"
    greatest.set_xlabel(f"along the outer line from the {start} [{unit}]", color=INK)
    greatest.set_ylabel(f"greatest [{'%' if run.capacity is None else '% of it'}]", color=INK)
    greatest.set_xlim(float(s[0]), float(s[-1]))
    greatest.set_ylim(0.0, max(1.2 * float(run.stretch.max() / capacity), 1.2 * top))
    _places(over_time, run, per_m)
    figure.suptitle(f"{title_of(run, design)}: how near to breaking, moment by moment",
                    fontsize=11, color=INK, x=0.01, ha="left")  # fmt: skip
    return png(figure)


def _bends(run: BendRun) -> list[tuple[str, int, int]]:
    """Each bend of the recipe with its first and last step, in order."""
    found: dict[str, list[int]] = {}
    for i, name in enumerate(run.timetable.doing):
        if name in BENDS:
            found.setdefault(name, []).append(i)
    return [(name.replace("-", " "), steps[0], steps[-1]) for name, steps in found.items()]


def _places(axes: Axes, run: BendRun, per_m: float) -> None:
    """Named places as ticks above, in two rows where they stand close."""
    before, low = -np.inf, False
    for place in features(run.piece.half):
        if place.piece != run.piece.rim.name:
            continue
        x = per_m * place.s_m
        low = (not low) if x - before < 0.1 * per_m * run.piece.rim.length else False
        before = x
        axes.annotate(place.name, (x, 1.0), xytext=(0, 14 if low else 4), fontsize=8,
                      textcoords="offset points", color=SECOND, ha="center",
                      xycoords=axes.get_xaxis_transform())  # fmt: skip
        axes.axvline(x, color=HAIR, lw=0.8)


def outline_plot(run: BendRun, design: Design) -> bytes:
    """The released side laid on the mould at its tail, as a PNG; seen from the face."""
    figure, (axes,) = bare_figure(8.0, 5.0)
    per_m, unit = per_metre(design.show)

    def flat(line: FloatArray) -> tuple[FloatArray, FloatArray]:
        # Seen from the face the treble side, y positive, lies below.
        return per_m * line[:, 0], -per_m * line[:, 1]

    rim = run.piece.rim
    mould = rim.at(run.piece.s).position
    axes.plot(*flat(mould), color=SLATE, lw=1.6)
    axes.plot(*flat(run.released_line), color=WALNUT, lw=2.0)
    gap = run.gaps[-1]
    for one in run.gaps:
        i = int(np.argmin(np.abs(run.piece.s - one.s_outer_m)))
        both = np.vstack([mould[i], run.released_line[i]])
        axes.plot(*flat(both), color=HAIR, lw=0.9, zorder=0)
        x, y = flat(both)
        aside, side = _aside(run, one)
        told = f"{one.name} {size_text(one.gap_m.middle, design.show)}"
        axes.annotate(told, (float(x[0]), float(y[0])),
                      xytext=aside, fontsize=8, color=SECOND, zorder=3,
                      textcoords="offset points", ha=side)  # fmt: skip
    early = run.piece.s.size // 8
    for line, label, colour, aside in (
        (mould, "mould", SLATE, (8, 4)), (run.released_line, "released", WALNUT, (-10, -12)),
    ):  # fmt: skip
        x, y = flat(line)
        axes.annotate(label, (float(x[early]), float(y[early])), xytext=aside, fontsize=10,
                      textcoords="offset points", color=colour,
                      ha="left" if aside[0] > 0 else "right")  # fmt: skip
    axes.set_aspect("equal")
    axes.margins(0.12)
    # A tall piece gets paper to either side for its words.
    (left, right), (below, above) = axes.get_xlim(), axes.get_ylim()
    lacking = 1.5 * (above - below) - (right - left)
    if lacking > 0.0:
        axes.set_xlim(left - 0.5 * lacking, right + 0.5 * lacking)
    axes.set_xlabel(f"from the tail seam along the centreline [{unit}]", color=INK)
    axes.set_ylabel(f"from the centreline [{unit}]", color=INK)
    low, high = (size_text(end, design.show) for end in (gap.gap_m.low, gap.gap_m.high))
    figure.suptitle(
        f"{title_of(run, design)}: let go, laid on the mould at its start; seen from the face\n"
        f"gap at the {gap.name} {size_text(gap.gap_m.middle, design.show)}, range {low} to {high}",
        fontsize=11, color=INK, x=0.01, ha="left",
    )  # fmt: skip
    return png(figure)


def _aside(run: BendRun, gap: Gap) -> tuple[tuple[float, float], str]:
    """Where a gap's words stand clear of the line, in points, and how they are set."""
    frame = run.piece.rim.at(np.array([gap.s_outer_m]))
    if gap.s_outer_m > run.piece.rim.length - 1e-6:
        return (8, 4), "left"
    if abs(float(np.cos(frame.heading[0]))) < 0.5:
        return ((8, -3), "left") if frame.curvature[0] > 0.0 else ((-8, 2), "right")
    # Inside the body: below on the bass half, above on the treble; higher in a bout's hollow.
    away = 24 if frame.curvature[0] > 8.0 else 10
    return (0, away if run.piece.rim.hand == "treble" else -away - 6), "center"
