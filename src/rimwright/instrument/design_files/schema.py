"""The whole design file and the whole shop file, as the reader checks them."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints, model_validator

from rimwright.instrument.design_files.outline_tables import OutlineTable
from rimwright.instrument.design_files.probe_tables import ProbeTable
from rimwright.instrument.design_files.quantity import Quantity, RefusedError, short
from rimwright.instrument.design_files.shop_tables import (
    EquipmentTable,
    HoursTable,
    RoomTable,
    WoodTable,
)
from rimwright.instrument.design_files.side_tables import LiningsTable, SidesTable, StripTable
from rimwright.instrument.design_files.tables import (
    Allowance,
    BlockSize,
    Depth,
    DishRadius,
    InstrumentTable,
    PlateThickness,
    Station,
    Table,
    Text,
)

NeckEndWords = Literal["centreline", "across the block", "flank", "first touch", "slots"]
School = Literal["misted", "nearly dry", "hot"]
Bend = Literal[
    "waist nearly home", "horn", "scoop", "lower bout", "upper bout", "waist home", "tail"
]
Temperature = Annotated[float, Quantity("temperature", 40.0, 300.0)]
Duration = Annotated[float, Quantity("time", 0.0, 60 * 86_400.0)]


class BackTable(Table):
    """The back plate: the surface that the back edge of the sides meets."""

    shape: Literal["flat", "cylinder", "dome"] = Field("flat", description="Its arching.")
    radius: DishRadius | None = Field(None, description="Dish or cylinder radius.")
    thickness: PlateThickness = Field(0.0025, description="Of the plate itself.")

    @model_validator(mode="after")
    def _radius(self) -> BackTable:
        if (self.shape == "flat") != (self.radius is None):
            raise RefusedError(
                "a flat plate with a radius" if self.radius else f"a {self.shape} without radius",
                "a radius for a cylinder or a dome, none for a flat plate",
                "take the radius out or say the shape" if self.radius else 'add radius = "15 ft"',
                key="radius" if self.radius else "shape",
            )
        return self


class TopTable(BackTable):
    """The top plate, which may run flat towards the neck."""

    flat_from: Station | None = Field(
        None, description="The top runs flat from this station to the neck."
    )

    @model_validator(mode="after")
    def _flat(self) -> TopTable:
        if self.shape == "flat" and self.flat_from is not None:
            raise RefusedError(
                "flat_from on a flat top",
                "a domed or cylindrical top, a flat one is flat everywhere",
                "take the key out",
                key="flat_from",
            )
        return self


class PlatesTable(Table):
    """Both plates, and the depth of the body at its ends."""

    depth_tail: Depth = Field(description="At the tail, on the outline.")
    depth_neck: Depth = Field(description="At the neck, on the outline.")
    depth_is: Literal["rim", "over the plates"] = Field(
        "rim", description="Height of the rim alone, or with both plates' thickness."
    )
    top: TopTable | None = Field(None, description="Left out: flat.")
    back: BackTable | None = Field(None, description="Left out: flat.")


class EndsTable(Table):
    """Blocks, and where each side ends at the neck."""

    neck_block_width: BlockSize = Field(0.056, description="Across the body.")
    neck_block_length: BlockSize = Field(0.05, description="From the neck end inwards.")
    neck_block_kind: Text = Field("dovetail", description="In your own words.")
    tail_block_width: BlockSize = Field(0.06, description="Across the body.")
    bass_ends: NeckEndWords = Field("centreline", description="Where the bass side ends.")
    treble_ends: NeckEndWords = Field("centreline", description="Where the treble side ends.")
    slot_depth: Allowance | None = Field(None, description="Of the slots in the neck block.")
    trim_tail: Allowance = Field(0.02, description="Left over at the tail, to trim.")
    trim_neck: Allowance = Field(0.02, description="Left over at the neck, to trim.")

    @model_validator(mode="after")
    def _slots(self) -> EndsTable:
        wanted = "slots" in (self.bass_ends, self.treble_ends)
        if wanted and not self.slot_depth:
            raise RefusedError(
                "a side that ends in slots without slot_depth",
                "how deep the slots in the neck block are",
                'add slot_depth = "6 mm"',
            )
        if self.slot_depth and self.slot_depth > self.neck_block_width / 2:
            raise RefusedError(
                f"slots {self.slot_depth * 1e3:.4g} mm deep",
                f"half the neck block at most, {self.neck_block_width * 5e2:.4g} mm",
                "check both keys",
                key="slot_depth",
            )
        return self


class WettingTable(Table):
    """How the wood is wetted before the heat."""

    method: Literal["dry", "mist", "dip", "soak"] = Field("mist", description="The way.")
    duration: Duration = Field(0.0, description="Of a dip or a soak.")
    stand: Duration = Field(600.0, description="Wrapped and standing before the heat.")


class HeatingTable(Table):
    """Targets of the heat; left out, those of the school."""

    school: School = Field("misted", description="Whose figures the targets are.")
    early_alarm: Temperature | None = Field(None, description="An alarm before the target.")
    target: Temperature | None = Field(None, description="Where the bends begin.")
    limit: Temperature | None = Field(
        None,
        description="Where the live bend calls too hot; left out: 180 °C, or 10 °C above the "
        "target where that is more.",
    )
    order: list[Bend] = Field(default=[], max_length=20, description="Of the bends, by name.")
    rest: Duration = Field(86_400.0, description="On the form, after the heat.")

    @model_validator(mode="after")
    def _alarm(self) -> HeatingTable:
        if self.early_alarm and self.target and self.early_alarm > self.target:
            raise RefusedError(
                f"an early alarm at {self.early_alarm:.4g} °C, after the target",
                f"at most {self.target:.4g} °C",
                "check both temperatures",
                key="early_alarm",
            )
        return self


class MarginsTable(Table):
    """How much is held back for safety."""

    strain: Annotated[float, Quantity("fraction", 0.1, 1.0)] = Field(
        0.85, description="Share of the wood's capacity that may be used."
    )
    strip_end: Allowance = Field(0.025, description="Over at each end of bindings and linings.")
    blank_edge: Annotated[float, Quantity("length", 0.0, 0.05)] = Field(
        0.003, description="Extra width of the blank at each edge."
    )


class ToolingTable(Table):
    """How the tooling is drawn."""

    form: Literal["as drawn", "compensated"] = Field(
        "as drawn",
        description="Whether form and rams follow the outline, or are bent past it for the "
        "spring-back of the wood that is named.",
    )


class DesignFile(Table):
    """A Rimwright design: one instrument (`*.rim.toml`)."""

    instrument: InstrumentTable
    outline: OutlineTable
    plates: PlatesTable
    ends: EndsTable = EndsTable.model_construct()
    sides: SidesTable = SidesTable.model_construct()
    bindings: list[StripTable] = Field(default=[], max_length=20)
    purflings: list[StripTable] = Field(default=[], max_length=20)
    linings: LiningsTable | None = None
    equipment: EquipmentTable | None = None
    room: RoomTable | None = None
    wetting: WettingTable | None = None
    heating: HeatingTable | None = None
    margins: MarginsTable | None = None
    tooling: ToolingTable | None = None


class ShopFile(Table):
    """What belongs to the shop and not to one instrument (`shop.toml`)."""

    shop: Annotated[str, StringConstraints(max_length=80)] = Field("", description="Its name.")
    equipment: EquipmentTable | None = None
    room: RoomTable | None = None
    hours: HoursTable | None = None
    probes: list[ProbeTable] = Field(
        default=[], max_length=16, description="Each probe of the bender."
    )
    woods: dict[str, WoodTable] = Field(default={}, description="Own woods, by name.")

    @model_validator(mode="after")
    def _names(self) -> ShopFile:
        for name in self.woods:
            if not name.strip() or not name.isprintable() or len(name) > 80:
                raise RefusedError(
                    f"a wood named {short(name)}",
                    "a name of 1 to 80 characters",
                    'write it like [woods."pond walnut"]',
                    key="woods",
                )
        return self
