"""A plan in words for the terminal, and written into a folder."""

from __future__ import annotations

import datetime
import textwrap
from pathlib import Path
from typing import TYPE_CHECKING

from rimwright.bending.check_words import kept_in_words
from rimwright.desk.words import items, table, width
from rimwright.document import check_of, dump
from rimwright.errors import DesignError
from rimwright.files import write_all
from rimwright.plan import Plan
from rimwright.units import length_text, time_text

if TYPE_CHECKING:
    from rimwright.bending.odds_results import Odds

#: Longest date in words that the sheets have room for.
_DATE = 40
#: What to open first, with what is in it, for the files that are there.
_WORTH_OPENING = {
    "run-sheet.pdf": "for the shop wall: drawing, marks, recipe",
    "patterns.pdf": "full size, one sheet a pattern",
    "wood.pdf": "how the patterns lie on the boards",
    "labels.pdf": "for forms, sides and slats",
    "plan.json": "everything as data",
}


def plan_text(plan: Plan, odds: Odds | None = None) -> str:
    """What was assumed first, then the three things that matter most, odds, and the sides."""
    show = plan.design.show
    lines = [f"{plan.design.name}   plan {plan.code}", ""]
    if plan.assumed:
        lines += ["Assumed, because nobody said", *items(plan.assumed), ""]
    lines += ["What matters most", *items(plan.matters, "1."), ""]
    rows = [("Side", "to neck end", "board to cut", "thickness", "tightest", "of what it bears")]
    for side in plan.sides:
        check = check_of(plan.check, side)
        place = min(check.tight_places, key=lambda place: place.radius_m, default=None)
        used = "no wood named" if check.utilisation is None else f"{check.utilisation.max():.0%}"
        thickness = [
            length_text(float(value), show, fine=True)
            for value in sorted({round(float(t), 6) for t in check.thickness}, reverse=True)
        ]
        rows.append(
            (
                f"{side.rim.hand} {'return' if side.rim.name == 'return' else 'side'}",
                length_text(side.length_middle_m + side.neck_end_m, show),
                f"{length_text(side.blank.stock_length_m, show)} × "
                f"{length_text(side.blank.stock_width_m, show)}",
                thickness[0] if len(thickness) == 1 else f"{thickness[0]} to {thickness[-1]}",
                "-" if place is None else f"{place.name} {length_text(place.radius_m, show)}",
                used,
            )
        )
    margin = plan.design.margins.strain
    kept = [words for words in map(kept_in_words, plan.check.pieces) if words]
    heat = plan.recipe.warm_up
    lines += [
        *table(rows),
        "",
        *([f"How thick, at your margin of {margin:.0%}", *items(kept), ""] if kept else []),
        f"Heat: {plan.recipe.school}; at the target in about "
        f"{time_text(heat.to_target_s.middle)} ({time_text(heat.to_target_s.low)} to "
        f"{time_text(heat.to_target_s.high)}), held by about {heat.hold_fraction.middle:.0%} of "
        "the power.",
    ]
    if odds is not None:
        from rimwright.desk.odds_words import odds_line

        lines += ["", *textwrap.wrap(odds_line(odds), width())]
    return "\n".join(lines)


def _count(files: int) -> str:
    return "one file" if files == 1 else f"{files} files"


def write_plan(
    plan: Plan, folder: Path, *, sheets: bool = True, date_text: str | None = None
) -> str:
    """Write `plan.json`, and the sheets unless not wanted; say what to open.

    Raises
    ------
    OutputError
        If the folder or a file cannot be written; then none is.
    DesignError
        If the date cannot be printed.
    """
    if date_text is not None and not (date_text.isprintable() and 0 < len(date_text) <= _DATE):
        raise DesignError(
            "a date that is empty, long or unprintable",
            f"1 to {_DATE} plain characters",
            "write it such as 2026-11-25",
            where="--date",
        )
    files: list[tuple[str, bytes | str]] = [("plan.json", dump(plan.document))]
    if sheets:
        from rimwright.sheets.write import draw_sheets

        today = datetime.datetime.now().astimezone().date().isoformat()
        files += draw_sheets(plan, date_text=date_text or today)
    # All drawn before the first is written: what is refused leaves nothing behind.
    written = write_all(folder, files)
    names = {path.name for path in written}
    strays = sorted(
        str(path.relative_to(folder))
        for kind in ("dxf", "svg", "stl")
        for path in (folder / kind).glob(f"*.{kind}")
        if sheets and path not in written
    )
    lines = [f"Wrote {_count(len(written))} to {folder}. Open"]
    lines += items(f"{name}: {why}" for name, why in _WORTH_OPENING.items() if name in names)
    if strays:
        lines += ["", "Not of this plan, left from before (delete them, or plan into a new folder)"]
        lines += items(strays)
    return "\n".join(lines)
