"""The compensated form on paper, for the machine, and as a plot of what it does."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from rimwright.bending.compensation import FormPiece
from rimwright.bending.virtual_bend import BendRun
from rimwright.curves.piece import FloatArray
from rimwright.instrument.design import Design
from rimwright.sheets.bend_plots import (
    HAIR,
    INK,
    PAPER,
    SECOND,
    SLATE,
    WALNUT,
    _figure,
    _length,
    _png,
    _size,
    _title,
)
from rimwright.sheets.dxf import dxf_text
from rimwright.sheets.paper import heading
from rimwright.sheets.part import assumed_words, part_drawing, part_notes
from rimwright.sheets.pdf import pdf_bytes
from rimwright.sheets.svg import svg_text
from rimwright.sheets.tiles import Subject, one_sheet_pages, tiled_pages

if TYPE_CHECKING:
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
    figure, (axes,) = _figure(8.0, 5.4, (1.0,))
    per_m, unit = _length(design)

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
        axes.annotate(f"{after.name} {_size(before.gap_m.middle, design)}",
                      (float(x[1]), float(y[1])), xytext=(6, 6), fontsize=8, color=SECOND,
                      textcoords="offset points",
                      bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.5})  # fmt: skip
    labels = (
        (plain.released_line, 0.30, "let go from the form as drawn", WALNUT),
        (on_form, 0.60, "on this form", SECOND),
        (mould, 0.16, "mould, and let go from this form", SLATE),
    )
    sign = 1.0 if run.piece.rim.hand == "bass" else -1.0
    for line, share, label, colour in labels:
        x, y = flat(line)
        i = int(share * (run.piece.s.size - 1))
        # Outside the lines: from the free line, inside from the one on the form.
        up = sign * (14 if line is plain.released_line else -16)
        axes.annotate(label, (float(x[i]), float(y[i])), xytext=(0, up), fontsize=9, ha="center",
                      va="center", textcoords="offset points", color=colour,
                      bbox={"facecolor": PAPER, "edgecolor": "none", "pad": 0.5})  # fmt: skip
    axes.set_aspect("equal")
    axes.margins(0.12)
    axes.set_xlabel(f"from the tail seam along the centreline [{unit}]", color=INK)
    axes.set_ylabel(f"from the centreline [{unit}]", color=INK)
    gap = run.gaps[-1]
    low, high = (_size(end, design) for end in (gap.gap_m.low, gap.gap_m.high))
    axes.set_title(
        f"{_title(run, design)}: form bent past the outline; laid on at its start, seen from the "
        f"face\ngap at the {gap.name} {_size(gap.gap_m.middle, design)}, range {low} to {high}",
        fontsize=11, color=INK, loc="left",
    )  # fmt: skip
    return _png(figure)
