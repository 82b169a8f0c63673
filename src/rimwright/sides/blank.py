"""The board a flat pattern is cut from: how it lies, and how small the board may be."""

from __future__ import annotations

from typing import Literal

import numpy as np

from rimwright.curves.piece import FloatArray
from rimwright.sides.pattern import Blank
from rimwright.units import length_text

#: A pattern is turned on its board by less than this: more is no longer a side. [rad]
_LARGEST_TURN = np.radians(30.0)


def least_turn(points: FloatArray) -> float:
    """The turn of a pattern on its board that makes the board narrowest. [rad]

    The narrowest strip about a set of points has an edge of their convex hull along one of
    its sides, so that trying each hull edge finds it exactly.

    Parameters
    ----------
    points : array-like
        The pattern's points (along, up), shape (n, 2). [m]

    Returns
    -------
    float
        Positive lifts the neck end. [rad]

    Examples
    --------
    A wedge that rises evenly along both edges is turned back by its middle slope.

    >>> wedge = np.array([[0.0, 0.0], [1.0, 0.1], [0.0, 0.2], [1.0, 0.3]])
    >>> round(float(np.tan(least_turn(wedge))), 6)
    -0.1
    """
    hull = _hull(points)
    edges = np.diff(np.vstack([hull, hull[:1]]), axis=0)
    turns = -np.arctan2(edges[:, 1], edges[:, 0])
    turns = (turns + 0.5 * np.pi) % np.pi - 0.5 * np.pi
    turns = np.append(turns[np.abs(turns) <= _LARGEST_TURN], 0.0)
    up = np.outer(np.sin(turns), hull[:, 0]) + np.outer(np.cos(turns), hull[:, 1])
    widths = up.max(axis=1) - up.min(axis=1)
    # Of equal widths the smallest turn, so that a straight pattern is not turned at all.
    order = np.lexsort((np.abs(turns), np.round(widths, 12)))
    return float(turns[order[0]])


def _hull(points: FloatArray) -> FloatArray:
    """Corners of the convex hull, counter-clockwise (Andrew's monotone chain)."""
    rows = sorted(set(map(tuple, points.tolist())))
    chains: list[list[tuple[float, float]]] = []
    for walk in (rows, rows[::-1]):
        chain: list[tuple[float, float]] = []
        for x, y in walk:
            while len(chain) > 1:
                (ax, ay), (bx, by) = chain[-2:]
                if (bx - ax) * (y - ay) - (by - ay) * (x - ax) > 0.0:
                    break
                chain.pop()
            chain.append((x, y))
        chains.append(chain[:-1])
    return np.array(chains[0] + chains[1])


def blank_points(
    edge_top: FloatArray, edge_back: FloatArray, length_middle_m: float, neck_end_m: float
) -> FloatArray:
    """The pattern's edge points (s on the middle line, z) up to where the side really ends.

    What the neck end adds past the drawn half is the drawn half's last stretch mirrored:
    across the block the rim goes on as it came. [m]
    """
    edges = np.vstack([edge_top[:, 1:], edge_back[:, 1:]])
    end = length_middle_m + neck_end_m
    kept = edges[edges[:, 0] <= end + 1e-9]
    if neck_end_m <= 0.0:
        cut = [
            [end, float(np.interp(end, edge[:, 1], edge[:, 2]))] for edge in (edge_top, edge_back)
        ]
        return np.vstack([kept, cut])
    mirrored = edges * [-1.0, 1.0] + [2.0 * length_middle_m, 0.0]
    return np.vstack([kept, mirrored[mirrored[:, 0] <= end + 1e-9]])


def lay_on_board(
    points: FloatArray,
    turn_rad: float,
    *,
    length_m: float,
    trims_m: tuple[float, float],
    proud_m: float,
    edge_m: float,
) -> Blank:
    """The blank about a pattern laid at that turn.

    Parameters
    ----------
    points : array-like
        Edge points (s on the middle line, z), shape (n, 2). [m]
    turn_rad : float
        Turn of the pattern. [rad]
    length_m : float
        Of the side on the middle line, neck end included. [m]
    trims_m : tuple
        Left over at the start and at the far end. [m]
    proud_m, edge_m : float
        What the pattern stands proud of the plates, and what the saw wants beside it. [m]
    """
    cosine, sine = float(np.cos(turn_rad)), float(np.sin(turn_rad))
    along = points[:, 0] * cosine - points[:, 1] * sine
    up = points[:, 0] * sine + points[:, 1] * cosine
    start = min(float(along.min()), 0.0)
    reach = max(float(along.max()), float(length_m * cosine)) - start
    length = reach + trims_m[0] + trims_m[1]
    width = float(up.max() - up.min())
    return Blank(
        length_m=length,
        width_m=width,
        angle_rad=turn_rad,
        stock_length_m=length + 2.0 * edge_m,
        stock_width_m=width + 2.0 * (proud_m + edge_m),
        trim_tail_m=trims_m[0],
        trim_neck_m=trims_m[1],
        origin_along_m=trims_m[0] - start,
        origin_up_m=0.0 - float(up.min()),
    )


def board_warnings(
    blank: Blank,
    board_length_m: float | None,
    board_width_m: float | None,
    whose: str,
    show: Literal["metric", "inch"] = "metric",
) -> tuple[str, ...]:
    """One line for each way the board in hand is too small for the blank."""
    lines = []
    for name, have, least, wish in (
        ("long", board_length_m, blank.length_m, blank.stock_length_m),
        ("wide", board_width_m, blank.width_m, blank.stock_width_m),
    ):
        if have is None or have >= wish:
            continue
        verdict = (
            "too small even without the allowances"
            if have < least
            else "enough for the pattern alone, without the allowances"
        )
        lines.append(
            f"the board in hand is {length_text(have, show)} {name}, the {whose} wants "
            f"{length_text(wish, show)}: {verdict}"
        )
    return tuple(lines)
