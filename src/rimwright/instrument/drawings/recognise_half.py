"""One half of a body read along its line: corners, bends, cutaway, and where it ends."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from rimwright.curves.chain import Chain
from rimwright.instrument.drawings.recognise_arms import stretch
from rimwright.instrument.outline import Half, Hand, RimPiece

#: Turns at a joint above this are corners. [rad]
_CORNER = math.radians(25.0)
#: A bend that turns less than this is none. [rad]
_BEND = math.radians(12.0)
#: A side that meets the flat at more than this came along the block's flank. [rad]
_FLANK = math.radians(50.0)
#: A straight end this near to square with the centreline is the flat across the block. [rad]
_SQUARE = math.radians(20.0)


@dataclass(frozen=True)
class ReadHalf:
    """A half with what was seen on it."""

    half: Half
    #: Where on the given line it ends. [m]
    end_m: float
    #: Where on the given line the tip of a pointed cutaway lies. [m]
    tip_m: float | None
    #: Whether what lies beyond its end was left, so that the centreline is not reached.
    cut: bool
    notes: tuple[str, ...] = ()


def corners(chain: Chain) -> list[tuple[float, float]]:
    """Arc length and turn (left positive) of each corner of a chain. [m, rad]"""
    found = []
    ends = [piece.at(np.array([0.0, piece.length])).heading for piece in chain.pieces]
    for s, before, after in zip(chain.stations[1:-1], ends, ends[1:], strict=False):
        turn = (float(after[0] - before[1]) + math.pi) % (2.0 * math.pi) - math.pi
        if abs(turn) > _CORNER:
            found.append((float(s), turn))
    return found


def bends(chain: Chain, sign: float) -> list[float]:
    """Turns of the bends in order, convex positive, small ones left out. [rad]

    Corners belong to no bend.
    """
    count = 240
    edges = np.linspace(0.0, chain.length, count + 1)
    middle = 0.5 * (edges[1:] + edges[:-1])
    turn = sign * chain.at(middle).curvature * (chain.length / count)
    runs: list[float] = []
    for step in turn:
        if runs and (runs[-1] >= 0) == (step >= 0):
            runs[-1] += float(step)
        else:
            runs.append(float(step))
    # Small runs are absorbed, so that two bends of one sign around them become one.
    kept: list[float] = []
    for run in runs:
        if abs(run) < _BEND:
            continue
        if kept and kept[-1] * run > 0:
            kept[-1] += run
        else:
            kept.append(run)
    return kept


def read_half(chain: Chain, hand: Hand) -> ReadHalf:
    """The half that a line from the tail seam is, the centreline at y = 0.

    Parameters
    ----------
    chain : Chain
        From the tail seam to the neck's centreline, or to where the drawing ends.
    hand : str
        "bass" or "treble"; treble lies at positive y.
    """
    sign = 1.0 if hand == "bass" else -1.0
    outline = chain.at(np.linspace(0.0, chain.length, 200)).position
    tail, half_width = float(outline[0, 0]), float(np.abs(outline[:, 1]).max())
    middle = 0.5 * (tail + float(outline[:, 0].max()))
    notes: list[str] = []
    tip: float | None = None
    end = chain.length
    turns = [(s, sign * turn) for s, turn in corners(chain)]
    for s, turn in turns:
        x, y = chain.at(np.array([s])).position[0]
        if x < middle:
            continue
        rest = stretch(chain, s, chain.length)
        if _is_flat(rest):
            flank = tip is not None or abs(turn) > _FLANK
            if flank or _is_cutaway(stretch(chain, 0.0, s), sign):
                end = s
                notes.append(
                    f"ends at the flank of the neck block, {1e3 * abs(y):.1f} mm from the "
                    "centreline; the line across the block was left"
                )
            else:
                notes.append(
                    f"is drawn flat across the neck block from {1e3 * abs(y):.1f} mm beside the "
                    "centreline, after a corner"
                )
            break
        if tip is None and turn > 0 and abs(y) > 0.3 * half_width:
            tip = s
            continue
        if abs(y) < 0.45 * half_width:
            end = s
            notes.append(
                f"ends at a corner {1e3 * abs(y):.1f} mm from the centreline; what is drawn "
                "beyond it (neck, heel or slot) was left"
            )
            break
    whole = chain if end == chain.length else stretch(chain, 0.0, end)
    if tip is not None:
        main = RimPiece(hand, "main", stretch(chain, 0.0, tip))
        back = RimPiece(hand, "return", stretch(chain, tip, end))
        half = Half(hand, main, back, "pointed")
    else:
        kind: Literal["none", "rounded"] = "rounded" if _is_cutaway(whole, sign) else "none"
        half = Half(hand, RimPiece(hand, "main", whole), None, kind)
    return ReadHalf(half, end, tip, end < chain.length, tuple(notes))


def _is_flat(rest: Chain) -> bool:
    """Whether it runs straight across to the centreline."""
    (x0, y0), (x1, y1) = rest.start().position[0], rest.end().position[0]
    chord = math.hypot(x1 - x0, y1 - y0)
    square = abs(math.atan2(x1 - x0, abs(y1 - y0))) < _SQUARE
    return chord > 0.995 * rest.length and square and abs(y1) < 0.02 * abs(y0) + 1e-4


def _is_cutaway(chain: Chain, sign: float) -> bool:
    """Whether a concave bend follows the upper bout: bout, waist, horn, scoop."""
    turns = bends(chain, sign)
    concave = [i for i, turn in enumerate(turns) if turn < 0]
    return len(concave) >= 2 and concave[-1] == len(turns) - 1
