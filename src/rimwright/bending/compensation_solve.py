"""The curvature a form must have so that what is left after release is what is wanted."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt

from rimwright.curves.piece import FloatArray

#: What a bend on a form of given inside curvature leaves: released middle curvature [1/m],
#: and the greatest stretch of either face, both of shape (stations,).
Bend = Callable[[FloatArray], tuple[FloatArray, FloatArray]]

#: Left of the wanted curvature: over a metre of side 0.01 mm. [1/m]
TOLERANCE = 2e-5
_ROUNDS = 30
#: Slopes of released curvature over form curvature that are believed.
_FLATTEST, _STEEPEST = 0.05, 1.5
#: Share of the way within which the strain's ceiling is met; from below.
_SHARE = 1e-4


def form_curvature(
    bend: Bend, start: FloatArray, target: FloatArray, low: FloatArray, high: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Inside curvature of the form at which each station keeps its target. [1/m]

    Parameters
    ----------
    bend : callable
        The virtual bend of every station by itself.
    start, target : ndarray, shape (stations,)
        Inside curvature to begin with, and the middle curvature wanted after release. [1/m]
    low, high : ndarray, shape (stations,)
        Bounds of the inside curvature, `start` within them. [1/m]

    Returns
    -------
    tuple of ndarray
        Inside curvature, and how much the released curvature changes with it.

    Notes
    -----
    The secant method at all stations at once: a station's release depends on its own bend
    alone, and what it keeps rises nearly evenly with how far it was bent. A step never
    leaves the bracket of what was tried below and above the target.

    Examples
    --------
    Wood that keeps nine tenths needs ten ninths.

    >>> nine_tenths = lambda k: (0.9 * k, np.abs(k))
    >>> start, wide = np.array([5.0, -18.0]), np.array([100.0, 100.0])
    >>> form_curvature(nine_tenths, start, start, -wide, wide)[0].round(4).tolist()
    [5.5556, -20.0]
    """
    before, slope = start, np.full_like(start, 0.9)
    kept, _ = bend(before)
    left = target - kept
    under = np.where(left > 0.0, before, low)
    over = np.where(left < 0.0, before, high)
    here = _step(before, left, slope, under, over)
    for _ in range(_ROUNDS):
        kept_here, _ = bend(here)
        moved = here - before
        known = np.abs(moved) > 1e-9
        tried = (kept_here - kept) / np.where(known, moved, 1.0)
        slope = np.where(known, np.clip(tried, _FLATTEST, _STEEPEST), slope)
        left = target - kept_here
        under = np.where(left > 0.0, np.maximum(under, here), under)
        over = np.where(left < 0.0, np.minimum(over, here), over)
        stuck = ((here >= high) & (left > 0.0)) | ((here <= low) & (left < 0.0))
        if np.all(stuck | (np.abs(left) < TOLERANCE) | (over - under < 1e-9)):
            break
        before, kept = here, kept_here
        here = _step(here, left, slope, under, over)
    return here, slope


def _step(
    here: FloatArray, left: FloatArray, slope: FloatArray, under: FloatArray, over: FloatArray
) -> FloatArray:
    return np.clip(here + left / slope, under, over)


def eased(
    bend: Bend, start: FloatArray, wanted: FloatArray, ceiling: float
) -> tuple[FloatArray, npt.NDArray[np.bool_]]:
    """The wanted curvature, drawn back to where no face stretches past a ceiling.

    A station stretched past it already at `start` is bent no further than that.

    Parameters
    ----------
    bend : callable
        The virtual bend of every station by itself.
    start, wanted : ndarray, shape (stations,)
        Inside curvature as drawn and as wanted. [1/m]
    ceiling : float
        Greatest stretch allowed.

    Returns
    -------
    tuple of ndarray
        Inside curvature, and whether the ceiling acts, both of shape (stations,).

    Examples
    --------
    >>> bend = lambda k: (0.9 * k, 0.001 * np.abs(k))
    >>> eased(bend, np.array([5.0, -18.0, 30.0]), np.array([5.5, -20.0, 33.0]), 0.019)
    (array([  5.5  , -18.999,  30.   ]), array([False,  True,  True]))
    """
    tighter = np.abs(wanted) > np.abs(start)
    stretched = bend(wanted)[1]
    acts = tighter & (stretched > ceiling)
    if not acts.any():
        return wanted, acts
    first = bend(start)[1]
    safe, safe_stretch = np.zeros_like(start), first
    past, past_stretch = np.ones_like(start), stretched
    for _ in range(_ROUNDS):
        open_ = (
            acts
            & (first < ceiling)
            & (past - safe > _SHARE)
            & (ceiling - safe_stretch > 1e-4 * ceiling)
        )
        if not open_.any():
            break
        slope = (past_stretch - safe_stretch) / np.maximum(past - safe, 1e-12)
        # A little short of the secant's guess, so that the safe end closes in.
        guess = safe + 0.999 * (ceiling - safe_stretch) / np.maximum(slope, 1e-12)
        share = np.where(open_, np.clip(guess, safe, past), safe)
        here = bend(start + share * (wanted - start))[1]
        good = open_ & (here <= ceiling)
        bad = open_ & ~good
        safe = np.where(good, share, safe)
        safe_stretch = np.where(good, here, safe_stretch)
        past = np.where(bad, share, past)
        past_stretch = np.where(bad, here, past_stretch)
    return np.where(acts, start + safe * (wanted - start), wanted), acts
