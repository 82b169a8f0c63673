"""What the tooling is: parts with outlines to cut, and figures that go with them."""

from __future__ import annotations

from dataclasses import dataclass

from rimwright.curves.chain import Chain
from rimwright.curves.piece import FloatArray


@dataclass(frozen=True, kw_only=True)
class Part:
    """Something to saw or rout from board: closed loops of exact curves, body coordinates."""

    #: File-safe name, such as "form-bass" or "ram-waist-treble".
    name: str
    #: In words, for the title of its drawing.
    title: str
    #: Closed outer loop; consecutive chains join end to start.
    outline: Chain
    holes: tuple[Chain, ...] = ()
    #: The stretch of the outline that touches wood, slat or blanket.
    working: Chain | None = None
    #: How thick the part must stand (width across the side). [m]
    depth_m: float
    #: Smallest radius on the working line. [m]
    least_radius_m: float | None
    #: Lines drawn on it: waist mark, centreline, by name.
    marks: tuple[tuple[str, FloatArray], ...] = ()
    notes: tuple[str, ...] = ()
    #: True when the stack it was drawn from was assumed; drawings then say ASSUMED.
    assumed: bool = False
    #: What the stack between form and side adds up to; on a ram or caul, between it and the
    #: side. Zero where no stack lies against the part. [m]
    stack_m: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RamTravel:
    """Where a ram sits on the form and how far it moves."""

    name: str
    hand: str
    piece: str
    #: Where its nose meets the outline, on the outer line from the tail. [m]
    s_outer_m: float
    #: Station on the centreline. [m]
    x_m: float
    #: From the flat strip to home, along its line of travel. [m]
    travel_m: float
    #: Direction of travel in body coordinates. [rad]
    direction_rad: float
    nose_radius_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SlatCheck:
    """One slat, or the blanket: its size, and whether it bears the tightest bend."""

    name: str
    hand: str
    piece: str
    length_m: float
    width_m: float
    thickness_m: float
    #: Smallest radius before it takes a set (or harm). [m]
    least_radius_m: float
    #: Tightest radius it is asked to take, and where in words. [m]
    asked_radius_m: float
    where: str
    bears_it: bool
    #: Energy stored in the slat when bent home, and the force at its tip when a clamp lets
    #: go; None for the blanket. [J], [N]
    energy_j: float | None = None
    tip_force_n: float | None = None
    #: The same force at the neck end, which springs when the ram nearest to it comes off. [N]
    neck_force_n: float | None = None
    words: str = ""


@dataclass(frozen=True, kw_only=True)
class Tooling:
    """Everything to make for one model and one stack."""

    parts: tuple[Part, ...]
    rams: tuple[RamTravel, ...]
    slats: tuple[SlatCheck, ...]
    warnings: tuple[str, ...] = ()

    def part(self, name: str) -> Part:
        """The part of that name."""
        return next(part for part in self.parts if part.name == name)
