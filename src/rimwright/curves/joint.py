"""Where two curves meet again after both were moved: trimmed, or led on along their bend."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.curves.piece import FloatArray, Frame
from rimwright.errors import GeometryError

#: Ends nearer than this count as joined, and of nearly parallel lines, which have no
#: certain crossing, ends nearer than the second. [m]
_JOINED, _NEAR = 1e-10, 1e-6
_PARALLEL = 2e-4


def meet(first: Chain, second: Chain) -> tuple[Chain, Chain]:
    """Cut or lead on the end of one curve and the start of another to where they meet.

    A curve is led on with the curvature it ends with, so that an arc stays one arc.

    Raises
    ------
    GeometryError
        If they do not meet near these ends.

    Examples
    --------
    >>> a, b = meet(Chain((Arc.line((0, 0), (0.9, 0)),)), Chain((Arc.line((1, 0.1), (1, 1)),)))
    >>> round(a.length, 9), round(b.length, 9)
    (1.0, 1.0)
    """
    s, t = first.length, 0.0
    for _ in range(30):
        here, there = _read(first, s), _read(second, t)
        gap = there.position[0] - here.position[0]
        if np.hypot(*gap) < _JOINED:
            break
        along = np.column_stack([here.tangent[0], -there.tangent[0]])
        if abs(np.linalg.det(along)) < _PARALLEL:
            if np.hypot(*gap) < _NEAR:
                break
            raise _apart()
        step = np.linalg.solve(along, gap)
        s, t = s + float(step[0]), t + float(step[1])
        # Beyond its own length a curve is no longer its own lead-on.
        if not (0.0 < s < 2.0 * first.length and -second.length < t < second.length):
            raise _apart()
    else:
        raise _apart()
    backwards = _end_at(second.reversed(), second.length - t)
    return _end_at(first, s), backwards.reversed() if t != 0.0 else second


def _apart() -> GeometryError:
    return GeometryError(
        "two lines that no longer meet where they met before",
        "a corner that stays a corner when both lines are moved",
        "make the distance smaller or draw the corner sharper",
    )


def _read(chain: Chain, s: float) -> Frame:
    """The frame at `s`, also beyond the ends, where the last bend is kept."""
    if 0.0 <= s <= chain.length:
        return chain.at(np.array([s]))
    end = chain.end() if s > chain.length else chain.start()
    beyond = s - chain.length if s > chain.length else s
    return _circle(end).at(np.array([beyond]))


def _circle(end: Frame) -> Arc:
    """The arc that goes on from a frame."""
    point: FloatArray = end.position[0]
    return Arc(
        (float(point[0]), float(point[1])), float(end.heading[0]), float(end.curvature[0]), 1.0
    )


def _end_at(chain: Chain, s: float) -> Chain:
    """The chain from its start to `s`, which may lie beyond its end."""
    beyond = s - chain.length
    if abs(beyond) < 1e-13:
        return chain
    if beyond < 0.0:
        return chain.between(0.0, s)
    last = chain.pieces[-1]
    if isinstance(last, Arc):
        return Chain((*chain.pieces[:-1], replace(last, arc_length=last.arc_length + beyond)))
    return Chain((*chain.pieces, replace(_circle(chain.end()), arc_length=beyond)))
