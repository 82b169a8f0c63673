"""The form that allows for spring-back: in words, as data, written into a folder."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, cast, get_args

from rimwright.bending.compensation import Compensation, FormPiece
from rimwright.bending.compensation_places import Overbend
from rimwright.bending.compensation_words import bound_words, piece_name
from rimwright.bending.parameters import DEFAULT, BendParameters
from rimwright.bending.release import Gap
from rimwright.bending.virtual_bend import BendRun
from rimwright.desk.words import items, table
from rimwright.document import dump
from rimwright.errors import DesignError
from rimwright.files import write_all
from rimwright.instrument.design import Design, FormShape
from rimwright.plan import Plan, make_plan
from rimwright.sources import Sourced
from rimwright.units import length_text

FORMAT = "rimwright-form/1"
#: Of a length: a tenth of a micrometre.
_DIGITS = 7


@dataclass(frozen=True, kw_only=True)
class Formed:
    """A plan with compensated forms, and what the forms as drawn would have done."""

    plan: Plan
    forms: Compensation
    #: In the order of the forms' pieces.
    plain: tuple[BendRun, ...]


def with_form(design: Design, form: str | None) -> Design:
    """The design with the form asked for; as it says itself if None.

    Raises
    ------
    DesignError
        For a form that is neither "as drawn" nor "compensated".
    """
    if form is None:
        return design
    known = get_args(FormShape)
    if form not in known:
        raise DesignError(
            f"a form '{form[:40]}'", " or ".join(f'"{one}"' for one in known),
            "write one of them", where="--form",
        )  # fmt: skip
    return replace(design, form=cast(FormShape, form))


def form_design(design: Design, parameters: BendParameters = DEFAULT) -> Formed:
    """Plan a design with forms bent past the outline.

    Raises
    ------
    RimwrightError
        Whatever plan, heat or form refuses, in one line.
    """
    plan = make_plan(replace(design, form="compensated"), parameters)
    forms = plan.compensation
    if forms is None:  # asked for two lines above
        raise AssertionError
    plain = tuple(piece.job.bend() for piece in forms.pieces)
    return Formed(plan=plan, forms=forms, plain=plain)


def form_text(formed: Formed) -> str:
    """Where a bound acts first, then place by place how far to overbend and what is left."""
    design = formed.plan.design
    show = design.show
    lines = [f"{design.name}   compensated form, plan {formed.plan.code}", ""]
    stopped = bound_words(formed.forms, show)
    if stopped:
        lines += ["A bound acts", *items(stopped), ""]
    for piece, plain in zip(formed.forms.pieces, formed.plain, strict=True):
        start = "tail seam" if piece.rim.name == "main" else "horn tip"
        rows: list[tuple[str, ...]] = [
            ("Form's own radius", "as drawn", "bend it to", "deeper by", "over")
        ]
        rows += [_row(one, show) for one in piece.overbends]
        lines += [piece_name(piece).capitalize(), *table(rows), ""]
        left = [("Gap to the mould", "form as drawn", "this form", "range")]
        left += [
            (
                after.name,
                _signed(before.gap_m.middle, show),
                _signed(after.gap_m.middle, show),
                f"{_signed(after.gap_m.low, show)} to {_signed(after.gap_m.high, show)}",
            )
            for before, after in zip(plain.gaps, piece.run.gaps, strict=True)
        ]
        lines += [*table(left), f"  let go and laid on the mould at its {start}", ""]
    lines += ["How to read it", *items(_reading(formed))]
    return "\n".join(lines)


def _reading(formed: Formed) -> Iterator[str]:
    wood = formed.plan.design.sides.wood
    yield (
        "cut new forms and rams (-o), or shim the ones you have: the shim under the middle of a "
        "bend is as thick as the bend is to be deeper, and runs out to nothing at both ends of "
        "the stretch"
    )
    yield (
        f"the middle is for {wood} as the records and sources have it; the ranges are those of "
        "the wood's behaviour. Bend one scrap or one side, measure the gap, and trust that before "
        "the range"
    )
    moved = ", ".join(
        f"{name} ({share:.0%})" for name, share in formed.forms.pieces[0].run.moved_by[:3]
    )
    yield f"the range comes mostly from {moved}"


def _row(one: Overbend, show: Any) -> tuple[str, ...]:
    radius, depth = one.form_radius_m, one.overbend_m

    def fine(value: float) -> str:
        return length_text(max(value, 0.0), show, fine=True)

    return (
        one.name,
        length_text(one.form_drawn_radius_m, show),
        f"{length_text(radius.middle, show)} ({length_text(radius.low, show)} to "
        f"{length_text(radius.high, show)})",
        f"{fine(depth.middle)} ({fine(depth.low)} to {fine(depth.high)})",
        length_text(one.over_m, show),
    )


def _signed(value_m: float, show: Any) -> str:
    size = length_text(abs(value_m) if abs(value_m) >= 5e-5 else 0.0, show)
    return f"-{size}" if value_m <= -5e-5 else size


def form_document(formed: Formed) -> dict[str, Any]:
    """All of it as plain values in SI: what `form.json` holds."""
    return {
        "format": FORMAT,
        "name": formed.plan.design.name,
        "plan": formed.plan.code,
        "bounds": list(bound_words(formed.forms, formed.plan.design.show)),
        "pieces": [
            _piece(piece, plain)
            for piece, plain in zip(formed.forms.pieces, formed.plain, strict=True)
        ],
        "rests_on": list(formed.forms.pieces[0].run.rests_on),
    }


def _piece(form: FormPiece, plain: BendRun) -> dict[str, Any]:
    used = form.run.danger.utilisation
    return {
        "hand": form.rim.hand,
        "piece": form.rim.name,
        "left_m": round(form.left_m, _DIGITS),
        "utilisation": None if used is None else _ranged(used),
        "overbend": [
            {
                "name": one.name,
                "s_outer_m": round(one.s_outer_m, _DIGITS),
                "convex": one.convex,
                "drawn_radius_m": round(one.drawn_radius_m, _DIGITS),
                "radius_m": _ranged(one.radius_m),
                "form_drawn_radius_m": round(one.form_drawn_radius_m, _DIGITS),
                "form_radius_m": _ranged(one.form_radius_m),
                "overbend_m": _ranged(one.overbend_m),
                "over_m": round(one.over_m, _DIGITS),
            }
            for one in form.overbends
        ],
        "bounds": [
            {
                "kind": one.limit.kind,
                "words": one.limit.words,
                "remedy": one.limit.remedy,
                "place": one.place,
                "from_m": round(one.from_m, _DIGITS),
                "to_m": round(one.to_m, _DIGITS),
            }
            for one in form.bounds
        ],
        "left": [_gap(gap) for gap in form.run.gaps],
        "left_a_week_later": [_gap(gap) for gap in form.run.gaps_later],
        "left_by_form_as_drawn": [_gap(gap) for gap in plain.gaps],
        "stations": {
            "s_outer_m": _numbers(form.run.piece.s),
            "s_form_m": _numbers(form.s_form),
            "inside_curvature_per_m": _numbers(form.inside_curvature),
            "released_curvature_per_m": _numbers(form.run.released_curvature),
            "line_m": [_numbers(point) for point in form.rim.at(form.s_form).position],
            "released_line_m": [_numbers(point) for point in form.run.released_line],
        },
    }


def _gap(gap: Gap) -> dict[str, Any]:
    return {
        "name": gap.name,
        "s_outer_m": round(gap.s_outer_m, _DIGITS),
        "gap_m": _ranged(gap.gap_m),
        "away_m": _ranged(gap.away_m),
    }


def _ranged(value: Sourced) -> dict[str, float]:
    return {name: round(getattr(value, name), _DIGITS) + 0.0 for name in ("middle", "low", "high")}


def _numbers(values: Any) -> list[float]:
    return [round(float(value), _DIGITS) + 0.0 for value in values]


def write_form(formed: Formed, folder: Path) -> str:
    """Write `form.json`, plots, and the parts as DXF, SVG and PDF; say what to open.

    Raises
    ------
    OutputError
        If the folder or a file cannot be written, or the plots' library is not there.
    """
    from rimwright.sheets.form_sheets import form_plot, form_sheets

    plan = formed.plan
    today = datetime.datetime.now().astimezone().date().isoformat()
    files: list[tuple[str, bytes | str]] = [("form.json", dump(form_document(formed)))]
    for piece, plain in zip(formed.forms.pieces, formed.plain, strict=True):
        tag = piece.rim.hand + ("-return" if piece.rim.name == "return" else "")
        files.append((f"form-released-{tag}.png", form_plot(piece, plain, plan.design)))
    files += form_sheets(plan, today)
    written = write_all(folder, files)
    return "\n".join(
        [
            f"Wrote {len(written)} files to {folder}. Open",
            *items(
                (
                    "form.pdf: forms, rams and cauls full size, one sheet each",
                    "form-released-*.png: the side let go, on the mould",
                    "dxf, svg: the same parts for the machine",
                )
            ),
        ]
    )
