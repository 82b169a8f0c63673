"""Every sheet of a plan into one folder."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from rimwright.files import write_all
from rimwright.sheets.drawing import Drawing
from rimwright.sheets.dxf import dxf_text
from rimwright.sheets.flat import piece_words, side_drawing, side_notes
from rimwright.sheets.labels import label_pages
from rimwright.sheets.mesh import stl_bytes
from rimwright.sheets.paper import heading
from rimwright.sheets.part import assumed_words, part_drawing, part_notes
from rimwright.sheets.pdf import pdf_bytes
from rimwright.sheets.run_sheet import run_sheet_pages
from rimwright.sheets.strip import strip_drawing
from rimwright.sheets.svg import svg_text
from rimwright.sheets.tiles import Subject, one_sheet_pages, tiled_pages
from rimwright.sheets.wood_sheet import wood_pages

if TYPE_CHECKING:
    from rimwright.plan import Plan

Paper = Literal["a4", "letter"]


def write_sheets(
    plan: Plan, folder: Path, *, date_text: str = "", paper: Paper | None = None
) -> tuple[Path, ...]:
    """Write the drawings, the pages and the solids of a plan.

    Parameters
    ----------
    plan : Plan
        What to draw.
    folder : Path
        Made if it is not there.
    date_text : str, default ""
        What the pages give as the date; a plan itself knows no clock.
    paper : str, optional
        "a4" or "letter" for everything that goes through an office printer; by default the
        one that goes with the maker's units.

    Returns
    -------
    tuple of Path
        The files, in the order in which a maker wants them.

    Raises
    ------
    OutputError
        If a file cannot be written.
    GeometryError
        If a ram or caul bounds no solid; then nothing is written.
    """
    return write_all(folder, draw_sheets(plan, date_text=date_text, paper=paper))


def draw_sheets(
    plan: Plan, *, date_text: str = "", paper: Paper | None = None
) -> list[tuple[str, bytes | str]]:
    """Name and content of every file, all drawn, so that a refusal comes before any writing."""
    chosen: Paper = paper or ("a4" if plan.design.show == "metric" else "letter")
    return list(sheets(plan, chosen, date_text))


def sheets(plan: Plan, paper: Paper, date_text: str) -> Iterator[tuple[str, bytes | str]]:
    """Name and content of every file, one after the other."""
    design = plan.design
    subjects = _subjects(plan, date_text)
    name = design.name
    pages = run_sheet_pages(plan, paper, date_text)
    yield "run-sheet.pdf", pdf_bytes(pages, f"{name}, run sheet")
    yield "patterns.pdf", pdf_bytes(one_sheet_pages(subjects, design.show), f"{name}, patterns")
    tiled = tiled_pages(subjects, design.show, paper)
    yield f"patterns-{paper}.pdf", pdf_bytes(tiled, f"{name}, patterns in tiles")
    yield "wood.pdf", pdf_bytes(wood_pages(plan, paper, date_text), f"{name}, wood to cut")
    yield "labels.pdf", pdf_bytes(label_pages(plan, paper, date_text), f"{name}, labels")
    for stem, drawing in part_files(plan):
        yield f"dxf/{stem}.dxf", dxf_text(drawing, design.show)
        yield f"svg/{stem}.svg", svg_text(drawing)
    for part in plan.tooling.parts:
        if part.name.startswith(("ram", "caul")):
            yield f"stl/{part.name}.stl", stl_bytes(part, design)


def part_files(plan: Plan) -> Iterator[tuple[str, Drawing]]:
    """File-safe name and drawing of everything that a machine may cut."""
    for pattern in plan.sides:
        tail = "" if pattern.rim.name == "main" else "-return"
        yield f"side-{pattern.rim.hand}{tail}", side_drawing(plan, pattern)
    for part in plan.tooling.parts:
        yield part.name, part_drawing(plan, part)


def _subjects(plan: Plan, date_text: str) -> list[Subject]:
    """The full-size patterns: sides, paper strips, then the tooling."""
    subjects = []
    for pattern in plan.sides:
        words = piece_words(pattern, plan)
        block = heading(plan, words, side_notes(plan, pattern), date_text)
        subjects.append(Subject(side_drawing(plan, pattern, titled=False), block))
    for pattern in plan.sides:
        notes = [
            "Upper edge on the flat wood, lower edge in the mould.",
            "Cut out along the frame.",
        ]
        block = heading(plan, f"paper strip, {piece_words(pattern, plan)}", notes, date_text)
        subjects.append(Subject(strip_drawing(plan, pattern), block))
    for part in plan.tooling.parts:
        warning = assumed_words(plan, part)
        block = heading(plan, part.title, part_notes(plan, part), date_text, warning=warning)
        subjects.append(Subject(part_drawing(plan, part, titled=False), block))
    return subjects
