"""The compensated form on paper, for the machine, and as a plot of what it does."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from rimwright.bending.compensation import FormPiece
from rimwright.bending.virtual_bend import BendRun
from rimwright.curves.piece import FloatArray
from rimwright.instrument.design import Design
from rimwright.sheets.bend_plots import title_of
from rimwright.sheets.charts import (
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
from rimwright.sheets.dxf import dxf_text
from rimwright.sheets.paper import heading
from rimwright.sheets.part import assumed_words, part_drawing, part_notes
from rimwright.sheets.pdf import pdf_bytes
from rimwright.sheets.svg import svg_text
from rimwright.sheets.tiles import Subject, one_sheet_pages, tiled_pages

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from rimwright.plan import Plan
    from rimwright.sheets.write import Paper

#: What follows the form; mould and spreaders follow the finished rim.
_BENT = ("form", "ram", "caul")


def form_sheets(plan: Plan, date_text: str) -> Iterator[tuple[str, bytes | str]]:
    """Name and content of every file of the parts that are bent past the outline."""
    show, subjects = plan.design.show, []
    paper: Paper = "a4" if show == "metric" else "letter"
    parts = [part for part in plan.tooling.parts if part.name.startswith(_BENT)]
    for part in parts:
        drawing = part_drawing(plan, part)
        yield f"dxf/{part.name}.dxf", dxf_text(drawing, show)
        yield f"svg/{part.name}.svg", svg_text(drawing)
        block = heading(
            plan, part.title, part_notes(plan, part), date_text, warning=assumed_words(plan, part)
        )
        subjects.append(Subject(part_drawing(plan, part, titled=False), block))
    title = f"{plan.design.name}, compensated form"
    yield "form.pdf", pdf_bytes(one_sheet_pages(subjects, show), title)
    yield f"form-{paper}.pdf", pdf_bytes(tiled_pages(subjects, show, paper), f"{title}, in tiles")


def form_plot(form: FormPiece, plain: BendRun, design: Design) -> bytes:
    """The side let go from the form as drawn and from this one, on the mould, as a PNG."""
    figure, (axes,) = bare_figure(8.0, 5.4)
    per_m, unit = per_metre(design.show)

    def flat(line: FloatArray) -> tuple[FloatArray, FloatArray]:
        # Seen from the face the treble side, y positive, lies below.
        return per_m * line[:, 0], -per_m * line[:, 1]

    run = form.run
    mould = run.piece.rim.at(run.piece.s).position
    on_form = form.rim.at(form.s_form).position
    axes.plot(*flat(mould), color=SLATE, lw=5.0, alpha=0.35, solid_capstyle="butt")
    axes.plot(*flat(on_form), color=SECOND, lw=1.0, ls=(0, (8, 2, 2, 2)))
    axes.plot(*flat(plain.released_line), color=WALNUT, lw=1.4, ls=(0, (4, 3)))
    axes.plot(*flat(run.released_line), color=WALNUT, lw=1.8)
    for before, after in zip(plain.gaps, run.gaps, strict=True):
        i = int(np.argmin(np.abs(run.piece.s - after.s_outer_m)))
        both = np.vstack([mould[i], plain.released_line[i]])
        axes.plot(*flat(both), color=HAIR, lw=0.9, zorder=0)
        x, y = flat(both)
        # Past the free line, away from the mould; what the ends are, the title and labels say.
        if after is run.gaps[-1]:
            continue
        step = np.array([x[1] - x[0], y[1] - y[0]])
        out = 13.0 * step / max(float(np.hypot(*step)), 1e-9)
        axes.annotate(f"{after.name} {_told(before.gap_m.middle, design)}",
                      (float(x[1]), float(y[1])), xytext=(float(out[0]), float(out[1])),
                      fontsize=8, color=SECOND, textcoords="offset points", va="center",
                      ha="left" if out[0] > 6.0 else "right" if out[0] < -6.0 else "center",
                      bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.5})  # fmt: skip
    ends = [
        (flat(line[-1:]), label, colour)
        for line, label, colour in (
            (plain.released_line, "let go from the\nform as drawn", WALNUT),
            (mould, "mould, and let go\nfrom this form", SLATE),
            (on_form, "on this form", SECOND),
        )
    ]
    _label_ends(axes, [(float(x[0]), float(y[0]), words, ink) for (x, y), words, ink in ends])
    axes.set_aspect("equal")
    axes.set_xlabel(f"from the tail seam along the centreline [{unit}]", color=INK)
    axes.set_ylabel(f"from the centreline [{unit}]", color=INK)
    gap = run.gaps[-1]
    low, high = (_told(end, design) for end in (gap.gap_m.low, gap.gap_m.high))
    figure.suptitle(
        f"{title_of(run, design)}: form bent past the outline; gap at the {gap.name} "
        f"{_told(gap.gap_m.middle, design)}, range {low} to {high}\n"
        "let go and laid on the mould at its start; seen from the face",
        fontsize=10, color=INK, x=0.01, ha="left",
    )  # fmt: skip
    return png(figure)


def _label_ends(axes: Axes, ends: list[tuple[float, float, str, str]]) -> None:
    """Name the lines beside their ends, one above the other where those are close."""
    left, right = axes.get_xlim()
    low, high = axes.get_ylim()
    span = max(high - low, 0.5 * (right - left))
    x = right + 0.02 * (right - left)
    at = -np.inf
    for end_x, end_y, words, colour in sorted(ends, key=lambda end: end[1]):
        at = max(end_y, at + 0.16 * span)
        axes.annotate(words, (end_x, end_y), xytext=(x, at), textcoords="data", fontsize=9,
                      color=colour, va="center",
                      arrowprops={"arrowstyle": "-", "color": HAIR, "lw": 0.8})  # fmt: skip
    axes.set_xlim(left - 0.14 * span, right + 0.34 * max(right - left, span))
    axes.set_ylim(low - 0.10 * span, max(high, at) + 0.08 * span)


def _told(value_m: float, design: Design) -> str:
    return size_text(value_m if abs(value_m) >= 5e-4 else 0.0, design.show)
