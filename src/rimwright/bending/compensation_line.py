"""The line of a compensated form: curvature along the wood made into an exact outline."""

from __future__ import annotations

import numpy as np

from rimwright.curves.chain import Chain
from rimwright.curves.clothoid import Clothoid
from rimwright.curves.piece import FloatArray
from rimwright.instrument.outline import RimPiece

#: Shorter steps between stations are the two sides of a joint. [m]
_JOINT_M = 1e-7
#: Points and weights of Gauss's rule on [0, 1]: a brick of 2 mm turns a few degrees.
_NODES, _WEIGHTS = (0.5 * values + shift for values, shift in zip(
    np.polynomial.legendre.leggauss(6), (0.5, 0.0), strict=True
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
    bricks = np.flatnonzero(lengths > _JOINT_M)
    first, last = sign * outer[bricks], sign * outer[bricks + 1]
    long = lengths[bricks]
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
