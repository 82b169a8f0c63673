"""A fair curve through a noisy trace, and its radii with an honest range."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rimwright.curves.chain import Chain
from rimwright.curves.piece import FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class TracedRadius:
    """The smallest radius of a traced line over a stretch, with its range and place."""

    middle_m: float
    low_m: float
    high_m: float
    #: Middle of the stretch, along the traced chain. [m]
    s_m: float


@dataclass(frozen=True, kw_only=True)
class TracedCurve:
    """A curve fitted within the noise of its points; it runs the way the points run."""

    #: Smooth between corners; a closed one starts and ends at the first point's place.
    chain: Chain
    #: How far the points scatter about the curve, one sigma. [m]
    noise_m: float
    closed: bool
    #: Where along the chain it turns a corner. [m]
    corners_m: tuple[float, ...] = ()


def fit_trace(
    points: FloatArray, *, closed: bool, corners: Sequence[int] | None = None
) -> TracedCurve:
    """The fairest curve that the scatter of traced points allows.

    `corners` are indices of points where the line turns a corner; None looks for them.
    """
    raise NotImplementedError  # the body follows in the next commit


def smallest_radius_over(
    chain: Chain,
    sign: int,
    window_m: float = 0.02,
    *,
    start_m: float = 0.0,
    end_m: float | None = None,
    closed: bool = False,
) -> tuple[float, float]:
    """Smallest radius of a sign of curvature (+1 left, -1 right) over a stretch, and its s.

    Stretches lie within [start_m, end_m] and never across a corner; infinite (at nan) where
    the line nowhere turns that way.
    """
    raise NotImplementedError


def radius_range(
    traced: TracedCurve,
    sign: int,
    window_m: float = 0.02,
    *,
    start_m: float = 0.0,
    end_m: float | None = None,
) -> TracedRadius | None:
    """The smallest radius of that sign over a stretch of a traced curve, with its range.

    For a closed curve `end_m` may be below `start_m`: the stretch then runs over the start.
    None where the line nowhere turns that way.
    """
    raise NotImplementedError
