"""The plates' surfaces: how deep the edge of the side lies at any place on the plan.

z runs from the top towards the back, from the plane through the top's edge at tail and
neck, so that a flat top is z = 0 and a domed top rises to negative z in its middle. The
back's own plane runs through its edge at tail (the depth there) and neck.

- *flat*: that plane.
- *cylinder*: arched across, its axis in the middle plane and parallel to the crown, which
  lies in the plate's own plane; the edges fall away to both sides.
- *dome*: the sphere of the dish radius whose centre lies in the middle plane y = 0 and
  which passes through the centreline points at tail and neck.

A plate that runs flat from a station lies in its own plane from there to the neck. Behind
it a maker lays the dish on three places of the rim: the tail and the two edges of the
flat. So the sphere (or cylinder) passes through these three, and the edge of the side has
no step at the station on either half, whatever their widths there.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from rimwright.curves.piece import FloatArray
from rimwright.errors import GeometryError
from rimwright.instrument.design import Plate, Plates
from rimwright.instrument.outline import Half, Outline


@dataclass(frozen=True, slots=True)
class PlateSurface:
    """One plate: z above any place of the plan."""

    name: str
    shape: str
    #: z of the plate's own plane at the tail [m] and its slope along x.
    depth_tail_m: float
    slope: float
    #: +1 where the plate's edge falls towards greater z (the top), -1 for the back.
    fall: float
    radius_m: float = np.inf
    #: Centre of the sphere; for a cylinder (0, y of the axis, z of the crown at x = 0). [m]
    centre: tuple[float, float, float] = (0.0, 0.0, 0.0)
    #: Slope of the cylinder's crown along x.
    crown_slope: float = 0.0
    flat_from_m: float = np.inf

    def height(self, x: FloatArray, y: FloatArray) -> FloatArray:
        """z of the plate's surface at each (x, y). [m]

        Raises
        ------
        GeometryError
            If a place lies outside the sphere or cylinder.
        """
        x, y = np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)
        plane = self.depth_tail_m + self.slope * x
        if self.shape == "flat":
            return np.asarray(plane)
        if self.shape == "dome":
            across = np.hypot(x - self.centre[0], y - self.centre[1])
        else:
            across = np.abs(y - self.centre[1])
        arched = x < self.flat_from_m
        reach = float(np.max(across, where=arched, initial=0.0))
        if reach > self.radius_m:
            raise GeometryError(
                f"a {self.shape} of {self.radius_m * 1e3:.0f} mm radius under the {self.name}",
                f"more than {reach * 1e3:.0f} mm, so that it reaches the whole rim",
                "give the dish radius its makers use, metres rather than centimetres",
                where=f"plates.{self.name}.radius",
            )
        inside = np.sqrt(np.maximum(self.radius_m**2 - across**2, 0.0))
        if self.shape == "dome":
            surface = self.centre[2] - self.fall * inside
        else:
            sag = (self.radius_m - inside) * np.sqrt(1.0 + self.crown_slope**2)
            surface = self.centre[2] + self.crown_slope * x + self.fall * sag
        return np.asarray(np.where(arched, surface, plane))


@dataclass(frozen=True, slots=True)
class PlateSurfaces:
    """Both plates of a body."""

    top: PlateSurface
    back: PlateSurface

    def rim_height(self, x: FloatArray, y: FloatArray) -> FloatArray:
        """Height of the rim at each (x, y), top's surface to back's. [m]"""
        return np.asarray(self.back.height(x, y) - self.top.height(x, y))


def rim_depths(plates: Plates) -> tuple[float, float]:
    """Height of the rim on the centreline at tail and neck. [m]

    A depth over the plates has both plates' thickness taken off.

    Examples
    --------
    >>> over = Plates(top=Plate(), back=Plate(), depth_tail_m=0.105, depth_neck_m=0.09,
    ...               depth_is="over_plates")
    >>> [round(depth * 1e3, 6) for depth in rim_depths(over)]  # [mm]
    [100.0, 85.0]
    """
    off = plates.top.thickness_m + plates.back.thickness_m if plates.depth_is != "rim" else 0.0
    depths = plates.depth_tail_m - off, plates.depth_neck_m - off
    if min(depths) <= 0.0:
        raise GeometryError(
            f"a rim {min(depths) * 1e3:.1f} mm high at one end",
            "a rim higher than nothing at tail and neck",
            "check the depths, and whether they are over the plates",
            where="plates.depth_tail" if depths[0] <= depths[1] else "plates.depth_neck",
        )
    return depths


@lru_cache(maxsize=8)
def plate_surfaces(plates: Plates, outline: Outline) -> PlateSurfaces:
    """Both plates' surfaces above this outline.

    Raises
    ------
    GeometryError
        If a dish is too small for the body, a radius is missing, a flat begins outside
        the body, or the rim has no height at an end.
    """
    tail, neck = rim_depths(plates)
    top = PlateSurface("top", "flat", 0.0, 0.0, 1.0)
    back = PlateSurface("back", "flat", tail, (neck - tail) / outline.length_m, -1.0)
    return PlateSurfaces(_arched(top, plates.top, outline), _arched(back, plates.back, outline))


def _arched(plane: PlateSurface, plate: Plate, outline: Outline) -> PlateSurface:
    """The plate's surface, from its own plane."""
    if plate.shape == "flat":
        return plane
    radius, station = plate.radius_m, plate.flat_from_m
    if radius is None or not radius > 0.0:
        raise GeometryError(
            f"a {plate.shape} {plane.name} without a radius",
            "the radius of its dish",
            "give the radius, such as '15 ft', or make the plate flat",
            where=f"plates.{plane.name}",
        )
    if station is not None and not 0.0 < station < outline.length_m:
        raise GeometryError(
            f"a {plane.name} flat from {station * 1e3:.0f} mm on a body "
            f"{outline.length_m * 1e3:.0f} mm long",
            "a station between tail and neck",
            "measure the station from the tail seam along the centreline",
            where=f"plates.{plane.name}.flat_from",
        )
    flat_from = np.inf if station is None else station
    arched = replace(plane, shape=plate.shape, radius_m=radius, flat_from_m=flat_from)
    if plate.shape == "cylinder":
        return _cylinder(arched, outline)
    return _sphere(arched, outline)


def _sphere(plane: PlateSurface, outline: Outline) -> PlateSurface:
    """The sphere on tail and neck, or on the tail and the two edges of the flat."""
    long = np.hypot(plane.slope, 1.0)
    along, across = np.array([1.0, 0.0, plane.slope]), np.array([-plane.slope, 0.0, 1.0])
    along, across = along / long, across / long
    tail = np.array([0.0, 0.0, plane.depth_tail_m])
    if np.isinf(plane.flat_from_m):
        middle = tail + along * (0.5 * outline.length_m * long)
    else:
        # In the plate's plane, u along it from the tail: the circle through (0, 0), (u, y1)
        # and (u, y2) has its centre at y = (y1 + y2) / 2 and at (u² - y1 y2) / 2u along.
        u = plane.flat_from_m * long
        y1, y2 = (width_at(half, plane.flat_from_m) for half in outline.halves)
        middle = tail + along * (u * u - y1 * y2) / (2.0 * u)
        middle[1] = 0.5 * (y1 + y2)
    reach = float(np.linalg.norm(middle - tail))
    if plane.radius_m <= reach:
        raise GeometryError(
            f"a dish of {plane.radius_m * 1e3:.0f} mm radius for the {plane.name}",
            f"more than {reach * 1e3:.0f} mm, so that it touches tail and neck",
            "give the dish radius its makers use, metres rather than centimetres",
            where=f"plates.{plane.name}.radius",
        )
    centre = middle + plane.fall * across * np.sqrt(plane.radius_m**2 - reach**2)
    return replace(plane, centre=(float(centre[0]), float(centre[1]), float(centre[2])))


def _cylinder(plane: PlateSurface, outline: Outline) -> PlateSurface:
    """The cylinder with its crown in the plate's plane, or on tail and the flat's two edges."""
    radius, station, slope = plane.radius_m, plane.flat_from_m, plane.slope
    if np.isinf(station):
        return replace(plane, centre=(0.0, 0.0, plane.depth_tail_m), crown_slope=slope)
    y1, y2 = (width_at(half, station) for half in outline.halves)
    v = 0.5 * (y1 + y2)
    sag_tail, sag_edge = (
        float(radius - np.sqrt(max(radius**2 - (y - v) ** 2, 0.0))) for y in (0.0, y1)
    )
    # Crown slope b: b u + fall F sqrt(1 + b²) = slope u at the flat's edges, with F the sag
    # there less the sag at the tail.
    drop = sag_edge - sag_tail
    a, b, c = station**2 - drop**2, -2.0 * slope * station**2, (slope * station) ** 2 - drop**2
    if a <= 0.0:
        raise GeometryError(
            f"a cylinder of {radius * 1e3:.0f} mm radius flat from {station * 1e3:.0f} mm",
            "a gentler arch, or a flat that begins nearer the neck",
            "give a larger radius",
            where=f"plates.{plane.name}.radius",
        )
    root = float(np.sqrt(max(b * b - 4.0 * a * c, 0.0)))
    tilt = float((-b - np.sign(plane.fall * drop) * root) / (2.0 * a))
    crown = plane.depth_tail_m - plane.fall * sag_tail * float(np.hypot(1.0, tilt))
    return replace(plane, centre=(0.0, v, crown), crown_slope=tilt)


def width_at(half: Half, x: float) -> float:
    """y of the outline of that half where it first passes station `x` from the tail. [m]

    Where the half does not reach so far, its last point's y.
    """
    for piece in half.pieces:
        s = np.linspace(0.0, piece.length, max(int(piece.length / 0.002), 16))
        beyond = piece.at(s).position[:, 0] - x
        passes = np.flatnonzero((beyond[:-1] <= 0.0) & (beyond[1:] > 0.0))
        if passes.size:
            low, high = s[passes[0]], s[passes[0] + 1]
            for _ in range(8):
                fine = np.linspace(low, high, 17)
                i = int(np.argmax(piece.at(fine).position[:, 0] > x))
                low, high = fine[max(i - 1, 0)], fine[max(i, 1)]
            return float(piece.at(np.array([0.5 * (low + high)])).position[0, 1])
    return float(half.pieces[-1].chain.end().position[0, 1])
