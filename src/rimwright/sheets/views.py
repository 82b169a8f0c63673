"""Where the body lies on the sheet: the one place that turns body coordinates into a drawing.

Tail left, neck right, always. Seen from the face the bass side of a right-handed player's
instrument is up and the treble side down; a left-handed player's is the mirror image, and
a plan seen from the back mirrors once more.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.curves.piece import FloatArray
from rimwright.instrument.design import Design
from rimwright.instrument.outline import Hand, View
from rimwright.sheets.drawing import Path, Pen, Point

#: How far a chord may stray where a curve is no arc. [m]
_CHORD = 4e-6
#: An arc is cut in parts that turn no further. [rad]
_LONGEST_TURN = 2.5


@dataclass(frozen=True, slots=True)
class BodyView:
    """Body coordinates in metres to a sheet in millimetres."""

    treble_up: bool
    seen_from: View
    #: Drawn size over true size.
    scale: float = 1.0

    @property
    def words(self) -> str:
        """What every plan view must say."""
        return f"seen from the {self.seen_from}"

    @property
    def flip(self) -> float:
        """Sign of the sheet's y for the body's y."""
        return 1.0 if self.treble_up else -1.0

    def up(self, hand: Hand) -> bool:
        """Whether that side is the upper one on the sheet."""
        return (hand == "treble") == self.treble_up

    def points(self, points_m: FloatArray) -> list[Point]:
        """Points of shape (n, 2) on the sheet. [mm]"""
        factor = 1e3 * self.scale
        return [(factor * x, factor * self.flip * y) for x, y in np.asarray(points_m).tolist()]

    def path(
        self,
        chain: Chain,
        pen: Pen,
        *,
        closed: bool = False,
        fill: Literal["none", "black"] = "none",
    ) -> Path:
        """A chain as strokes: arcs exact, other curves within 0.004 mm at full size."""
        rows: list[FloatArray] = []
        bulges: list[float] = []
        for piece in chain.pieces:
            if isinstance(piece, Arc):
                parts = max(1, int(np.ceil(abs(piece.turn) / _LONGEST_TURN)))
                stations = np.linspace(0.0, piece.length, parts + 1)
                points = piece.at(stations).position
                bulge = self.flip * float(np.tan(piece.turn / parts / 4.0))
                bulge = bulge if abs(bulge) > 1e-12 else 0.0
            else:
                points, bulge = Chain((piece,)).points(_CHORD), 0.0
            rows.append(points[:-1])
            bulges += [bulge] * (len(points) - 1)
        if not closed:
            rows.append(chain.end().position)
            bulges.append(0.0)
        curved = tuple(bulges) if any(bulges) else ()
        return Path(tuple(self.points(np.vstack(rows))), pen, curved, closed=closed, fill=fill)


def body_view(design: Design, scale: float = 1.0) -> BodyView:
    """How this design's plan views lie: the player's hand and the side it is seen from."""
    seen_from = design.outline.seen_from or "face"
    treble_up = (design.player == "left") != (seen_from == "back")
    return BodyView(treble_up, seen_from, scale)


def top_edge_down(design: Design, hand: Hand) -> bool:
    """Whether a flat pattern shows its top edge at the bottom.

    The patterns lie as if the sides were folded flat outwards from the top plate, seen
    from the face: every outside face looks up, tail left, and the two are mirrored.
    """
    return (hand == "bass") == (design.player == "right")
