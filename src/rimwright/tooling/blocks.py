"""Blocks that press on the bundle from outside: one way of drawing rams and cauls alike."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.curves.piece import FloatArray, Piece, Similarity
from rimwright.instrument.outline import RimPiece
from rimwright.tooling.bundle import Job
from rimwright.tooling.loops import end_of, point_of, start_of, straight

#: Behind the pressing face, for screw or clamp. [m]; our choice
_BACK_M = 0.040


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A block in its own position: it presses towards +y and its back is below."""

    #: Turn that brings body coordinates (bass side) into the block's. [rad]
    turn: Similarity
    #: The face that touches the bundle, left to right.
    face: Chain
    #: The open loop round it, from the top of the left wall to the back.
    pieces: tuple[Piece, ...]
    #: The edge that looks at the bundle, face and rounded ends, shape (n, 2). [m]
    front: FloatArray
    back_y: float

    @property
    def sawn(self) -> FloatArray:
        """The block's edge in the working position, as a closed polyline. [m]"""
        (left, _), (right, _) = self.front[0], self.front[-1]
        corners = [[right, self.back_y], [left, self.back_y], self.front[0]]
        return self.back.points(np.vstack([self.front, corners]))

    @property
    def back(self) -> Similarity:
        """The turn back into body coordinates."""
        return Similarity(rotation=-self.turn.rotation)

    def strikes(self, bundle: FloatArray, slack: float = 3e-4) -> bool:
        """Whether the bundle's outside stands in the way as the block comes or sits. [m]

        The walls are parallel to the travel, so the block sweeps what lies between them.
        """
        points = self.turn.points(bundle)
        between = (points[:, 0] > self.front[0, 0]) & (points[:, 0] < self.front[-1, 0])
        front = np.interp(points[:, 0], self.front[:, 0], self.front[:, 1])
        return bool(np.any(between & (points[:, 1] < front - slack)))


def block_on(
    job: Job, start: float, end: float, *, heading: float, lead: float, rounding: float
) -> Block:
    """The block that presses on the bundle between two places of the outer line.

    Its face is the outside of the bundle; straight leads and rounded ends, all tangent, keep
    edges off slats and blanket; the walls run along the travel.

    Parameters
    ----------
    start, end : float
        Of the face, along the outer line. [m]
    heading : float
        Direction of the side (tail to neck) that the block meets square on. [rad]
    lead : float
        Straight beyond each end of the face. [m]
    rounding : float
        Radius of the rounded ends. [m]
    """
    stretch = RimPiece(job.rim.hand, job.rim.name, job.rim.chain.between(start, end))
    turn = Similarity(rotation=-heading)
    face = stretch.inside(-job.outside_m).transformed(turn)
    first, last = start_of(face), end_of(face)
    k = -1.0 / rounding
    # Headings near the block's x axis; rounded ends turn on to the walls, up and down.
    rise, fall = _near_zero(first.heading[0]), _near_zero(last.heading[0])
    left = Arc((0.0, 0.0), 0.5 * np.pi, k, rounding * (0.5 * np.pi - rise))
    lead_start = first.position[0] - lead * first.tangent[0]
    shift = lead_start - left.at(np.array([left.length])).position[0]
    left = left.transformed(Similarity(shift=point_of(shift)))
    lead_end = last.position[0] + lead * last.tangent[0]
    right = Arc(point_of(lead_end), fall, k, rounding * (0.5 * np.pi + fall))
    foot = right.at(np.array([right.length])).position[0]
    back_y = float(min(shift[1], foot[1], first.position[0, 1], last.position[0, 1])) - _BACK_M
    pieces = (
        left,
        *straight(point_of(lead_start), point_of(first.position[0])),
        *face.pieces,
        *straight(point_of(last.position[0]), point_of(lead_end)),
        right,
        *straight(point_of(foot), (float(foot[0]), back_y), (float(shift[0]), back_y)),
    )
    count = len(pieces) - 2
    front = Chain(pieces[:count]).points(1e-4)
    return Block(turn=turn, face=face, pieces=pieces, front=front, back_y=back_y)


def _near_zero(heading: float) -> float:
    return float((heading + np.pi) % (2.0 * np.pi) - np.pi)
