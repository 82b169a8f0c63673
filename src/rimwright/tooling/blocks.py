"""Blocks that press on the bundle from outside: one way of drawing rams and cauls alike."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.curves.piece import FloatArray, Similarity
from rimwright.tooling.bundle import Job
from rimwright.tooling.loops import close, end_of, point_of, straight

#: Behind the pressing face, for screw or clamp. [m]; our choice
_BACK_M = 0.040


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A block in its own position: it presses towards +y and its back is below."""

    #: The stretch of the outer line that its face presses on. [m]
    start_m: float
    end_m: float
    #: Turn that brings body coordinates (bass side) into the block's.
    turn: Similarity
    #: The face that touches the bundle, left to right, shape (n, 2). [m]
    face: FloatArray
    #: Rounded ends, from the left wall and on to the right one.
    left: Arc
    right: Arc
    #: The edge that looks at the bundle, face and rounded ends, shape (m, 2). [m]
    front: FloatArray
    back_y: float
    least_radius_m: float

    @property
    def back(self) -> Similarity:
        """The turn back into body coordinates."""
        return Similarity(rotation=-self.turn.rotation)

    @property
    def sawn(self) -> FloatArray:
        """The block's edge in the working position, as a closed polyline. [m]"""
        (left, _), (right, _) = self.front[0], self.front[-1]
        corners = [[right, self.back_y], [left, self.back_y], self.front[0]]
        return self.back.points(np.vstack([self.front, corners]))

    def strikes(self, bundle: FloatArray, slack: float = 3e-4) -> bool:
        """Whether the bundle's outside stands in the way as the block comes or sits. [m]

        The walls are parallel to the travel, so the block sweeps what lies between them.
        """
        points = self.turn.points(bundle)
        between = (points[:, 0] > self.front[0, 0]) & (points[:, 0] < self.front[-1, 0])
        front = np.interp(points[:, 0], self.front[:, 0], self.front[:, 1])
        return bool(np.any(between & (points[:, 1] < front - slack)))

    def exact(self, job: Job) -> tuple[Chain, Chain]:
        """The closed loop to saw and its face, as exact curves in the block's position."""
        face = job.parallel(-job.press_m, self.start_m, self.end_m).transformed(self.turn)
        foot = end_of(self.right)
        pieces = (
            self.left,
            *straight(end_of(self.left), point_of(self.face[0])),
            *face.pieces,
            *straight(point_of(self.face[-1]), self.right.start),
            self.right,
            *straight(foot, (foot[0], self.back_y), (self.left.start[0], self.back_y)),
        )
        return close(pieces), face


def block_on(
    job: Job,
    start: float,
    end: float,
    *,
    lead: float,
    rounding: float,
    heading: float | None = None,
) -> Block:
    """The block that presses on the bundle between two places of the outer line.

    Its face is the outside of the bundle; straight leads and rounded ends, all tangent, keep
    edges off slats and blanket; the walls run along the travel.

    Parameters
    ----------
    start, end : float
        Of the face, along the outer line; drawn to the samples nearest. [m]
    lead : float
        Straight beyond each end of the face. [m]
    rounding : float
        Radius of the rounded ends. [m]
    heading : float, optional
        Direction of the side (tail to neck) that the block meets square on; without it, the
        middle of the stretch's ends. [rad]
    """
    rim = job.samples
    i, j = rim.span(start, end)
    if heading is None:
        heading = 0.5 * float(rim.heading[i] + rim.heading[j])
    turn = Similarity(rotation=-heading)
    face = turn.points(rim.parallel(-job.press_m)[i : j + 1])
    # Headings near the block's x axis; rounded ends turn on to the walls, up and down.
    rise, fall = float(rim.heading[i]) - heading, float(rim.heading[j]) - heading
    lead_in = face[0] - lead * np.array([np.cos(rise), np.sin(rise)])
    lead_out = face[-1] + lead * np.array([np.cos(fall), np.sin(fall)])
    k = -1.0 / rounding
    # The circle's centre lies to the right of the travel.
    centre = lead_in + rounding * np.array([np.sin(rise), -np.cos(rise)])
    left = Arc(
        (float(centre[0]) - rounding, float(centre[1])),
        0.5 * np.pi,
        k,
        rounding * (0.5 * np.pi - rise),
    )
    right = Arc(point_of(lead_out), fall, k, rounding * (0.5 * np.pi + fall))
    steps = np.linspace(0.0, 1.0, 13)
    ends = [arc.at(steps * arc.length).position for arc in (left, right)]
    lowest = min(ends[0][0, 1], ends[1][-1, 1], face[0, 1], face[-1, 1])
    return Block(
        start_m=float(rim.s[i]),
        end_m=float(rim.s[j]),
        turn=turn,
        face=face,
        left=left,
        right=right,
        front=np.vstack([ends[0], face, ends[1]]),
        back_y=float(lowest) - _BACK_M,
        least_radius_m=rim.least_radius(-job.press_m, i, j),
    )
