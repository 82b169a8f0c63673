"""The tables of the shop file: equipment, room, hours and own woods."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints, model_validator

from rimwright.instrument.design_files.quantity import Quantity, RefusedError
from rimwright.instrument.design_files.tables import Table, Text

LayerThickness = Annotated[float, Quantity("length", 0.000005, 0.006)]
ClockTime = Annotated[str, StringConstraints(pattern=r"^([01][0-9]|2[0-3]):[0-5][0-9]$")]
Day = Literal["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"]


class LayerTable(Table):
    """One layer of the stack."""

    kind: Literal["slat", "wrap", "side", "blanket", "strip", "cover"] = Field(
        description="What it is; exactly one layer is the side."
    )
    material: Text | None = Field(
        None, description='Such as "spring steel", "aluminium", "paper", "foil".'
    )
    thickness: LayerThickness | None = Field(
        None, description="Of the layer as it lies; the side's and the blanket's stand elsewhere."
    )
    temper: Text | None = Field(
        None, description='Of a metal slat: "annealed", "half hard", "blue tempered".'
    )
    width: Annotated[float, Quantity("length", 0.005, 0.6)] | None = Field(
        None, description="Left out: as wide as the side."
    )

    @model_validator(mode="after")
    def _told(self) -> LayerTable:
        elsewhere = {"side": "under [sides]", "blanket": "under [equipment.blanket]"}
        if self.kind in elsewhere:
            if self.thickness is not None:
                raise RefusedError(
                    f"a thickness on the {self.kind}'s layer",
                    f"it to stand {elsewhere[self.kind]}",
                    "take the key out",
                    key="thickness",
                )
        elif self.thickness is None or self.material is None:
            missing = "thickness" if self.thickness is None else "material"
            raise RefusedError(
                f"a {self.kind} without {missing}",
                "both material and thickness",
                'write it like { kind = "slat", material = "spring steel", thickness = "10 thou" }',
            )
        if self.temper is not None and self.kind != "slat":
            raise RefusedError(
                f"a temper on a {self.kind}", "it on slats alone", "take the key out", key="temper"
            )
        return self


class BlanketTable(Table):
    """The heating blanket."""

    length: Annotated[float, Quantity("length", 0.05, 3.0)] = Field(0.9144, description="Heated.")
    width: Annotated[float, Quantity("length", 0.02, 0.6)] = Field(0.1524, description="Heated.")
    thickness: Annotated[float, Quantity("length", 0.0003, 0.01)] = Field(
        0.0016, description="As it lies in the stack."
    )
    power_density: Annotated[float, Quantity("power density", 500.0, 50_000.0)] = Field(
        7750.0, description="Watts on an area, as printed on the blanket."
    )
    least_radius: Annotated[float, Quantity("length", 0.001, 0.2)] = Field(
        0.01, description="Smallest radius it may be bent to."
    )
    control: Literal["dial", "thermostat", "controller"] = Field(
        "dial", description="A dial for power, a thermostat, or a controller with its own probe."
    )


class EquipmentTable(Table):
    """The bender: its stack from the form outwards, its blanket, its probe."""

    stack: list[LayerTable] | None = Field(
        None, min_length=1, max_length=20, description="Layers from the form outwards."
    )
    blanket: BlanketTable | None = None
    probe: Text | None = Field(
        None,
        description="Between which two layers, named from the form outwards: "
        '"between side and paper".',
    )

    @model_validator(mode="after")
    def _one_side(self) -> EquipmentTable:
        count = sum(layer.kind == "side" for layer in self.stack or ())
        if self.stack is not None and count != 1:
            raise RefusedError(
                f"a stack with {count or 'no'} side{'s' * (count > 1)}",
                'exactly one layer of kind "side"',
                "list the layers from the form outwards, the side once among them",
                key="stack",
            )
        if sum(layer.kind == "blanket" for layer in self.stack or ()) > 1:
            raise RefusedError(
                "more than one blanket in the stack",
                "one at most",
                "leave one blanket",
                key="stack",
            )
        return self


class RoomTable(Table):
    """The air of the shop."""

    temperature: Annotated[float, Quantity("temperature", 0.0, 45.0)] = Field(
        21.0, description="Of the room."
    )
    humidity: Annotated[float, Quantity("fraction", 0.05, 0.95)] = Field(
        0.45, description="Relative humidity."
    )


class HoursTable(Table):
    """When somebody is in the shop."""

    opens: ClockTime = Field(description='Such as "08:30".')
    closes: ClockTime = Field(description='Such as "17:00".')
    days: list[Day] = Field(
        default=["Monday", "Tuesday", "Wednesday", "Thursday", "Friday"],
        min_length=1,
        max_length=7,
        description="Of the week.",
    )

    @model_validator(mode="after")
    def _order(self) -> HoursTable:
        if self.closes <= self.opens:
            raise RefusedError(
                f"closing at '{self.closes}'",
                f"a time after opening, '{self.opens}'",
                "write both on the 24 hour clock",
                key="closes",
            )
        return self


class WoodTable(Table):
    """A wood of your own: what you know of it, and from where; `like` lends the rest."""

    source: Annotated[str, StringConstraints(min_length=3, max_length=300)] = Field(
        description="Where the values are from: a text, or when and how you measured."
    )
    like: Text | None = Field(
        None, description="Listed wood that stands in for what is not given here."
    )
    class_: (
        Literal[
            "diffuse-porous", "ring-porous", "tropical", "dense tropical", "dense oily", "softwood"
        ]
        | None
    ) = Field(None, alias="class", description="Needed where no wood is named that it is like.")
    botanical: Text | None = Field(None, description="Botanical name.")
    oily: bool | None = Field(None, description="Whether oils come to the surface in the heat.")
    dust: Literal["irritant", "sensitiser", "strong sensitiser"] | None = Field(
        None, description="What its dust does."
    )
    ease: Text | None = Field(None, description="How it bends, in your words.")
    figure: Text | None = Field(None, description="What figure does to it, in your words.")
    gravity_12: Annotated[float, Field(ge=0.05, le=1.5)] | None = Field(
        None, description="Specific gravity: oven-dry mass over volume at 12 % moisture."
    )
    moe_gpa: Annotated[float, Field(ge=1.0, le=40.0)] | None = Field(
        None, description="Modulus of elasticity along the grain at 12 % moisture, in GPa."
    )
    mor_mpa: Annotated[float, Field(ge=10.0, le=400.0)] | None = Field(
        None, description="Modulus of rupture at 12 % moisture, in MPa."
    )
    shrinkage_radial_percent: Annotated[float, Field(ge=0.1, le=20.0)] | None = Field(
        None, description="Green to oven-dry, in percent."
    )
    shrinkage_tangential_percent: Annotated[float, Field(ge=0.1, le=30.0)] | None = Field(
        None, description="Green to oven-dry, in percent."
    )
    radius_per_thickness: Annotated[float, Field(ge=2.0, le=200.0)] | None = Field(
        None, description="Smallest radius you bent it to without a strap, over its thickness."
    )

    @model_validator(mode="after")
    def _known(self) -> WoodTable:
        if self.like is None and self.class_ is None:
            raise RefusedError(
                "a wood with neither like nor class",
                "a listed wood it is like, or its class",
                'add like = "black walnut"; see `rimwright woods`',
            )
        return self
