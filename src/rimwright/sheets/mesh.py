"""Rams and cauls as solids for a printer or a mill."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from rimwright.errors import GeometryError

if TYPE_CHECKING:
    from rimwright.curves.chain import Chain
    from rimwright.instrument.design import Design
    from rimwright.tooling.parts import Part

#: How far the flats of a mesh may stray from the drawn line. [m]
_CHORD = 2e-5
#: Corners nearer than this are one. [mm]
_WELD = 1e-3


def stl_bytes(part: Part, design: Design) -> bytes:
    """A part as a binary STL in millimetres, standing on its face at the top plate.

    Axes are the body's: x from the tail to the neck, y to the treble side, z from the top
    plate to the back; for a left-handed player mirrored in y.

    Parameters
    ----------
    part : Part
        A ram, a caul: anything with a closed outline and a depth.
    design : Design
        For the player's hand.

    Returns
    -------
    bytes
        The file.

    Raises
    ------
    GeometryError
        If the outline crosses itself, so that it bounds no solid.
    """
    from shapely import Polygon
    from trimesh.creation import extrude_polygon

    flip = -1.0 if design.player == "left" else 1.0
    shape = Polygon(_loop(part.outline, flip), [_loop(hole, flip) for hole in part.holes])
    if not shape.is_valid:
        raise GeometryError(
            f"an outline of '{part.name}' that crosses itself",
            "a plain closed line",
            "make the bend rounder or the stack thinner",
        )
    solid = extrude_polygon(shape, 1e3 * part.depth_m, engine="earcut")
    data = solid.export(file_type="stl")
    if not isinstance(data, bytes):
        raise TypeError("the mesh library wrote text where bytes were asked for")
    return data


def _loop(chain: Chain, flip: float) -> list[tuple[float, float]]:
    """A closed line as corners; joints of a drawn curve that miss by a hair are welded."""
    points = chain.points(_CHORD) * [1e3, 1e3 * flip]
    apart = np.hypot(*(points - np.roll(points, 1, axis=0)).T)
    return [(float(x), float(y)) for x, y in points[apart > _WELD]]
