"""The odds of one instrument, as values."""

from __future__ import annotations

from dataclasses import dataclass, fields, is_dataclass
from typing import Any

import numpy as np

from rimwright.curves.piece import FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Chance:
    """A chance, how surely it is computed, and how far what is not known moves it."""

    #: Mean over everything that varies and is not known.
    middle: float
    #: 95 % confidence interval of that mean: what more samples would narrow.
    confidence_low: float
    confidence_high: float
    #: Nine in ten readings of what is not known give a chance between these.
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Counted:
    """Sides counted as cracked, each with a capacity of its own drawn: a check on the mean."""

    cracked: int
    of: int
    #: Wilson's 95 % interval, as if the sides were drawn by lot.
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CrackPlace:
    """Where along a side it cracks, if it does."""

    words: str
    s_outer_m: float
    #: Of all cracks of this piece.
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SpringBack:
    """How far a released side stands off the mould at a named place: 1 in 20, half, 19 in 20."""

    name: str
    s_outer_m: float
    low_m: float
    middle_m: float
    high_m: float


@dataclass(frozen=True, kw_only=True)
class PieceOdds:
    """One piece of side."""

    hand: str
    piece: str
    chance: Chance
    #: Worst first; at most three.
    places: tuple[CrackPlace, ...]
    springback: tuple[SpringBack, ...]
    #: Stations on the outer line from the piece's start. [m]
    s_outer_m: FloatArray
    #: Utilisation at 1 in 20, half and 19 in 20 of all sides, shape (3, stations).
    used: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class InputShare:
    """How much of what varies in the utilisation's logarithm comes from one input."""

    name: str
    words: str
    #: By itself, and with all it does together with others; 95 % confidence.
    first: float
    first_low: float
    first_high: float
    total: float
    total_low: float
    total_high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One thing changed, everything else the same down to the draw."""

    key: str
    words: str
    #: Chance of a crack with it.
    chance: float
    #: That less the chance as it is: negative helps.
    effect: float
    #: 95 % confidence interval of the effect.
    confidence_low: float
    confidence_high: float
    #: Nine in ten readings of what is not known give an effect between these.
    low: float
    high: float


@dataclass(frozen=True, kw_only=True)
class Odds:
    """The odds of one instrument's sides."""

    name: str
    wood: str
    #: That any of its sides cracks.
    chance: Chance
    counted: Counted
    pieces: tuple[PieceOdds, ...]
    #: What matters most, by total share, first; none if they were not asked for.
    shares: tuple[InputShare, ...]
    #: Single changes, what helps most first.
    changes: tuple[Change, ...]
    samples: int
    seed: int
    rests_on: tuple[str, ...]

    @property
    def best(self) -> Change | None:
        """The one change that helps most; None if none helps for sure."""
        helps = [one for one in self.changes if one.confidence_high < 0.0]
        return helps[0] if helps else None

    def plain(self) -> dict[str, Any]:
        """As plain dicts, lists, text and numbers, for JSON."""
        return dict(_plain(self))


def _plain(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        return {one.name: _plain(getattr(value, one.name)) for one in fields(value)}
    if isinstance(value, (tuple, list)):
        return [_plain(one) for one in value]
    if isinstance(value, np.ndarray):
        return value.tolist()
    return value
