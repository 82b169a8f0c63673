"""The tables of the design file that give a body by its measures or by arcs."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from rimwright.instrument.design_files.quantity import (
    BODY_LENGTH,
    BODY_WIDTH,
    Quantity,
    RefusedError,
)
from rimwright.instrument.design_files.tables import Station, Table

Width = Annotated[float, BODY_WIDTH]
BendRadius = Annotated[float, Quantity("length", 0.002, 100.0)]
Fullness = Annotated[float, Quantity("fraction", 0.5, 1.0)]


class Bout(Table):
    """A width of the body and where it lies."""

    width: Width = Field(description="Full width, both halves.")
    station: Station = Field(description="Distance from the tail seam along the centreline.")


class CutawayTable(Table):
    """A cutaway on the treble half."""

    kind: Literal["rounded", "pointed"] = Field(description="Rounded or pointed horn.")
    depth: Station = Field(
        description="How far the horn's tip stops short of the neck end, along the centreline."
    )
    horn_radius: BendRadius | None = Field(None, description="Of a rounded horn.")
    scoop_radius: BendRadius = Field(description="Of the concave bend from horn to neck.")
    neck_half_width: Station = Field(
        description="Where the scoop meets the neck: distance from the centreline."
    )

    @model_validator(mode="after")
    def _horn(self) -> CutawayTable:
        if self.kind == "rounded" and self.horn_radius is None:
            raise RefusedError(
                "a rounded cutaway without horn_radius",
                "the radius of the horn",
                'add horn_radius = "22 mm"',
            )
        if self.kind == "pointed" and self.horn_radius is not None:
            raise RefusedError(
                "a horn_radius on a pointed cutaway",
                "none, its horn is a corner",
                "take the key out",
                key="horn_radius",
            )
        return self


class LandmarksTable(Table):
    """A body by its measures; the fairest curve through them is drawn."""

    body_length: Annotated[float, BODY_LENGTH] = Field(
        description="Tail seam to the neck end of the body."
    )
    lower_bout: Bout = Field(description="Where the lower bout is widest.")
    waist: Bout = Field(description="Where the waist is narrowest.")
    upper_bout: Bout = Field(description="Where the upper bout is widest.")
    tail_fullness: Fullness | None = Field(
        None,
        description="Share of the rectangle between tail and widest lower bout that the body "
        "fills; an ellipse fills 78.5 %. Left out: the fairest curve.",
    )
    shoulder_fullness: Fullness | None = Field(
        None, description="The same between the widest upper bout and the neck end."
    )
    cutaway: CutawayTable | None = Field(None, description="Left out: no cutaway.")

    @model_validator(mode="after")
    def _order(self) -> LandmarksTable:
        lower, waist, upper = self.lower_bout, self.waist, self.upper_bout
        narrower = min(lower.width, upper.width)
        if waist.width >= narrower:
            raise RefusedError(
                f"a waist of {waist.width * 1e3:.4g} mm, wider than a bout",
                f"less than {narrower * 1e3:.4g} mm",
                "check the three widths",
                key="waist.width",
            )
        places = (0.0, lower.station, waist.station, upper.station, self.body_length)
        keys = ("lower_bout.station", "waist.station", "upper_bout.station", "body_length")
        for before, after, key in zip(places, places[1:], keys, strict=False):
            if after <= before:
                raise RefusedError(
                    f"{after * 1e3:.4g} mm",
                    f"more than {before * 1e3:.4g} mm: tail, lower bout, waist, upper bout and "
                    "neck follow each other",
                    "measure every station from the tail seam",
                    key=key,
                )
        cut = self.cutaway
        if cut and cut.depth >= self.body_length - waist.station:
            raise RefusedError(
                f"a cutaway {cut.depth * 1e3:.4g} mm deep, past the waist",
                f"less than {(self.body_length - waist.station) * 1e3:.4g} mm",
                "measure it from the neck end of the body",
                key="cutaway.depth",
            )
        if cut and cut.neck_half_width >= upper.width / 2:
            raise RefusedError(
                f"{cut.neck_half_width * 1e3:.4g} mm, outside the upper bout",
                f"less than {upper.width * 5e2:.4g} mm from the centreline",
                "give half the width of the neck there",
                key="cutaway.neck_half_width",
            )
        return self


class ArcTable(Table):
    """One tangent arc, or a straight line (a length and no radius)."""

    radius: BendRadius | None = Field(None, description="Left out: a straight line.")
    concave: bool = Field(False, description="true where it bends into the body, as at the waist.")
    sweep: Annotated[float, Quantity("angle", 1e-4, 6.3)] | None = Field(
        None, description="How far it turns."
    )
    length: Annotated[float, Quantity("length", 1e-4, 3.0)] | None = Field(
        None, description="Of a straight, or of an arc instead of its sweep."
    )
    corner: Annotated[float, Quantity("angle", 1e-3, 3.14)] | None = Field(
        None, description="Turn of the corner it starts with: the tip of a pointed cutaway."
    )

    @model_validator(mode="after")
    def _determined(self) -> ArcTable:
        if self.radius is None and (self.length is None or self.sweep is not None or self.concave):
            raise RefusedError(
                "an arc without a radius",
                "radius and sweep, radius and length, or a length alone for a straight line",
                'write it like { radius = "90 mm", sweep = "55 deg" }',
            )
        if self.radius is not None and (self.length is None) == (self.sweep is None):
            raise RefusedError(
                "both a sweep and a length" if self.length else "neither sweep nor length",
                "one of the two",
                'write it like { radius = "90 mm", sweep = "55 deg" }',
            )
        return self


class ArcsTable(Table):
    """The body by tangent arcs from the tail seam, the compass-and-straightedge way."""

    bass: list[ArcTable] = Field(min_length=1, max_length=200, description="The bass half.")
    treble: list[ArcTable] | None = Field(
        None, min_length=1, max_length=200, description="Left out: the bass half mirrored."
    )
