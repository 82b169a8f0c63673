"""What a fair curve has to do, as arrays in lengths of order one."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from rimwright.curves.fair_span import BRICKS
from rimwright.curves.piece import FloatArray

Indices = npt.NDArray[np.intp]


@dataclass(frozen=True)
class Problem:
    """Waypoints and wishes as arrays; NaN where nothing is fixed or asked."""

    #: Shape (waypoints, 2).
    points: FloatArray
    #: Of the circle about the point, 0 for a plain waypoint.
    radius: FloatArray
    #: Per span.
    area: FloatArray
    #: Least and most curvature, per span.
    bounds: FloatArray
    #: Per span: 1 for left then right, -1 for right then left, 0 for no matter.
    inflection: FloatArray
    #: Per waypoint.
    heading: FloatArray
    curvature: FloatArray

    @property
    def count(self) -> int:
        """How many spans."""
        return len(self.area)

    @property
    def size(self) -> int:
        """How many unknowns, those that are fixed included."""
        return self.count * (BRICKS + 2) + 2

    def parts(self, z: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Curvature at the nodes, lengths, headings."""
        nodes = self.count * BRICKS + 1
        return z[:nodes], z[nodes : nodes + self.count], z[nodes + self.count :]

    def placed(self, heading: FloatArray) -> FloatArray:
        """Where the curve passes each waypoint when it has these headings."""
        arm = np.column_stack([np.sin(heading), -np.cos(heading)])
        return np.asarray(self.points + self.radius[:, None] * arm)

    def node_bounds(self) -> tuple[FloatArray, FloatArray]:
        """Least and most curvature at each node; at a waypoint of both its spans."""
        low, high = (np.repeat(side, BRICKS) for side in self.bounds.T)
        return (
            np.maximum(np.append(low[0], low), np.append(low, low[-1])),
            np.minimum(np.append(high[0], high), np.append(high, high[-1])),
        )

    @cached_property
    def columns(self) -> list[Indices]:
        """Where each span's local variables stand among the unknowns."""
        nodes = self.count * BRICKS + 1
        return [
            np.concatenate(
                [
                    np.arange(i * BRICKS, (i + 1) * BRICKS + 1),
                    [nodes + i, nodes + self.count + i],
                ]
            )
            for i in range(self.count)
        ]
