"""Reading a design file with the shop file beside it.

What goes wrong is one line: file, line, key, what was found, what was expected and the
next step. Writing is in `design_write`, the JSON Schema in `design_keys`; both are to be
had from here.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

from rimwright.equipment.probes import ProbeSettings
from rimwright.equipment.stack import Equipment
from rimwright.errors import DesignError, UnknownNameError
from rimwright.instrument.design import Design, Drawing, Hours
from rimwright.instrument.design_files import build, shop_probes
from rimwright.instrument.design_files import stack as design_stack
from rimwright.instrument.design_files.build_outline import outline_source
from rimwright.instrument.design_files.check import at_key, checked, place_of
from rimwright.instrument.design_files.keys import export_schema
from rimwright.instrument.design_files.lines import KeyPath
from rimwright.instrument.design_files.quantity import RefusedError, short
from rimwright.instrument.design_files.toml_text import read_tables, read_text

if TYPE_CHECKING:
    from rimwright.instrument.design_files.schema import DesignFile, ShopFile

__all__ = ["SHOP_NAME", "Shop", "design_from_text", "export_schema", "load_design", "load_shop"]

#: The shop file, beside the design files.
SHOP_NAME = "shop.toml"
_DRAWINGS = (".dxf", ".svg", ".png", ".jpg", ".jpeg")


@dataclass(frozen=True, kw_only=True)
class Shop:
    """What the shop file says, and what was assumed because it does not."""

    name: str = ""
    equipment: Equipment = field(default_factory=Equipment)
    hours: Hours | None = None
    own_woods: dict[str, dict[str, object]] = field(default_factory=dict)
    probes: tuple[ProbeSettings, ...] = ()
    assumed: tuple[str, ...] = ()


def load_design(path: Path) -> Design:
    """A design from its file and the shop file beside it, ready to be planned.

    Parameters
    ----------
    path : Path
        A ``*.rim.toml``; `shop.toml` in the same folder is read with it, if it is there.

    Raises
    ------
    DesignError
        If either file cannot be read or says something that cannot be; one line.
    """
    return design_from_text(read_text(path), path)


def design_from_text(text: str, path: Path) -> Design:
    """The design of a text that stands, or is to stand, at this path.

    Raises
    ------
    DesignError
        As `load_design`.
    """
    from rimwright.instrument.design_files.schema import DesignFile

    file = checked(DesignFile, read_tables(text, path), text, path)
    shop_path = path.parent / SHOP_NAME
    shop_file, shop_text = _shop_file(shop_path)
    shop = _shop(shop_file, shop_text, shop_path)
    show = file.instrument.show
    try:
        equipment, unsaid = design_stack.equipment(
            [shop_file.equipment, file.equipment], [shop_file.room, file.room], show
        )
    except RefusedError as error:
        raise at_key(tuple(error.key.split(".")), text, path, error) from error
    _check_woods(file, shop.own_woods, text, path)
    source = outline_source(file.outline, path.parent)
    _check_drawing(source.source, text, path)
    plates, plates_assumed = build.plates(file.plates, show)
    ends, ends_assumed = build.ends(file.ends, source.source, show)
    sides, sides_assumed = build.sides(file.sides, show)
    if sides.thickness_m is None and sides.wood is None:
        raise DesignError(
            "thickness 'advise' without a wood",
            "a wood to advise for, or a thickness",
            'add wood = "..." (see `rimwright woods`) or thickness = "2.1 mm"',
            where=place_of(("sides", "thickness"), text, path),
        )
    wetting, wetting_assumed = build.wetting(file.wetting)
    heating, heating_assumed = build.heating(file.heating)
    line: tuple[str, ...] = ()
    if "line" not in file.outline.model_fields_set and isinstance(source.source, Drawing):
        line = ("line of the drawing: assumed the outside of the finished rim",)
    player: tuple[str, ...] = ()
    if "player" not in file.instrument.model_fields_set:
        player = ("player: assumed right-handed",)
    stack = tuple(words for words in unsaid if words.startswith("stack"))
    rest = tuple(words for words in unsaid if words not in stack)
    return Design(
        name=file.instrument.name,
        player=file.instrument.player,
        show=show,
        outline=source,
        plates=plates,
        ends=ends,
        sides=sides,
        strips=build.strips(file.bindings, file.purflings),
        lining=build.lining(file.linings),
        equipment=equipment,
        wetting=wetting,
        margins=build.margins(file.margins),
        heating=heating,
        form="as drawn" if file.tooling is None else file.tooling.form,
        assumed=stack
        + line
        + sides_assumed
        + plates_assumed
        + player
        + ends_assumed
        + rest
        + wetting_assumed
        + heating_assumed,
        own_woods=shop.own_woods,
        shop=shop.name,
        hours=shop.hours,
    )


def load_shop(path: Path) -> Shop:
    """What the shop file says; the usual equipment where there is no such file.

    Raises
    ------
    DesignError
        If it cannot be read or says something that cannot be.
    """
    file, text = _shop_file(path)
    return _shop(file, text, path)


def shop_from_text(text: str, path: Path) -> Shop:
    """The shop of a text that stands, or is to stand, at this path.

    Raises
    ------
    DesignError
        As `load_shop`.
    """
    from rimwright.instrument.design_files.schema import ShopFile

    return _shop(checked(ShopFile, read_tables(text, path), text, path), text, path)


def _shop_file(path: Path) -> tuple[ShopFile, str]:
    from rimwright.instrument.design_files.schema import ShopFile

    text = read_text(path) if path.exists() else ""
    return checked(ShopFile, read_tables(text, path), text, path), text


def _shop(file: ShopFile, text: str, path: Path) -> Shop:
    try:
        equipment, assumed = design_stack.equipment([file.equipment], [file.room])
    except RefusedError as error:
        raise at_key(tuple(error.key.split(".")), text, path, error) from error
    # The wood room reads values alone; where they are from stays in the file.
    own: dict[str, dict[str, object]] = {
        name: table.model_dump(exclude_none=True, exclude={"source"}, by_alias=True)
        for name, table in file.woods.items()
    }
    for name, table in file.woods.items():
        if table.like is not None:
            _check_wood(table.like, {}, ("woods", name, "like"), text, path)
    return Shop(
        name=file.shop,
        equipment=equipment,
        hours=build.hours(file.hours),
        own_woods=own,
        probes=shop_probes.probes(file.probes, text, path),
        assumed=assumed,
    )


def _check_woods(
    file: DesignFile, own: dict[str, dict[str, object]], text: str, path: Path
) -> None:
    """Every wood that is bent hot must be on the list or the shop's own."""
    if file.sides.wood is not None:
        _check_wood(file.sides.wood, own, ("sides", "wood"), text, path)
    for name, rows in (("bindings", file.bindings), ("purflings", file.purflings)):
        for i, row in enumerate(rows):
            if row.wood is not None:
                _check_wood(row.wood, own, (name, i, "wood"), text, path)


def _check_wood(
    name: str, own: dict[str, dict[str, object]], key: KeyPath, text: str, path: Path
) -> None:
    from rimwright.wood.catalogue import find

    try:
        find(name, own)
    except UnknownNameError as error:
        raise at_key(key, text, path, error) from error


def _check_drawing(source: object, text: str, path: Path) -> None:
    """A drawing must be there, and of a kind that is read."""
    if not isinstance(source, Drawing):
        return
    key: KeyPath = ("outline", "drawing", "file")
    if source.path.suffix.lower() not in _DRAWINGS:
        raise DesignError(
            short(source.path.name), "a DXF, SVG, PNG or JPEG", "export the drawing as DXF",
            where=place_of(key, text, path),
        )  # fmt: skip
    try:
        there = source.path.is_file()
    except (OSError, ValueError):
        there = False
    if not there:
        raise DesignError(
            f"no file {short(str(source.path))}", "the drawing beside the design file",
            "copy it there or correct its name", where=place_of(key, text, path),
        )  # fmt: skip
