"""One half laid out by arcs, and its least change that ends it where it should."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.instrument.outline import Hand

#: A half is closed when its end is this near, and can be when it is that near. [m]
CLOSED, CLOSABLE = 1e-9, 2e-3
#: An end is meant to run straight across the centreline within this. [rad]
_STRAIGHT_ACROSS = 1e-3


@dataclass(frozen=True, slots=True)
class DrawnHalf:
    """One half's arcs on the bass side, and where its corner is."""

    hand: Hand
    arcs: tuple[Arc, ...]
    #: Turn of the corner before each arc, 0 where it goes on smoothly. [rad]
    corners: tuple[float, ...]

    @property
    def cutaway(self) -> bool:
        """Ends at the neck's flank: after a corner, or in a concave scoop."""
        bends = [arc.curvature for arc in self.arcs if arc.curvature != 0.0]
        scoop = bool(bends) and bends[-1] < 0.0 and abs(self.end[1]) > CLOSABLE
        return any(self.corners) or scoop

    @property
    def end(self) -> tuple[float, float]:
        """Where the last arc ends."""
        point = Chain(self.arcs).end().position[0]
        return float(point[0]), float(point[1])


def laid(half: DrawnHalf, curvatures: list[float], lengths: list[float]) -> DrawnHalf:
    """Arcs of these measures end to end, from the tail seam straight across."""
    arcs: list[Arc] = []
    at, heading = (0.0, 0.0), -0.5 * np.pi
    for curvature, length, corner in zip(curvatures, lengths, half.corners, strict=True):
        arc = Arc(at, heading + corner, curvature, length)
        end = arc.at(np.array([length]))
        at = (float(end.position[0, 0]), float(end.position[0, 1]))
        heading = float(end.heading[0])
        arcs.append(arc)
    return replace(half, arcs=tuple(arcs))


def turned(half: DrawnHalf, across: float | None) -> tuple[DrawnHalf | None, float]:
    """Sweeps changed least (sum of squares) so that the end lies on the centreline.

    A half that ends straight across the centreline keeps that direction if it has arcs
    enough. Each Newton step is the least change that meets the linear conditions.
    """
    curvatures = [arc.curvature for arc in half.arcs]
    bent = [i for i, curvature in enumerate(curvatures) if curvature != 0.0]
    conditions = [1] if across is None else [0, 1]
    slant = abs(float(Chain(half.arcs).end().heading[0]) - 0.5 * np.pi)
    keep_heading = len(bent) > len(conditions) and slant < _STRAIGHT_ACROSS
    total = np.zeros(len(bent))
    now = half
    for _ in range(12):
        end = np.array(now.end)
        miss = np.array([end[0] - (across or 0.0), end[1]])[conditions]
        if np.abs(miss).max() < 1e-13:
            break
        rows = np.zeros((len(conditions), len(bent)))
        for column, i in enumerate(bent):
            frame = now.arcs[i].at(np.array([now.arcs[i].length]))
            arm = end - frame.position[0]
            # A longer arc moves all after it along, and turns it about the arc's end.
            gain = frame.tangent[0] / abs(curvatures[i])
            gain = gain + np.sign(curvatures[i]) * np.array([-arm[1], arm[0]])
            rows[:, column] = gain[conditions]
        if keep_heading:
            rows = np.vstack([rows, np.sign([curvatures[i] for i in bent])])
            miss = np.append(miss, 0.0)
        change = np.linalg.lstsq(rows, -miss, rcond=None)[0]
        total += change
        lengths = [arc.length for arc in now.arcs]
        for column, i in enumerate(bent):
            lengths[i] += float(change[column]) / abs(curvatures[i])
        if min(lengths) <= 0.0 or not np.all(np.isfinite(lengths)):
            return None, 0.0
        now = laid(now, curvatures, lengths)
    left = np.array([now.end[0] - (across or 0.0), now.end[1]])[conditions]
    if np.abs(left).max() > CLOSED:
        return None, 0.0
    return now, float(np.abs(total).max())
