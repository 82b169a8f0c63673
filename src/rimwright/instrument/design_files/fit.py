"""What of a design cannot be on the outline it is for; known only once that is drawn."""

from __future__ import annotations

from rimwright.errors import DesignError
from rimwright.instrument.design import Design
from rimwright.instrument.outline import Half, Outline
from rimwright.instrument.stations import features
from rimwright.units import length_text


def refuse_misfits(design: Design, outline: Outline) -> None:
    """Stop at a thinned zone off the side, or a block wider than the body.

    Raises
    ------
    DesignError
        Naming the key.
    """
    for number, zone in enumerate(design.sides.thinned, 1):
        for half in outline.halves:
            long = sum(piece.length for piece in half.pieces)
            # The wood runs on past the drawn half: over the block, and for the trim.
            past = design.ends.neck_block_width_m + design.ends.trim_neck_m
            if zone.hand in (half.hand, "both") and not (
                zone.from_m < long and zone.to_m <= long + past
            ):
                raise DesignError(
                    f"a zone from {length_text(zone.from_m, design.show)} to "
                    f"{length_text(zone.to_m, design.show)}",
                    f"one on the {half.hand} side, {length_text(long, design.show)} long",
                    "measure both from the tail seam along the outside",
                    where=f"sides.thinned[{number}]",
                )
    ends = design.ends
    for key, width, name in (
        ("ends.neck_block_width", ends.neck_block_width_m, "upper bout"),
        ("ends.tail_block_width", ends.tail_block_width_m, "lower bout"),
    ):
        room = min(_half_width(half, name) for half in outline.halves)
        if width > 2.0 * room:
            raise DesignError(
                f"a block {length_text(width, design.show)} wide",
                f"narrower than the {name}, {length_text(2.0 * room, design.show)}",
                "check the block's width",
                where=key,
            )


def _half_width(half: Half, name: str) -> float:
    """Of that bout, or of whichever bout the half has. [m]"""
    widest = {one.name: abs(one.y_m) for one in features(half) if one.kind == "widest"}
    return widest.get(name, max(widest.values(), default=float("inf")))
