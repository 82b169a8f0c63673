"""Labels to cut out: which form, which side, which slats; with a code to scan."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from rimwright.sheets.dimension import BODY
from rimwright.sheets.drawing import FINE, Drawing, Shape, Text, rectangle
from rimwright.sheets.fonts import fitting
from rimwright.sheets.paper import MARGIN, SIZES, code_to_scan
from rimwright.sheets.pdf import Page, Placed

if TYPE_CHECKING:
    from rimwright.plan import Plan

_WIDE, _HIGH, _CODE = 95.0, 54.0, 34.0


@dataclass(frozen=True, slots=True)
class Label:
    """One label: what it is stuck on, in large words and in a code."""

    kind: Literal["form", "side", "slats"]
    #: The piece of side it goes with.
    hand: str
    piece: str
    assumed: bool = False


def plan_labels(plan: Plan) -> list[Label]:
    """A label for each form, each piece of side and each piece's slats."""
    labels = []
    for part in plan.tooling.parts:
        if part.name.startswith("form"):
            hand = "bass" if "bass" in part.name else "treble"
            piece = "return" if "return" in part.name else "main"
            labels.append(Label("form", hand, piece, part.assumed))
    for pattern in plan.sides:
        labels.append(Label("side", pattern.rim.hand, pattern.rim.name))
    for hand, piece in dict.fromkeys((slat.hand, slat.piece) for slat in plan.tooling.slats):
        labels.append(Label("slats", hand, piece))
    return labels


def label_code(plan: Plan, label: Label) -> str:
    """What the code says: plan, model, what it is on, side, piece and the player's hand.

    Kept to plain text without an address, so that it means the same in ten years.
    """
    design = plan.design
    fields = {
        "model": design.name,
        "kind": label.kind,
        "side": label.hand,
        "piece": label.piece,
        "player": design.player,
    }
    return f"rimwright:label;{plan.code};" + ";".join(f"{k}={v}" for k, v in fields.items())


def label_pages(plan: Plan, paper: Literal["a4", "letter"], date_text: str) -> list[Page]:
    """The labels, two across, as many pages as they need."""
    wide, high = SIZES[paper]
    left = 0.5 * (wide - 2 * _WIDE)
    rows = int((high - 2 * MARGIN) // _HIGH)
    labels = plan_labels(plan)
    pages = []
    for first in range(0, len(labels), 2 * rows):
        shapes: list[Shape] = []
        for i, label in enumerate(labels[first : first + 2 * rows]):
            x, y = left + (i % 2) * _WIDE, high - MARGIN - (i // 2 + 1) * _HIGH
            shapes += [shape.moved(x, y) for shape in _card(plan, label, date_text)]
        drawing = Drawing(f"{plan.design.name}, labels", tuple(shapes))
        pages.append(Page(wide, high, (Placed(drawing),), drawing.title))
    return pages


def _card(plan: Plan, label: Label, date_text: str) -> list[Shape]:
    """One card with its lower left corner at the origin."""
    shapes: list[Shape] = [rectangle(0.0, 0.0, _WIDE, _HIGH, FINE)]
    shapes += code_to_scan(label_code(plan, label), _WIDE - _CODE - 2.0, 2.0, _CODE)
    room = _WIDE - 8.0
    side = f"{label.hand} return" if label.piece == "return" else label.hand
    big = f"{label.kind.upper()} · {side}"
    size = fitting(big, 8.0, room, bold=True)
    shapes.append(Text((4.0, _HIGH - 13.0), big, size, bold=True))
    hand = "left-handed" if plan.design.player == "left" else "right-handed"
    rows = [hand, plan.code, *([date_text] if date_text else [])]
    if label.assumed:
        rows.append("ASSUMED stack")
    model = plan.design.name
    size = fitting(model, 6.0, room - _CODE, bold=True)
    shapes.append(Text((4.0, _HIGH - 24.0), model, size, bold=True))
    shapes += [Text((4.0, 17.0 - 4.6 * i), w, BODY, bold=i == 0) for i, w in enumerate(rows)]
    return shapes
