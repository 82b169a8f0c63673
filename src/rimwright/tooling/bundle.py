"""What a piece of side needs of its tooling, and what lies on either face of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from rimwright.curves.chain import Chain
from rimwright.curves.piece import FloatArray, Piece, Similarity
from rimwright.equipment.stack import Layer
from rimwright.errors import FoldedOffsetError
from rimwright.instrument.design import Design
from rimwright.instrument.outline import Hand, RimPiece
from rimwright.instrument.stations import Feature
from rimwright.tooling.parts import Part
from rimwright.tooling.samples import Samples
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
    """One piece of rim to be bent, with its bundle, worked on as on the bass side.

    The bass side runs counter-clockwise from the tail, so that the body lies to the left of
    the travel; a treble piece is mirrored for the work, and its parts are mirrored back.
    """

    #: As drawn.
    rim: RimPiece
    size: SideSize
    design: Design
    #: The named places of this piece, in body coordinates.
    features: tuple[Feature, ...] = ()

    @classmethod
    def of(
        cls, rim: RimPiece, size: SideSize, design: Design, features: tuple[Feature, ...] = ()
    ) -> Job:
        """The job of bending `rim`, with those of the features that lie on it."""
        features = tuple(place for place in features if place.piece == rim.name)
        return cls(rim=rim, size=size, design=design, features=features)

    @property
    def hand(self) -> Hand:
        """Bass or treble."""
        return self.rim.hand

    @cached_property
    def samples(self) -> Samples:
        """The outer line, read once."""
        return Samples.of(self.rim)

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

    def across(self, s: float, distance: float, length: float) -> FloatArray:
        """A tick across the rim near `s`, from `distance` inside the outer line inwards. [m]"""
        i = self.samples.index(s)
        steps = np.array([[distance], [distance + length]])
        return np.asarray(self.samples.position[i] + steps * self.samples.normal[i])

    def bend(self, s: float) -> str:
        """The named bend nearest to a place on the outer line: "waist", "horn"."""
        bends = [place for place in self.features if place.kind != "end"]
        near = min(bends, key=lambda place: abs(place.s_m - s), default=None)
        return "bend" if near is None else near.name

    def tightest(self, *, convex: bool) -> tuple[float, float] | None:
        """Smallest convex or concave radius of the samples, and the middle of where it is. [m]"""
        bend = self.samples.curvature if convex else -self.samples.curvature
        greatest = float(bend.max())
        if greatest < 1e-3:
            return None
        return 1.0 / greatest, float(self.samples.s[bend >= greatest * (1.0 - 1e-6)].mean())

    def refuse_fold(self, distance: float, what: str) -> None:
        """Stop where a bend is too tight for the line `distance` inside the outer one. [m]

        Raises
        ------
        FoldedOffsetError
            With the smallest radius possible.
        """
        tightest = self.tightest(convex=distance > 0.0)
        if tightest is None or abs(distance) < tightest[0] * (1.0 - 1e-9):
            return
        show = self.design.show
        radius = length_text(tightest[0], show, fine=True)
        least = length_text(abs(distance), show, fine=True)
        raise FoldedOffsetError(
            f"a bend of {radius} radius at the {self.bend(tightest[1])}",
            f"more than {least}, the smallest possible with this side and stack",
            "make the bend rounder, or side or stack thinner",
            where=f"{what}, {self.words}",
        )

    def parallel(self, distance: float, start: float = 0.0, end: float = np.inf) -> Chain:
        """The exact line `distance` inside the outer one, over a stretch of that. [m]

        Whole pieces stay whole; it is for `refuse_fold` to look for folds.
        """
        pieces: list[Piece] = []
        for station, piece in zip(self.rim.chain.stations, self.rim.chain.pieces, strict=False):
            first, last = max(start - station, 0.0), min(end - station, piece.length)
            if last - first < 1e-9:
                continue
            whole = first < 1e-9 and last > piece.length - 1e-9
            pieces.append(piece if whole else piece.between(first, last))
        line = Chain(tuple(pieces))
        line = line.mirrored() if self.hand == "treble" else line
        return Chain(tuple(p.offset(distance) for p in line.pieces)) if distance else line

    @property
    def form_distance_m(self) -> float:
        """From the outer line in to the form. [m]"""
        return self.size.thickness_m - self.sanded_m + self.inside_m

    @property
    def sanded_m(self) -> float:
        """What is still to sand off: it stands outside the finished rim on the form. [m]"""
        finished = self.design.sides.finished_thickness_m
        return 0.0 if finished is None else max(self.size.thickness_m - finished, 0.0)

    @property
    def press_m(self) -> float:
        """From the outer line out to rams and cauls. [m]"""
        return self.sanded_m + self.outside_m

    @cached_property
    def outside_line(self) -> FloatArray:
        """The outside of the bundle with its straight ends, as points, shape (n, 2). [m]"""
        return self.with_ends(-self.press_m)

    def with_ends(self, distance: float) -> FloatArray:
        """Points of the line `distance` inside the outer one, and of its straight ends. [m]"""
        line, along = self.samples.parallel(distance), self.samples.tangent
        tail, neck = line[0] - self.tail_room_m * along[0], line[-1] + self.neck_room_m * along[-1]
        return np.vstack([tail, line, neck])

    def layers(self) -> Iterator[tuple[Layer, float]]:
        """Every layer but the side, with how far inside the outer line its middle lies. [m]"""
        distance = self.size.thickness_m - self.sanded_m
        for layer in reversed(self.inside_layers):
            yield layer, distance + 0.5 * layer.thickness_m
            distance += layer.thickness_m
        distance = -self.sanded_m
        for layer in self.outside_layers:
            yield layer, distance - 0.5 * layer.thickness_m
            distance -= layer.thickness_m

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
        return replace(
            part,
            outline=part.outline.transformed(home),
            holes=tuple(hole.transformed(home) for hole in part.holes),
            working=None if part.working is None else part.working.transformed(home),
            marks=tuple((name, home.points(line)) for name, line in part.marks),
        )
