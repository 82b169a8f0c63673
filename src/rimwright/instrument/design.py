"""A design as plain values: what the design file and the shop file say, in SI.

Read and written by `rimwright.instrument.design_files.load`; every later room takes its part.
All lengths in metres, temperatures in degrees Celsius, humidity and moisture as fractions.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Literal

from rimwright.equipment.stack import Equipment
from rimwright.instrument.outline import Hand, View

OutlineLine = Literal["outside", "inside", "overhang", "mould"]
NeckEnd = Literal["centreline", "across_block", "flank", "first_touch", "slots"]
FormShape = Literal["as drawn", "compensated"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutaway:
    """A cutaway on the treble half, given by landmarks."""

    kind: Literal["rounded", "pointed"]
    #: How far the horn's tip stops short of the body's neck end, along x. [m]
    depth_m: float
    #: Radius of the convex horn; a pointed one has none. [m]
    horn_radius_m: float | None
    #: Radius of the concave bend from horn to neck. [m]
    scoop_radius_m: float
    #: Where the scoop meets the neck: distance from the centreline. [m]
    neck_half_width_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Landmarks:
    """A body by its measures; stations are distances from the tail seam along x."""

    body_length_m: float
    lower_width_m: float
    lower_station_m: float
    waist_width_m: float
    waist_station_m: float
    upper_width_m: float
    upper_station_m: float
    #: Share of the rectangle between tail and widest lower bout that the body fills, or
    #: None for the fairest curve. An ellipse fills pi/4 = 0.785.
    tail_fullness: float | None = None
    #: The same between the widest upper bout and the neck end.
    shoulder_fullness: float | None = None
    cutaway: Cutaway | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ArcStep:
    """One tangent arc of a half outline: radius (None: straight) and sweep or length."""

    #: Positive convex, negative concave, None straight. [m]
    radius_m: float | None
    #: Turn of the arc, positive. [rad]
    sweep_rad: float | None = None
    #: For a straight, or instead of a sweep. [m]
    length_m: float | None = None
    #: This arc starts at a corner of this turn (the tip of a pointed cutaway). [rad]
    corner_rad: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ArcList:
    """Both halves by tangent arcs from the tail seam; without `treble` it mirrors bass."""

    bass: tuple[ArcStep, ...]
    treble: tuple[ArcStep, ...] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """A drawing or a trace to read the outline from (DXF, SVG, PNG, JPEG)."""

    path: Path
    layer: str | None = None
    #: Names or handles of the entities that are the outline.
    select: tuple[str, ...] = ()
    #: Metres of one drawing unit, when the maker names the unit.
    unit_m: float | None = None
    #: The unit's name as given, for messages.
    unit_name: str | None = None
    dots_per_inch: float | None = None
    body_length_m: float | None = None
    #: Which end of the drawing's centreline is the tail, if the reader must be overruled.
    tail: Literal["left", "right", "top", "bottom"] | None = None
    #: Which side a cutaway is on, if the reader must be overruled.
    cutaway_side: Literal["bass", "treble"] | None = None
    #: Treat as a noisy trace; None lets the reader decide.
    trace: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OutlineSource:
    """Where the outline comes from, and which line of the instrument it draws."""

    source: Landmarks | ArcList | Drawing
    line: OutlineLine = "outside"
    #: Side from which the plan is drawn; None: not said, so assumed and reported.
    seen_from: View | None = None
    #: How far the plates stand over the rim, for line "overhang". [m]
    overhang_m: float = 0.0
    #: How far the mould stands off the rim, for line "mould". [m]
    mould_clearance_m: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """A plate's arching: the surface that the edge of the side meets."""

    shape: Literal["flat", "cylinder", "dome"] = "flat"
    #: Dish or cylinder radius. [m]
    radius_m: float | None = None
    #: [m]
    thickness_m: float = 0.0025
    #: A top that runs flat from this station to the neck; x from the tail seam. [m]
    flat_from_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Plates:
    """Both plates and the depth of the body at its ends."""

    top: Plate
    back: Plate
    depth_tail_m: float
    depth_neck_m: float
    #: "rim": height of the rim at the edge. "over_plates": with both plates' thickness.
    depth_is: Literal["rim", "over_plates"] = "rim"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ends:
    """Blocks, and where each side ends at the neck."""

    neck_block_width_m: float
    #: Along x, from the body's neck end inwards. [m]
    neck_block_length_m: float
    neck_block_kind: str
    tail_block_width_m: float
    neck_end_bass: NeckEnd = "centreline"
    neck_end_treble: NeckEnd = "centreline"
    #: Depth of the slots in the neck block, for "slots". [m]
    slot_depth_m: float = 0.0
    trim_tail_m: float = 0.020
    trim_neck_m: float = 0.020
    #: Hands whose neck end the maker did not say; a cutaway half then ends at the flank.
    neck_ends_assumed: tuple[Hand, ...] = ()
    #: True where the width of the neck block was not said; a drawn cutaway then gives it.
    neck_block_assumed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ThinnedZone:
    """A stretch of one side made thinner than the rest."""

    hand: Literal["bass", "treble", "both"]
    #: Along the outer line from the tail seam. [m]
    from_m: float
    to_m: float
    thickness_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sides:
    """The wood of the sides and how thick it is."""

    #: Name of a wood, or None: then no advice and no odds.
    wood: str | None = None
    #: At bending; None means "advise". [m]
    thickness_m: float | None = None
    #: After bending and sanding; None: as bent. [m]
    finished_thickness_m: float | None = None
    thinned: tuple[ThinnedZone, ...] = ()
    figure: Literal["plain", "some", "strong"] | None = None
    #: Slope of the grain to the side's face or edge, the larger. [rad]
    grain_angle_rad: float | None = None
    #: Width and length of the boards in hand, for the stock check. [m]
    board_width_m: float | None = None
    board_length_m: float | None = None
    #: How far the pattern stands proud of the plates when profiled before bending. [m]
    proud_m: float = 0.0013
    #: Lay the pattern turned on the board so that the blank is narrowest.
    rotate_on_board: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """A binding or purfling bent with the side."""

    name: str
    kind: Literal["binding", "purfling"] = "binding"
    wood: str | None
    thickness_m: float
    height_m: float
    #: How many layers of this strip lie there.
    count: int = 1
    place: Literal["inside", "outside", "beside"] = "outside"
    #: Glued up before bending (warned of in the heat).
    pre_glued: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Lining:
    """The strips inside the rim that carry the plates' edges."""

    kind: Literal["kerfed", "solid", "laminated"] = "kerfed"
    wood: str | None = None
    thickness_m: float = 0.0055
    height_m: float = 0.014


@dataclass(frozen=True, slots=True, kw_only=True)
class Wetting:
    """How the wood is wetted before the heat."""

    method: Literal["dry", "mist", "dip", "soak"] = "mist"
    duration_s: float = 0.0
    #: Wrapped and standing before the heat; common practice is 10 minutes. [s]
    stand_s: float = 600.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Margins:
    """How much is held back for safety."""

    #: Share of the wood's capacity that may be used at the tightest bend.
    strain: float = 0.85
    #: Left over at each end of bindings and linings. [m]
    strip_end_m: float = 0.025
    #: Extra width of the blank at each edge. [m]
    blank_edge_m: float = 0.003


@dataclass(frozen=True, slots=True, kw_only=True)
class Heating:
    """The heating the maker chose: which school, which targets."""

    #: Name of the school whose figures the targets are; see `bending.recipe`.
    school: str = "misted"
    #: Overrides of the school's figures; None: the school's. [degC]
    early_alarm_c: float | None = None
    target_c: float | None = None
    #: Where "too hot" is called; None: the usual. [degC]
    limit_c: float | None = None
    #: Order of the bends by name; empty: the default order.
    order: tuple[str, ...] = ()
    rest_s: float = 86_400.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours:
    """When somebody is in the shop."""

    #: Since midnight. [s]
    opens_s: float
    closes_s: float
    days: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Design:
    """One instrument, ready to be planned."""

    name: str
    #: The player's hand.
    player: Literal["right", "left"] = "right"
    #: How figures are shown.
    show: Literal["metric", "inch"] = "metric"
    outline: OutlineSource
    plates: Plates
    ends: Ends
    sides: Sides = Sides()
    strips: tuple[Strip, ...] = ()
    lining: Lining | None = None
    equipment: Equipment = field(default_factory=Equipment)
    wetting: Wetting = Wetting()
    margins: Margins = Margins()
    heating: Heating = Heating()
    #: Whether forms and rams follow the outline, or are bent past it for spring-back.
    form: FormShape = "as drawn"
    #: What was filled in because neither file nor command said it, most important first.
    assumed: tuple[str, ...] = ()
    #: The shop's own woods by name, as the wood room reads them.
    own_woods: dict[str, dict[str, object]] = field(default_factory=dict)
    #: Name of the shop, for the sheets; "" where none is given.
    shop: str = ""
    #: When somebody is there; None: not said.
    hours: Hours | None = None
