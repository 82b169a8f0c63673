"""The plan as a document: what `plan.json` holds, and what later readers may rely on.

Plain dicts, lists, text and numbers; units in the names; no clock time and no path, so that
equal designs give equal documents. Later work adds keys and never changes a meaning.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Any

import numpy as np

from rimwright.bending.results import BendCheck, PieceCheck, Recipe
from rimwright.curves.piece import FloatArray
from rimwright.instrument.design import Design, Drawing
from rimwright.instrument.outline import Half, Outline, RimPiece
from rimwright.instrument.stations import features
from rimwright.sides.pattern import SidePattern, StripCut
from rimwright.tooling.parts import Part, Tooling

FORMAT = "rimwright-plan/1"
#: Numbers are kept to this many decimals: a nanometre, and the eighth digit of a strain.
_DECIMALS = 9
_POINT_STEP_M = 0.002


def plan_document(
    design: Design,
    *,
    outline: Outline,
    sides: tuple[SidePattern, ...],
    strips: tuple[StripCut, ...],
    check: BendCheck,
    tooling: Tooling,
    recipe: Recipe,
    assumed: tuple[str, ...],
) -> dict[str, Any]:
    """The whole plan as one plain dict, its `code` included."""
    document: dict[str, Any] = {
        "format": FORMAT,
        "name": design.name,
        "player": design.player,
        "show": design.show,
        "assumptions": list(assumed),
        "outline": _outline(outline),
        "sides": [_side(side, check_of(check, side), outline) for side in sides],
        "strips": [_plain(strip) for strip in strips],
        "loose_layers": [_plain(layer) for layer in check.layers],
        "tooling": {
            "parts": [_part(part) for part in tooling.parts],
            "rams": [_plain(ram) for ram in tooling.rams],
            "slats": [_plain(slat) for slat in tooling.slats],
            "warnings": list(tooling.warnings),
        },
        "recipe": _plain(recipe),
        "design": _design(design),
        "rests_on": list(check.rests_on),
    }
    document = _rounded(document)
    document["code"] = _code(design.name, document)
    return document


def document_with(document: dict[str, Any], key: str, value: Any) -> dict[str, Any]:
    """The document with one more thing in it; its code stays that of the plan."""
    return {**document, key: _rounded(value)}


def dump(document: dict[str, Any]) -> str:
    """The document as the text of `plan.json`."""
    return json.dumps(document, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def check_of(check: BendCheck, side: SidePattern) -> PieceCheck:
    """The bend check of that piece of side."""
    return next(
        piece
        for piece in check.pieces
        if (piece.hand, piece.piece) == (side.rim.hand, side.rim.name)
    )


def _code(name: str, document: dict[str, Any]) -> str:
    """Short name of exactly this plan."""
    text = json.dumps(document, ensure_ascii=False, allow_nan=False)
    digest = hashlib.sha256(text.encode()).hexdigest()
    letters = "".join(letter for letter in name.upper() if letter.isascii() and letter.isalnum())
    return f"{letters[:8] or 'PLAN'}-{digest[:6].upper()}"


def _outline(outline: Outline) -> dict[str, Any]:
    widths = _widths(outline)
    return {
        "length_m": outline.length_m,
        "width_lower_m": widths.get("lower bout"),
        "width_waist_m": widths.get("waist"),
        "width_upper_m": widths.get("upper bout"),
        "cutaway": {half.hand: half.cutaway for half in outline.halves},
        "noise_m": outline.noise_m,
        "findings": [_plain(finding) for finding in outline.findings],
        "points": {f"{piece.hand} {piece.name}": _points(piece) for piece in outline.pieces},
    }


def _points(piece: RimPiece) -> FloatArray:
    """Points on the outer line, evenly and at most two millimetres apart."""
    count = int(np.ceil(piece.length / _POINT_STEP_M)) + 1
    return piece.at(np.linspace(0.0, piece.length, count)).position


def _widths(outline: Outline) -> dict[str, float]:
    """Widths by bout: of both halves together, or twice the plain half where one is cut away."""
    plain = [half for half in outline.halves if half.cutaway == "none"] or [outline.bass]

    def of(half: Half) -> dict[str, float]:
        return {one.name: abs(one.y_m) for one in features(half)}

    measured = [of(half) for half in (plain * 2)[:2]]
    return {name: measured[0][name] + measured[1].get(name, 0.0) for name in measured[0]}


def _side(side: SidePattern, check: PieceCheck, outline: Outline) -> dict[str, Any]:
    convex = outline.smallest_radius(side.rim, convex=True)
    concave = outline.smallest_radius(side.rim, convex=False)
    middle = int(np.argmax(check.strain_middle))
    tension = int(np.argmax(check.strain_tension))
    return {
        "hand": side.rim.hand,
        "piece": side.rim.name,
        "length_outer_m": side.length_outer_m,
        "length_middle_m": side.length_middle_m,
        "length_inner_m": side.length_inner_m,
        "neck_end_m": side.neck_end_m,
        "neck_end": side.neck_end_words,
        "thickness_m": side.thickness_m,
        "blank": _plain(side.blank),
        "min_radius_convex_m": convex and convex.middle_m,
        "min_radius_convex_s_m": convex and convex.s_m,
        "min_radius_convex_range_m": convex and [convex.low_m, convex.high_m],
        "min_radius_concave_m": concave and concave.middle_m,
        "min_radius_concave_s_m": concave and concave.s_m,
        "min_radius_concave_range_m": concave and [concave.low_m, concave.high_m],
        "strain_middle_max": check.strain_middle[middle],
        "strain_middle_max_s_m": check.s_outer[middle],
        "strain_tension_max": check.strain_tension[tension],
        "strain_tension_max_s_m": check.s_outer[tension],
        "utilisation_max": None if check.utilisation is None else check.utilisation.max(),
        "capacity": check.capacity and _plain(check.capacity),
        "greatest_thickness_m": check.greatest_thickness_m,
        "greatest_thickness_elsewhere_m": check.greatest_thickness_elsewhere_m,
        "tight_places": [_plain(place) for place in check.tight_places],
        "zones": [_plain(zone) for zone in check.zones],
        "cupping": _plain(check.cupping),
        "marks": [_plain(mark) for mark in side.marks],
        "edge_top": side.edge_top[:, [0, 2]],
        "edge_back": side.edge_back[:, [0, 2]],
        "proud_m": side.proud_m,
        "mitre_rad": side.mitre_rad,
        "warnings": [*side.warnings, *check.warnings],
        "stations": {
            "s_outer_m": check.s_outer,
            "curvature_per_m": check.curvature,
            "thickness_m": check.thickness,
            "strain_middle": check.strain_middle,
            "strain_tension": check.strain_tension,
        },
    }


def _part(part: Part) -> dict[str, Any]:
    return {
        "name": part.name,
        "title": part.title,
        "depth_m": part.depth_m,
        "least_radius_m": part.least_radius_m,
        "notes": list(part.notes),
        "assumed": part.assumed,
        "stack_m": part.stack_m,
    }


def _design(design: Design) -> dict[str, Any]:
    """The design without paths and without what is repeated elsewhere."""
    plain = _plain(design)
    plain.pop("assumed")
    source = design.outline.source
    if isinstance(source, Drawing):
        plain["outline"]["source"]["path"] = None
    return dict(plain)


def _plain(value: Any) -> Any:
    """Dataclasses to dicts, tuples and arrays to lists; paths to their last name."""
    if is_dataclass(value) and not isinstance(value, type):
        return {one.name: _plain(getattr(value, one.name)) for one in fields(value)}
    if isinstance(value, dict):
        return {str(key): _plain(one) for key, one in value.items()}
    if isinstance(value, (tuple, list)):
        return [_plain(one) for one in value]
    if isinstance(value, Path):
        return value.name
    return value


def _rounded(value: Any) -> Any:
    """Every number to `_DECIMALS`, so that equal designs give equal text on any machine."""
    if isinstance(value, dict):
        return {key: _rounded(one) for key, one in value.items()}
    if isinstance(value, (list, tuple)):
        return [_rounded(one) for one in value]
    if isinstance(value, np.ndarray):
        return (np.round(value, _DECIMALS) + 0.0).tolist()
    if isinstance(value, (float, np.floating)):
        # Adding zero turns -0.0 into 0.0, which would print differently.
        return round(float(value), _DECIMALS) + 0.0
    if isinstance(value, np.integer):
        return int(value)
    return value
