"""Which half is bass and which treble, by what the maker, the drawing or the cutaway says."""

from __future__ import annotations

from typing import Literal

from rimwright.instrument.design import Drawing
from rimwright.instrument.outline import View

Side = Literal["above", "below"]
_OTHER: dict[Side, Side] = {"above": "below", "below": "above"}


def treble_seen(seen_from: View, player: Literal["right", "left"]) -> Side:
    """Where the treble lies with the neck to the right.

    Seen from the face of a right-handed instrument the treble side is below.

    >>> treble_seen("face", "right"), treble_seen("back", "right"), treble_seen("face", "left")
    ('below', 'above', 'above')
    """
    return "below" if (seen_from == "face") == (player == "right") else "above"


def treble_side(
    *,
    cutaway: Side | None,
    labelled: Side | None,
    alike: bool,
    drawing: Drawing,
    seen_from: View | None,
    player: Literal["right", "left"],
) -> tuple[Side, list[str]]:
    """The side of the drawing that is the treble, and what was assumed to say so.

    Parameters
    ----------
    cutaway : str or None
        Where the only cutaway lies with the neck to the right.
    labelled : str or None
        Where the half lies that the drawing calls treble (or opposite the one called bass).
    alike : bool
        Whether both halves are the same, so that nothing depends on the answer.
    """
    by_view = treble_seen(seen_from, player) if seen_from else None

    def view(side: Side) -> View:
        return "face" if treble_seen("face", player) == side else "back"

    if cutaway and drawing.cutaway_side:
        side = cutaway if drawing.cutaway_side == "treble" else _OTHER[cutaway]
        reason = f"the cutaway is on the {drawing.cutaway_side} side, as told"
    elif labelled:
        side, reason = labelled, "the drawing names its bass or treble side"
    elif cutaway:
        side, reason = cutaway, "the cutaway was taken as the treble side"
    elif by_view:
        return by_view, []
    else:
        side = treble_seen("face", player)
        if alike:
            return side, []
        return side, [
            "the halves differ and no side is named: the plan was taken as seen from the face"
        ]
    if by_view is None:
        return side, [f"{reason}; so the plan is seen from the {view(side)}"]
    if by_view != side:
        return side, [
            f"{reason}, though a plan seen from the {seen_from} has the treble side "
            f"{by_view} when the neck points right and here it lies {side}; so this plan must be "
            f"seen from the {view(side)}, or name the cutaway's side"
        ]
    return side, []
