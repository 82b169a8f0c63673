"""The tables of the design file for the sides and what is bent with them."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator

from rimwright.instrument.design_files.quantity import Quantity, RefusedError
from rimwright.instrument.design_files.tables import SideThickness, Table, Text

StripThickness = Annotated[float, Quantity("length", 0.0001, 0.01)]
StripHeight = Annotated[float, Quantity("length", 0.0005, 0.03)]


class ThinnedTable(Table):
    """A stretch of a side made thinner than the rest."""

    hand: Literal["bass", "treble", "both"] = Field(description="Which side.")
    from_: Annotated[float, Quantity("length", 0.0, 3.0)] = Field(
        alias="from", description="From the tail seam along the outside of the rim."
    )
    to: Annotated[float, Quantity("length", 0.0, 3.0)] = Field(
        description="From the tail seam along the outside of the rim."
    )
    thickness: SideThickness = Field(description="There, at bending.")

    @model_validator(mode="after")
    def _stretch(self) -> ThinnedTable:
        if self.to <= self.from_:
            raise RefusedError(
                f"a zone that ends at {self.to * 1e3:.4g} mm",
                f"more than its start, {self.from_ * 1e3:.4g} mm",
                "measure both from the tail seam",
                key="to",
            )
        return self


class SidesTable(Table):
    """The wood of the sides and how thick it is."""

    wood: Text | None = Field(None, description="See `rimwright woods`; left out: no advice.")
    thickness: SideThickness | Literal["advise"] = Field(
        "advise", description='At bending, or "advise" for the greatest the wood bears.'
    )
    finished_thickness: SideThickness | None = Field(None, description="After final sanding.")
    thinned: list[ThinnedTable] = Field(default=[], max_length=20, description="Thinned zones.")
    figure: Literal["plain", "some", "strong"] | None = Field(None, description="Curl, flame.")
    grain_angle: Annotated[float, Quantity("angle", 0.0, 0.8)] | None = Field(
        None, description="Run-out: slope of the grain to face or edge, the larger."
    )
    board_width: Annotated[float, Quantity("length", 0.01, 1.0)] | None = Field(
        None, description="Of the boards in hand."
    )
    board_length: Annotated[float, Quantity("length", 0.1, 4.0)] | None = Field(
        None, description="Of the boards in hand."
    )
    proud: Annotated[float, Quantity("length", 0.0, 0.01)] = Field(
        0.0013, description="How far a profiled edge stands proud of the plates."
    )
    rotate_on_board: bool = Field(False, description="Turn the pattern for the narrowest blank.")

    @model_validator(mode="after")
    def _thicknesses(self) -> SidesTable:
        if not isinstance(self.thickness, float):
            return self
        thinner = [("finished_thickness", self.finished_thickness)]
        thinner += [(f"thinned.{i}.thickness", z.thickness) for i, z in enumerate(self.thinned)]
        for key, value in thinner:
            if value is not None and value > self.thickness + 1e-9:
                raise RefusedError(
                    f"{value * 1e3:.4g} mm",
                    f"no more than the thickness at bending, {self.thickness * 1e3:.4g} mm",
                    "check both thicknesses",
                    key=key,
                )
        return self


class StripTable(Table):
    """A binding or purfling bent with the side."""

    name: Text | None = Field(None, description="Left out: binding or purfling with its number.")
    wood: Text | None = Field(None, description="See `rimwright woods`.")
    thickness: StripThickness = Field(description="Across the bend, of one layer.")
    height: StripHeight = Field(description="Along the side's width.")
    count: int = Field(1, ge=1, le=20, description="Layers of it; loose ones bend by themselves.")
    place: Literal["inside", "outside", "beside"] = Field(
        "outside", description="Where it lies while the side is bent."
    )
    pre_glued: bool = Field(False, description="Glued up before bending.")


class LiningsTable(Table):
    """The strips inside the rim that carry the plates' edges."""

    kind: Literal["kerfed", "solid", "laminated"] = Field("kerfed", description="How it bends.")
    wood: Text | None = Field(None, description="In your own words.")
    thickness: Annotated[float, Quantity("length", 0.0005, 0.02)] = Field(
        0.0055, description="Into the body."
    )
    height: Annotated[float, Quantity("length", 0.003, 0.05)] = Field(
        0.014, description="Along the side's width."
    )
