"""The line of a compensated form: curvature along the wood made into an exact outline."""

from __future__ import annotations

import numpy as np

from rimwright.curves.chain import Chain
from rimwright.curves.clothoid import Clothoid
from rimwright.curves.piece import FloatArray
from rimwright.instrument.outline import RimPiece

#: Shorter steps between stations are the two sides of a joint. [m]
_JOINT_M = 1e-7
#: Curvature may be off by this between two knots. [1/m]
_HAIR = 0.01
#: Points and weights of Gauss's rule on [0, 1]; it holds a brick that turns a right angle.
_NODES, _WEIGHTS = (0.5 * values + shift for values, shift in zip(
    np.polynomial.legendre.leggauss(12), (0.5, 0.0), strict=True
))  # fmt: skip


def compensated_rim(
    rim: RimPiece, s: FloatArray, *, thickness_m: FloatArray, inside_curvature: FloatArray
) -> tuple[RimPiece, FloatArray]:
    """The outer line of a side that lies on a form of that inside curvature.

    Parameters
    ----------
    rim : RimPiece
        The piece as drawn: where it starts, and how long its wood is.
    s : ndarray, shape (stations,)
        On its outer line, from start to end. [m]
    thickness_m, inside_curvature : ndarray, shape (stations,)
        [m], [1/m]

    Returns
    -------
    RimPiece, ndarray
        The line, and where each station lies on it. [m]

    Notes
    -----
    The middle line keeps its length, so that every place of the wood stays where it was
    along it; the outer line's differs by half the thickness times what the turn differs.
    Between stations the outer curvature runs evenly: bricks of a clothoid, whose parallels
    are exact.

    Examples
    --------
    A quarter circle of 100 mm bent to 80 mm: the wood, 2 mm thick, stays as long.

    >>> from rimwright.curves.arc import Arc
    >>> rim = RimPiece("bass", "main", Chain((Arc((0.0, 0.0), 0.0, 10.0, 0.05 * np.pi),)))
    >>> s = np.linspace(0.0, rim.length, 81)
    >>> thick, inside = np.full(81, 0.002), np.full(81, 1 / 0.078)
    >>> tighter, at = compensated_rim(rim, s, thickness_m=thick, inside_curvature=inside)
    >>> round(tighter.length / 0.080 * 0.079 / (0.05 * np.pi * 0.099 / 0.1), 9)
    1.0
    """
    drawn = rim.at(s)
    middle = inside_curvature / (1.0 + 0.5 * thickness_m * inside_curvature)
    outer = inside_curvature / (1.0 + thickness_m * inside_curvature)
    shrink = 1.0 - 0.5 * thickness_m * drawn.curvature
    wood = np.diff(s) * 0.5 * (shrink[1:] + shrink[:-1])
    grow = 1.0 + 0.5 * thickness_m * middle
    lengths = wood * 0.5 * (grow[1:] + grow[:-1])
    at = np.concatenate([[0.0], np.cumsum(lengths)])
    if np.allclose(outer, drawn.curvature, rtol=0.0, atol=1e-9):
        return rim, s.copy()
    sign = 1.0 if rim.hand == "bass" else -1.0
    knots, curvature = _thinned(at, outer)
    long = np.diff(knots)
    bricks = np.flatnonzero(long > _JOINT_M)
    first, last, long = sign * curvature[bricks], sign * curvature[bricks + 1], long[bricks]
    turned = np.concatenate([[0.0], np.cumsum(0.5 * (first + last) * long)])
    heading = float(drawn.heading[0]) + turned
    u = _NODES[None, :] * long[:, None]
    rate = 0.5 * (last - first) / long
    theta = heading[:-1, None] + u * (first[:, None] + rate[:, None] * u)
    steps = np.column_stack([np.cos(theta) @ _WEIGHTS, np.sin(theta) @ _WEIGHTS]) * long[:, None]
    corners = drawn.position[0] + np.vstack([np.zeros(2), np.cumsum(steps, axis=0)])
    pieces = tuple(
        Clothoid((float(x), float(y)), float(h), float(a), float(b), float(length))
        for (x, y), h, a, b, length in zip(
            corners[:-1], heading[:-1], first, last, long, strict=True
        )
    )
    return RimPiece(rim.hand, rim.name, Chain(pieces)), at


def _thinned(at: FloatArray, curvature: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Fewer knots with nearly the same curvature between; joints stay as they are."""
    cuts = np.flatnonzero(np.diff(at) < _JOINT_M) + 1
    knots, values = [], []
    for run in np.split(np.arange(at.size), cuts):
        s, k = at[run], curvature[run]
        kept = _needed(s, k)
        # Projected, not picked: what is left out has no mean, so that headings do not drift.
        hats = np.column_stack([np.interp(s, s[kept], row) for row in np.eye(len(kept))])
        weight = np.sqrt(np.gradient(s)) if run.size > 1 else np.ones(1)
        fitted = np.linalg.lstsq(hats * weight[:, None], k * weight, rcond=None)[0]
        knots.append(s[kept])
        values.append(fitted)
    return np.concatenate(knots), np.concatenate(values)


def _needed(s: FloatArray, k: FloatArray) -> list[int]:
    """Indices between which straight lines stay within a hair of the curvature."""
    kept, open_ = {0, s.size - 1}, [(0, s.size - 1)]
    while open_:
        first, last = open_.pop()
        if last - first < 2:
            continue
        between = slice(first + 1, last)
        line = np.interp(s[between], s[[first, last]], k[[first, last]])
        away = np.abs(k[between] - line)
        worst = int(np.argmax(away))
        if away[worst] > _HAIR:
            middle = first + 1 + worst
            kept.add(middle)
            open_ += [(first, middle), (middle, last)]
    return sorted(kept)
