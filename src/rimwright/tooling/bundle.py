"""What a piece of side needs of its tooling, and what lies on either face of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from rimwright.curves.chain import Chain
from rimwright.curves.piece import FloatArray, Similarity
from rimwright.equipment.stack import Layer
from rimwright.errors import FoldedOffsetError
from rimwright.instrument.design import Design
from rimwright.instrument.outline import Hand, RimPiece
from rimwright.instrument.stations import Feature
from rimwright.tooling.loops import end_of, start_of
from rimwright.tooling.parts import Part
from rimwright.units import length_text

#: A clamp's bite past the trimmed end of the side. [m]; our choice
CLAMP_ROOM_M = 0.025
#: How far form and rams stand past the side's edges, both together. [m]; our choice
EDGE_ROOM_M = 0.010
#: A slat's grip past the side at each end. [m]; our choice
HANDLE_M = 0.050


@dataclass(frozen=True, slots=True, kw_only=True)
class SideSize:
    """The measures of one piece of side as it goes on the form."""

    #: At bending. [m]
    thickness_m: float
    #: Of the blank, edge to edge. [m]
    width_m: float
    #: What the neck end adds to the drawn piece (negative: takes off). [m]
    neck_end_m: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Job:
    """One piece of rim to be bent, with its bundle, turned so that the body lies left.

    The bass side runs counter-clockwise from the tail, so that the body lies to the left of
    the travel; a treble piece is mirrored for the work, and its parts are mirrored back.
    """

    #: As a piece of the bass side.
    rim: RimPiece
    hand: Hand
    size: SideSize
    design: Design
    #: The named places of this piece; their `y_m` is in body coordinates.
    features: tuple[Feature, ...] = ()

    @classmethod
    def of(
        cls, rim: RimPiece, size: SideSize, design: Design, features: tuple[Feature, ...] = ()
    ) -> Job:
        """The job of bending `rim`."""
        turned = rim
        if rim.hand == "treble":
            turned = replace(rim, hand="bass", chain=rim.chain.mirrored())
        own = tuple(place for place in features if place.piece == rim.name)
        return cls(rim=turned, hand=rim.hand, size=size, design=design, features=own)

    @property
    def tag(self) -> str:
        """File-safe: "bass", "treble" or "treble-return"."""
        return self.hand if self.rim.name == "main" else f"{self.hand}-{self.rim.name}"

    @property
    def words(self) -> str:
        """In words: "bass side" or "treble side, return piece"."""
        return f"{self.hand} side" + ("" if self.rim.name == "main" else ", return piece")

    @property
    def inside_layers(self) -> tuple[Layer, ...]:
        """Layers between form and side, from the form outwards, bundled strips included."""
        return self.design.equipment.below_side + self._strips("inside")

    @property
    def outside_layers(self) -> tuple[Layer, ...]:
        """Layers outside the side, from the side outwards, bundled strips included."""
        return self._strips("outside") + self.design.equipment.above_side

    def _strips(self, place: str) -> tuple[Layer, ...]:
        """Bindings and purflings bent against the side, unless the stack names its own."""
        if any(layer.kind == "strip" for layer in self.design.equipment.layers):
            return ()
        return tuple(
            Layer(kind="strip", material=strip.name, thickness_m=strip.thickness_m * strip.count)
            for strip in self.design.strips
            if strip.place == place
        )

    @property
    def inside_m(self) -> float:
        """Between form and side. [m]"""
        return sum(layer.thickness_m for layer in self.inside_layers)

    @property
    def outside_m(self) -> float:
        """Between side and ram. [m]"""
        return sum(layer.thickness_m for layer in self.outside_layers)

    @property
    def width_m(self) -> float:
        """Of the bundle: the blank with what is bent beside it. [m]"""
        beside = (s for s in self.design.strips if s.place == "beside")
        return self.size.width_m + sum(strip.height_m * strip.count for strip in beside)

    @property
    def depth_m(self) -> float:
        """How thick form, rams and cauls must stand. [m]"""
        return self.width_m + EDGE_ROOM_M

    @property
    def tail_room_m(self) -> float:
        """Straight past the drawn end at the tail (or tip): trim and a clamp. [m]"""
        return self.design.ends.trim_tail_m + CLAMP_ROOM_M

    @property
    def neck_room_m(self) -> float:
        """The same past the neck end, with what that end adds. [m]"""
        return max(self.size.neck_end_m, 0.0) + self.design.ends.trim_neck_m + CLAMP_ROOM_M

    def bend(self, s: float) -> str:
        """The named bend nearest to a place on the outer line: "waist", "horn"."""
        bends = [place for place in self.features if place.kind != "end"]
        near = min(bends, key=lambda place: abs(place.s_m - s), default=None)
        return "bend" if near is None else near.name

    def parallel(self, distance: float, what: str) -> Chain:
        """The line `distance` inside the outer one (outside if negative). [m]

        Raises
        ------
        FoldedOffsetError
            Where a bend is tighter than that, with the smallest radius possible.
        """
        try:
            return self.rim.inside(distance)
        except FoldedOffsetError as error:
            show = self.design.show
            tightest = self.rim.tightest(convex=distance > 0.0)
            if tightest is None:
                raise
            radius, s = tightest
            least = length_text(abs(distance), show, fine=True)
            raise FoldedOffsetError(
                f"a bend of {length_text(radius, show, fine=True)} radius at the {self.bend(s)}",
                f"more than {least}, the smallest possible with this side and stack",
                "make the bend rounder, or side or stack thinner",
                where=f"{what}, {self.words}",
            ) from error

    @cached_property
    def form_line(self) -> Chain:
        """The line of the form under the bundle."""
        return self.parallel(self.size.thickness_m + self.inside_m, "form")

    @cached_property
    def outside_line(self) -> FloatArray:
        """The outside of the bundle with its straight ends, as points, shape (n, 2). [m]"""
        return self.with_ends(self.parallel(-self.outside_m, "outside of the stack"), 5e-5)

    def with_ends(self, line: Chain, tolerance: float) -> FloatArray:
        """Points of a line along the side, and the tips of its straight ends. [m]"""
        first, last = start_of(line), end_of(line)
        return np.vstack(
            [
                first.position[0] - self.tail_room_m * first.tangent[0],
                line.points(tolerance),
                last.position[0] + self.neck_room_m * last.tangent[0],
            ]
        )

    def layers(self) -> Iterator[tuple[Layer, float]]:
        """Every layer but the side, with how far inside the outer line its middle lies. [m]"""
        distance = self.size.thickness_m
        for layer in reversed(self.inside_layers):
            yield layer, distance + 0.5 * layer.thickness_m
            distance += layer.thickness_m
        distance = 0.0
        for layer in self.outside_layers:
            yield layer, distance - 0.5 * layer.thickness_m
            distance -= layer.thickness_m

    def across(self, s: float, distance: float, length: float) -> FloatArray:
        """A tick across the rim at `s`, from `distance` inside the outer line inwards. [m]"""
        frame = self.rim.chain.at(np.array([s]))
        return np.asarray(
            frame.position + np.array([[distance], [distance + length]]) * frame.normal
        )

    def stack_note(self, stack_m: float, between: str) -> str:
        """The sentence that says what a part was drawn from."""
        said = "ASSUMED stack" if self.design.equipment.assumed else "Stack"
        thick = length_text(stack_m, self.design.show, fine=True)
        return f"{said}: {thick} between {between}."

    def put_back(self, part: Part, turn: Similarity | None = None) -> Part:
        """A part from the working position back into body coordinates."""
        # Turned back, then mirrored: which is mirrored, then turned the other way.
        angle = 0.0 if turn is None else turn.rotation
        home = Similarity(
            rotation=-angle if self.hand == "treble" else angle, mirror=self.hand == "treble"
        )
        if not home.mirror and not home.rotation:
            return part
        return replace(
            part,
            outline=part.outline.transformed(home),
            holes=tuple(hole.transformed(home) for hole in part.holes),
            working=None if part.working is None else part.working.transformed(home),
            marks=tuple((name, home.points(line)) for name, line in part.marks),
        )
