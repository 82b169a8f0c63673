"""The checked tables of a design made into plain values, with a list of what was assumed."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, cast, get_args

from rimwright.instrument.design import (
    ArcList,
    Drawing,
    Ends,
    Heating,
    Hours,
    Landmarks,
    Lining,
    Margins,
    NeckEnd,
    Plate,
    Plates,
    Sides,
    Strip,
    ThinnedZone,
    Wetting,
)
from rimwright.instrument.design_files.stack import Show
from rimwright.instrument.outline import Hand
from rimwright.units import length_text

if TYPE_CHECKING:
    from rimwright.instrument.design_files import schema as tables
    from rimwright.instrument.design_files import side_tables
    from rimwright.instrument.design_files.shop_tables import HoursTable

#: Used where neither wood nor thickness is said; 0.085 in, common practice, no source. [m]
USUAL_THICKNESS_M = 0.00216
NECK_ENDS_ASSUMED = "assumed to end at the centreline, a cutaway side at the block's flank"


def plates(table: tables.PlatesTable, show: Show) -> tuple[Plates, tuple[str, ...]]:
    """Both plates, and what was assumed of them."""
    top, back = table.top, table.back
    made = Plates(
        top=Plate()
        if top is None
        else Plate(
            shape=top.shape,
            radius_m=top.radius,
            thickness_m=top.thickness,
            flat_from_m=top.flat_from,
        ),
        back=Plate()
        if back is None
        else Plate(shape=back.shape, radius_m=back.radius, thickness_m=back.thickness),
        depth_tail_m=table.depth_tail,
        depth_neck_m=table.depth_neck,
        depth_is="rim" if table.depth_is == "rim" else "over_plates",
    )
    assumed = []
    text = length_text(Plate().thickness_m, show)
    for name, plate in (("back", back), ("top", top)):
        if plate is None:
            assumed.append(f"{name}: assumed flat")
        if table.depth_is != "rim" and (plate is None or "thickness" not in plate.model_fields_set):
            assumed.append(f"thickness of the {name}: assumed {text}, taken off the depth")
    return made, tuple(assumed)


def ends(
    table: tables.EndsTable, source: Landmarks | ArcList | Drawing, show: Show
) -> tuple[Ends, tuple[str, ...]]:
    """Blocks and neck ends, and what was assumed of them.

    Where the maker does not say, a side ends at the centreline, a cutaway one at the flank
    of the block, which is as wide as the neck of the cutaway.
    """
    told = table.model_fields_set
    cut = source.cutaway if isinstance(source, Landmarks) else None
    width = table.neck_block_width
    if "neck_block_width" not in told and cut is not None:
        width = 2.0 * cut.neck_half_width_m
    where = {"bass": _neck_end(table.bass_ends), "treble": _neck_end(table.treble_ends)}
    if cut is not None and "treble_ends" not in told:
        where["treble"] = "flank"
    unsaid = cast(tuple[Hand, ...], tuple(h for h in ("bass", "treble") if f"{h}_ends" not in told))
    assumed = []
    if unsaid:
        who = "sides" if len(unsaid) == 2 else f"{unsaid[0]} side"
        assumed.append(f"{who} at the neck: {NECK_ENDS_ASSUMED}")
    if "neck_block_width" not in told:
        assumed.append(f"width of the neck block: assumed {length_text(width, show)}")
    if "neck_block_length" not in told:
        text = length_text(table.neck_block_length, show)
        assumed.append(f"length of the neck block: assumed {text}")
    if "tail_block_width" not in told:
        text = length_text(table.tail_block_width, show)
        assumed.append(f"width of the tail block: assumed {text}")
    made = Ends(
        neck_block_width_m=width,
        neck_block_length_m=table.neck_block_length,
        neck_block_kind=table.neck_block_kind,
        tail_block_width_m=table.tail_block_width,
        neck_end_bass=where["bass"],
        neck_end_treble=where["treble"],
        slot_depth_m=table.slot_depth or 0.0,
        trim_tail_m=table.trim_tail,
        trim_neck_m=table.trim_neck,
        neck_ends_assumed=unsaid,
        neck_block_assumed="neck_block_width" not in told,
    )
    return made, tuple(assumed)


def _neck_end(words: str) -> NeckEnd:
    plain = words.replace(" the ", " ").replace(" ", "_")
    return cast(NeckEnd, next(end for end in get_args(NeckEnd) if end == plain))


def sides(table: side_tables.SidesTable, show: Show) -> tuple[Sides, tuple[str, ...]]:
    """Wood and thickness of the sides, and what was assumed of them."""
    assumed: tuple[str, ...] = ()
    thickness = None if table.thickness == "advise" else table.thickness
    if "thickness" not in table.model_fields_set:
        if table.wood is None:
            thickness = USUAL_THICKNESS_M
            text = length_text(thickness, show, fine=True)
            assumed = (f"thickness of the sides: assumed {text}",)
        else:
            assumed = ("thickness of the sides: not said, so it is advised from the wood",)
    made = Sides(
        wood=table.wood,
        thickness_m=thickness,
        finished_thickness_m=table.finished_thickness,
        thinned=tuple(
            ThinnedZone(hand=z.hand, from_m=z.from_, to_m=z.to, thickness_m=z.thickness)
            for z in table.thinned
        ),
        figure=table.figure,
        grain_angle_rad=table.grain_angle,
        board_width_m=table.board_width,
        board_length_m=table.board_length,
        proud_m=table.proud,
        rotate_on_board=table.rotate_on_board,
    )
    return made, assumed


def strips(
    bindings: Sequence[side_tables.StripTable], purflings: Sequence[side_tables.StripTable]
) -> tuple[Strip, ...]:
    """Bindings, then purflings, each with a name of its own."""
    rows = [("binding", i, row) for i, row in enumerate(bindings, 1)]
    rows += [("purfling", i, row) for i, row in enumerate(purflings, 1)]
    return tuple(
        Strip(
            name=row.name or f"{kind} {number}",
            kind="binding" if kind == "binding" else "purfling",
            wood=row.wood,
            thickness_m=row.thickness,
            height_m=row.height,
            count=row.count,
            place=row.place,
            pre_glued=row.pre_glued,
        )
        for kind, number, row in rows
    )


def lining(table: side_tables.LiningsTable | None) -> Lining | None:
    """The linings, if there are any."""
    if table is None:
        return None
    return Lining(
        kind=table.kind, wood=table.wood, thickness_m=table.thickness, height_m=table.height
    )


def wetting(table: tables.WettingTable | None) -> tuple[Wetting, tuple[str, ...]]:
    """How it is wetted, and whether that was assumed."""
    if table is None:
        return Wetting(), ("wetting: assumed misted, standing 10 min wrapped",)
    return Wetting(method=table.method, duration_s=table.duration, stand_s=table.stand), ()


def heating(table: tables.HeatingTable | None) -> tuple[Heating, tuple[str, ...]]:
    """School and targets, and whether they were assumed."""
    if table is None:
        return Heating(), ("school of heating: assumed misted, 230 °F",)
    made = Heating(
        school=table.school.replace(" ", "_"),
        early_alarm_c=table.early_alarm,
        target_c=table.target,
        limit_c=table.limit,
        order=tuple(bend.replace(" ", "-") for bend in table.order),
        rest_s=table.rest,
    )
    return made, ()


def margins(table: tables.MarginsTable | None) -> Margins:
    """What is held back."""
    if table is None:
        return Margins()
    return Margins(strain=table.strain, strip_end_m=table.strip_end, blank_edge_m=table.blank_edge)


def hours(table: HoursTable | None) -> Hours | None:
    """When somebody is in the shop."""
    if table is None:
        return None
    opens, closes = (
        float(int(text[:2]) * 3600 + int(text[3:]) * 60) for text in (table.opens, table.closes)
    )
    return Hours(opens_s=opens, closes_s=closes, days=tuple(table.days))
