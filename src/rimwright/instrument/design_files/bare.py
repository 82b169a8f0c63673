"""A design for a drawing that has no design file: a few figures, the usual for the rest."""

from __future__ import annotations

from typing import Literal

from rimwright.errors import DesignError, UnknownNameError
from rimwright.instrument.design import (
    Design,
    Drawing,
    Ends,
    Heating,
    OutlineLine,
    OutlineSource,
    Plate,
    Plates,
    Sides,
    Wetting,
)
from rimwright.instrument.design_files.build import NECK_ENDS_ASSUMED, USUAL_THICKNESS_M
from rimwright.instrument.design_files.load import Shop
from rimwright.instrument.design_files.quantity import (
    DISH_RADIUS,
    RIM_DEPTH,
    SIDE_THICKNESS,
    Quantity,
    RefusedError,
    short,
)
from rimwright.instrument.design_files.stack import Show
from rimwright.instrument.outline import View
from rimwright.units import length_text

#: Depths of a small guitar; common practice, no source. [m]
USUAL_DEPTH_TAIL_M = 0.100
USUAL_DEPTH_NECK_M = 0.085
_LONGEST_NAME = 80


def design_for_drawing(
    drawing: Drawing,
    *,
    name: str | None = None,
    depth_tail_m: float | None = None,
    depth_neck_m: float | None = None,
    top_radius_m: float | None = None,
    back_radius_m: float | None = None,
    thickness_m: float | None = None,
    wood: str | None = None,
    seen_from: View | None = None,
    player: Literal["right", "left"] | None = None,
    line: OutlineLine | None = None,
    show: Show = "metric",
    shop: Shop | None = None,
) -> Design:
    """The design of a bare drawing; what is not given is assumed and listed.

    Parameters
    ----------
    drawing : Drawing
        Where the outline is.
    name : str, optional
        Left out: the drawing's file name.
    depth_tail_m, depth_neck_m : float, optional
        Rim height at tail and neck; given one, the other is the same. [m]
    top_radius_m, back_radius_m : float, optional
        Dish radii; left out: flat. [m]
    thickness_m : float, optional
        Of the sides at bending; left out: advised from the wood, or the usual without one. [m]
    wood : str, optional
        Name of a wood; left out: no advice and no odds.
    seen_from, player, line : optional
        The plan's side, the player's hand, and which line is drawn.
    show : {"metric", "inch"}
        How figures are shown.
    shop : Shop, optional
        The shop file read; left out: the usual equipment.

    Raises
    ------
    DesignError
        If a figure cannot be, or the wood is not on the list.

    Examples
    --------
    >>> from pathlib import Path
    >>> design = design_for_drawing(Drawing(path=Path("wren.svg")), depth_tail_m=0.1)
    >>> design.name, design.plates.depth_neck_m, design.assumed[0]
    ('wren', 0.1, 'stack between form and side: assumed 0.35 mm')
    """
    if name is not None:
        _check_name(name)
    bench = shop if shop is not None else _usual_shop(show)
    for said, number, bounds in (
        ("depth at the tail", depth_tail_m, RIM_DEPTH),
        ("depth at the neck", depth_neck_m, RIM_DEPTH),
        ("top radius", top_radius_m, DISH_RADIUS),
        ("back radius", back_radius_m, DISH_RADIUS),
        ("thickness of the sides", thickness_m, SIDE_THICKNESS),
    ):
        _check_bounds(said, number, bounds)
    if wood is not None:
        _check_wood(wood, bench)
    stack = tuple(words for words in bench.assumed if words.startswith("stack"))
    rest = tuple(words for words in bench.assumed if words not in stack)
    assumed: list[str] = []
    tail = depth_tail_m if depth_tail_m is not None else depth_neck_m
    neck = depth_neck_m if depth_neck_m is not None else depth_tail_m
    for end, given, depth, usual in (
        ("tail", depth_tail_m, tail, USUAL_DEPTH_TAIL_M),
        ("neck", depth_neck_m, neck, USUAL_DEPTH_NECK_M),
    ):
        if given is None:
            text = length_text(depth if depth is not None else usual, show)
            assumed.append(f"depth at the {end}: assumed {text}")
    if thickness_m is None and wood is None:
        text = length_text(USUAL_THICKNESS_M, show, fine=True)
        assumed.append(f"thickness of the sides: assumed {text}")
        thickness_m = USUAL_THICKNESS_M
    elif thickness_m is None:
        assumed.append("thickness of the sides: not said, so it is advised from the wood")
    if line is None:
        assumed.append("line of the drawing: assumed the outside of the finished rim")
    for plate, radius in (("back", back_radius_m), ("top", top_radius_m)):
        if radius is None:
            assumed.append(f"{plate}: assumed flat")
    if player is None:
        assumed.append("player: assumed right-handed")
    ends = Ends(
        neck_block_width_m=0.056,
        neck_block_length_m=0.05,
        neck_block_kind="dovetail",
        tail_block_width_m=0.06,
        neck_ends_assumed=("bass", "treble"),
        neck_block_assumed=True,
    )
    assumed += [
        f"sides at the neck: {NECK_ENDS_ASSUMED}",
        f"blocks: assumed {length_text(ends.neck_block_width_m, show)} wide at the neck, "
        f"{length_text(ends.tail_block_width_m, show)} at the tail",
        *rest,
        "wetting: assumed misted, standing 10 min wrapped",
        "school of heating: assumed misted, 230 °F",
    ]
    return Design(
        name=name or _plain_stem(drawing) or "drawing",
        player=player or "right",
        show=show,
        outline=OutlineSource(source=drawing, line=line or "outside", seen_from=seen_from),
        plates=Plates(
            top=_plate(top_radius_m),
            back=_plate(back_radius_m),
            depth_tail_m=tail if tail is not None else USUAL_DEPTH_TAIL_M,
            depth_neck_m=neck if neck is not None else USUAL_DEPTH_NECK_M,
        ),
        ends=ends,
        sides=Sides(wood=wood, thickness_m=thickness_m),
        equipment=bench.equipment,
        wetting=Wetting(),
        heating=Heating(),
        assumed=stack + tuple(assumed),
        own_woods=bench.own_woods,
        shop=bench.name,
        hours=bench.hours,
    )


def _check_bounds(said: str, number: float | None, bounds: Quantity) -> None:
    try:
        if number is not None:
            bounds.within(number, bounds.show(number))
    except RefusedError as error:
        raise DesignError(error.found, error.expected, error.next_step, where=said) from error


def _check_name(name: str) -> None:
    """As the design file holds a name: it goes on every sheet and into every code to scan."""
    if not (name.isprintable() and len(name.strip()) > 0 and len(name) <= _LONGEST_NAME):
        raise DesignError(
            short(name), f"1 to {_LONGEST_NAME} plain characters", "give a shorter, plain name",
            where="name",
        )  # fmt: skip


def _plain_stem(drawing: Drawing) -> str:
    """The file's name without what a sheet cannot print, and no longer than a name may be."""
    stem = "".join(c for c in drawing.path.stem if c.isprintable())
    return stem[:_LONGEST_NAME].strip()


def _check_wood(wood: str, shop: Shop) -> None:
    from rimwright.wood.catalogue import find

    try:
        find(wood, shop.own_woods)
    except UnknownNameError as error:
        raise DesignError(error.found, error.expected, error.next_step, where="wood") from error


def _plate(radius_m: float | None) -> Plate:
    return Plate() if radius_m is None else Plate(shape="dome", radius_m=radius_m)


def _usual_shop(show: Show) -> Shop:
    """The usual equipment, told as assumed; without the reader of files and its imports."""
    from rimwright.instrument.design_files.stack import equipment

    made, assumed = equipment([], [], show)
    return Shop(equipment=made, assumed=assumed)
