"""Where many sides crack, and how far they stand off the mould."""

from __future__ import annotations

import numpy as np

from rimwright.bending.odds_case import PieceCase
from rimwright.bending.release import gaps_at, released_outline
from rimwright.curves.piece import FloatArray

#: Cracks within this of each other are at one place. [m]
_ONE_PLACE_M = 0.030
_TOLD_PLACES = 3
#: Sides whose released lines are laid out at once, so that many need no more memory.
_AT_ONCE = 512


def gaps_of(piece: PieceCase, released: FloatArray) -> FloatArray:
    """Gap square to the mould of every side at every place, shape (sides, places). [m]"""
    found = []
    for first in range(0, released.shape[0], _AT_ONCE):
        lines = released_outline(
            piece.rim,
            piece.s,
            thickness_m=piece.bent.thickness,
            middle_curvature=released[first : first + _AT_ONCE],
        )
        found.append(gaps_at(piece.rim, piece.s, lines, piece.places)[0])
    return np.concatenate(found)


def crack_places(s: FloatArray, used: FloatArray, chances: FloatArray) -> list[tuple[float, float]]:
    """Where the cracks are, the most first: station and share of all cracks of the piece."""
    weights = np.zeros(s.size)
    np.add.at(weights, used.argmax(axis=1), chances)
    left = weights / max(float(weights.sum()), 1e-300)
    found: list[tuple[float, float]] = []
    while len(found) < _TOLD_PLACES and left.max() > 0.02:
        at = int(left.argmax())
        here = np.abs(s - s[at]) <= _ONE_PLACE_M
        found.append((float(s[at]), float(left[here].sum())))
        left = np.where(here, 0.0, left)
    return sorted(found, key=lambda one: -one[1])
