"""What a compensated form does and does not do, in words."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from rimwright.bending.compensation import Compensation, FormPiece
from rimwright.instrument.design import Design
from rimwright.units import length_text

#: Less than this left to close is not worth a word. [m]
_TOLD_M = 0.0002


def piece_name(piece: FormPiece) -> str:
    """ "bass side" or "treble return"."""
    return f"{piece.rim.hand} {'return' if piece.rim.name == 'return' else 'side'}"


def form_words(forms: Compensation, design: Design) -> tuple[str, ...]:
    """What a plan must say of its compensated forms."""
    return (
        "Form, rams and cauls are bent past the outline for the spring-back of "
        f"{design.sides.wood}: do not mix them with parts drawn to the outline.",
        *bound_words(forms, design.show),
    )


def bound_words(forms: Compensation, show: Literal["metric", "inch"]) -> tuple[str, ...]:
    """One sentence for each stretch that stops a form, with what is left."""
    return tuple(words for piece in forms.pieces for words in _bounds(piece, show))


def _bounds(piece: FormPiece, show: Literal["metric", "inch"]) -> Iterator[str]:
    start = "tail seam" if piece.rim.name == "main" else "horn tip"
    left = left_words(piece, show)
    for one in piece.bounds:
        stretch = f"{length_text(one.from_m, show)} to {length_text(one.to_m, show)}"
        yield (
            f"Form, {piece_name(piece)}: {one.limit.words} stops it at the {one.place} "
            f"({stretch} from the {start}); {left}. To go on: {one.limit.remedy}."
        )


def left_words(piece: FormPiece, show: Literal["metric", "inch"]) -> str:
    """How far the released side then lies from the mould, at the middle of everything."""
    if piece.left_m < _TOLD_M:
        return "the side comes off on the mould all the same"
    last = piece.run.gaps[-1]
    return (
        f"up to {length_text(piece.left_m, show, fine=True)} is left between released side and "
        f"mould, {length_text(last.away_m.middle, show, fine=True)} at the {last.name}"
    )
