"""What the tables of the design file have in common, and the table of the instrument.

Keys are trade words; quantities are text with units. The plain values that the rest of
the house uses are in `rimwright.instrument.design`; these models are its door.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

from rimwright.instrument.design_files.quantity import (
    DISH_RADIUS,
    RIM_DEPTH,
    SIDE_THICKNESS,
    Quantity,
)

Text = Annotated[
    str, StringConstraints(min_length=1, max_length=80, pattern=r"^[^\x00-\x1f\x7f]*$")
]
Station = Annotated[float, Quantity("length", 0.0, 1.5)]
DishRadius = Annotated[float, DISH_RADIUS]
Depth = Annotated[float, RIM_DEPTH]
SideThickness = Annotated[float, SIDE_THICKNESS]
PlateThickness = Annotated[float, Quantity("length", 0.0005, 0.015)]
BlockSize = Annotated[float, Quantity("length", 0.005, 0.3)]
Allowance = Annotated[float, Quantity("length", 0.0, 0.2)]


class Table(BaseModel):
    """A table that refuses keys it does not know."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, defer_build=True)


class InstrumentTable(Table):
    """What the instrument is called and for whom it is."""

    name: Text = Field(description="Name of the model or of the instrument.")
    player: Literal["right", "left"] = Field(
        "right", description="The player's hand; left mirrors what must be mirrored."
    )
    show: Literal["metric", "inch"] = Field("metric", description="How sheets show figures.")
