"""How one flat pattern lies on the sheet: stations and heights to millimetres."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from rimwright.curves.piece import FloatArray
from rimwright.sheets.drawing import FINE, OUTLINE, PROUD, Path, Pen, Point, Shape, polygon
from rimwright.sheets.views import top_edge_down

if TYPE_CHECKING:
    from rimwright.plan import Plan
    from rimwright.sides.pattern import SidePattern


#: Cosine of the rim's last heading below which it meets the centreline squarely.
_SQUARE = 0.05


class Lay:
    """One pattern laid out on the middle line, outside face towards you, tail left."""

    def __init__(self, pattern: SidePattern, plan: Plan) -> None:
        self.pattern = pattern
        self.top_down = top_edge_down(plan.design, pattern.rim.hand)
        #: Ends of the piece, and with what is trimmed later, on the middle line. [m]
        self.end = pattern.length_middle_m + pattern.neck_end_m
        self.first = -pattern.blank.trim_tail_m
        self.last = self.end + pattern.blank.trim_neck_m
        self.top = self._carried_on(pattern.edge_top)
        self.back = self._carried_on(pattern.edge_back)
        #: The turn of the pattern on its board, as seen on the sheet. [rad]
        self.turn = pattern.blank.angle_rad * (1.0 if self.top_down else -1.0)

    def _carried_on(self, edge: FloatArray) -> FloatArray:
        """An edge as (s, z), carried on over the block where the neck end adds to it.

        A rim that meets the centreline squarely goes on as it came, mirrored; one that ends
        at the block's flank is drawn on level, for what is added there is trimmed.
        """
        rows, end = edge[:, 1:], float(edge[-1, 1])
        square = abs(np.cos(self.pattern.rim.chain.end().heading[0])) < _SQUARE
        if self.end <= end or not square:
            return np.asarray(rows)
        mirrored = rows[::-1] * [-1.0, 1.0] + [2.0 * end, 0.0]
        return np.vstack([rows, mirrored[1:]])

    @property
    def end_words(self) -> tuple[str, str]:
        """What the left and the right end are: TAIL, NECK, or the TIP of a pointed horn."""
        pointed = self.pattern.mitre_rad is not None
        name = self.pattern.rim.name
        return (
            "TIP" if name == "return" else "TAIL",
            "TIP" if pointed and name == "main" else "NECK",
        )

    def at(self, s: float, z: float) -> Point:
        """A place on the wood on the sheet. [mm]"""
        return 1e3 * s, 1e3 * (z if self.top_down else -z)

    def height(self, s: float) -> tuple[float, float]:
        """z of top's and back's edge at a station. [m]"""
        top, back = self.top, self.back
        return (
            float(np.interp(s, top[:, 0], top[:, 1])),
            float(np.interp(s, back[:, 0], back[:, 1])),
        )

    def span(self, s: float) -> tuple[float, float]:
        """Lower and upper edge at a station on the sheet. [mm]"""
        low, high = sorted(self.at(s, z)[1] for z in self.height(s))
        return low, high

    def loop(self, top: FloatArray, back: FloatArray, first: float, last: float, pen: Pen) -> Path:
        """The closed line of two edges (s, z) between two stations, level beyond their ends."""
        points = self._stretch(top, first, last) + self._stretch(back, first, last)[::-1]
        return polygon(points, pen)

    def _stretch(self, edge: FloatArray, first: float, last: float) -> list[Point]:
        s, z = edge[:, 0], edge[:, 1]
        inner = (s > first + 1e-9) & (s < last - 1e-9)
        ends = np.interp([first, last], s, z).tolist()
        kept = edge[inner].tolist()
        return [self.at(*row) for row in [(first, ends[0]), *kept, (last, ends[1])]]

    def finished(self) -> Path:
        """The finished side, from the tail seam to where it ends at the neck."""
        return self.loop(self.top, self.back, 0.0, self.end, OUTLINE)

    def proud(self) -> Path:
        """The proud line with both trims: what is cut by those who profile first."""
        top = self._carried_on(self.pattern.edge_top_proud)
        back = self._carried_on(self.pattern.edge_back_proud)
        return self.loop(top, back, self.first, self.last, PROUD)

    def board(self) -> Path:
        """The board to saw, turned as the pattern lies on it, the proud line in its middle."""
        blank = self.pattern.blank
        c, s = np.cos(self.turn), np.sin(self.turn)
        turn = np.array([[c, -s], [s, c]])
        rows = np.array(self.proud().points) @ turn.T
        middle = 0.5 * (rows.min(axis=0) + rows.max(axis=0))
        half = 500.0 * np.array([blank.stock_length_m, blank.stock_width_m])
        corners = (middle + half * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])) @ turn
        return polygon([(float(x), float(y)) for x, y in corners], FINE)

    def shapes(self) -> list[Shape]:
        """Board, proud line and finished side."""
        return [self.board(), self.proud(), self.finished()]
