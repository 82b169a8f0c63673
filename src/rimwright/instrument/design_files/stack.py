"""The shop's tables made into equipment: stack, blanket, and the probe's place in words."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING, Literal, TypeVar

from rimwright.equipment.stack import Blanket, Equipment, Layer
from rimwright.instrument.design_files.quantity import RefusedError, short
from rimwright.units import length_text, temperature_text

if TYPE_CHECKING:
    from rimwright.instrument.design_files.shop_tables import (
        BlanketTable,
        EquipmentTable,
        RoomTable,
    )

_BETWEEN = re.compile(r"^\s*between\s+(?:the\s+)?(.+?)\s+and\s+(?:the\s+)?(.+?)\s*$", re.IGNORECASE)
_T = TypeVar("_T")
Show = Literal["metric", "inch"]
_OWN_MATERIAL = {"side": "wood", "blanket": "silicone"}


def equipment(
    tables: Sequence[EquipmentTable | None],
    rooms: Sequence[RoomTable | None],
    show: Show = "metric",
) -> tuple[Equipment, tuple[str, ...]]:
    """The equipment of these tables, later ones before earlier, and what was assumed.

    Raises
    ------
    RefusedError
        If the probe's words name no place in the stack; its key is "equipment.probe".
    """
    stack = _latest([table.stack for table in tables if table])
    probe = _latest([table.probe for table in tables if table])
    blanket = _blanket([table.blanket for table in tables if table and table.blanket])
    layers = (
        Equipment().layers
        if stack is None
        else tuple(
            Layer(
                kind=row.kind,
                material=row.material or _OWN_MATERIAL[row.kind],
                thickness_m=row.thickness or 0.0,
                temper=row.temper,
                width_m=row.width,
            )
            for row in stack
        )
    )
    layers = tuple(
        Layer(kind="blanket", material=layer.material, thickness_m=blanket.thickness_m)
        if layer.kind == "blanket"
        else layer
        for layer in layers
    )
    assumed = []
    if stack is None:
        between = sum(layer.thickness_m for layer in layers[: _side(layers)])
        text = length_text(between, show, fine=True)
        assumed.append(f"stack between form and side: assumed {text}")
    if probe is None:
        place = usual_probe_place(layers)
        assumed.append(f"probe: assumed {place_words(layers, place)}")
    else:
        place = probe_place(layers, probe)
    if not any(table and table.blanket for table in tables):
        assumed.append(
            f"blanket: assumed {length_text(blanket.length_m, show)} × "
            f"{length_text(blanket.width_m, show)}, "
            f"{blanket.power_density_w_m2 / 1550.0031:.0f} W/in², on a {blanket.control}"
        )
    temperature = [r.temperature for r in rooms if r and "temperature" in r.model_fields_set]
    humidity = [r.humidity for r in rooms if r and "humidity" in r.model_fields_set]
    usual = Equipment()
    room_c = temperature[-1] if temperature else usual.room_c
    room_humidity = humidity[-1] if humidity else usual.humidity
    if not (temperature and humidity):
        assumed.append(
            f"room: assumed {temperature_text(room_c, show)} and {room_humidity:.0%} humidity"
        )
    made = Equipment(
        layers=layers,
        blanket=blanket,
        probe_above_layer=place,
        room_c=room_c,
        humidity=room_humidity,
        assumed=stack is None,
    )
    return made, tuple(assumed)


def _latest(values: Sequence[_T | None]) -> _T | None:
    told = [value for value in values if value is not None]
    return told[-1] if told else None


def _blanket(tables: Sequence[BlanketTable]) -> Blanket:
    """Key by key, later tables before earlier."""
    told: dict[str, object] = {}
    for table in tables:
        told |= {key: getattr(table, key) for key in table.model_fields_set}
    units = {"power_density": "power_density_w_m2", "control": "control"}
    return Blanket(**{units.get(k, f"{k}_m"): v for k, v in told.items()})  # type: ignore[arg-type]


def _side(layers: Sequence[Layer]) -> int:
    return next(i for i, layer in enumerate(layers) if layer.kind == "side")


def usual_probe_place(layers: Sequence[Layer]) -> int:
    """Between the blanket and what it lies on towards the side; else just off the side."""
    kinds = [layer.kind for layer in layers]
    side = _side(layers)
    place = side
    if "blanket" in kinds:
        blanket = kinds.index("blanket")
        place = blanket - 1 if blanket > side else blanket
    return max(0, min(place, len(layers) - 2))


def probe_place(layers: Sequence[Layer], words: str) -> int:
    """Index of the layer below the probe, from words such as "between side and paper".

    Layers are named by kind or material, from the form outwards.

    Raises
    ------
    RefusedError
        If the words fit no place in the stack, or more than one.

    Examples
    --------
    >>> probe_place(Equipment().layers, "between slat and blanket")
    4
    """
    places = range(len(layers) - 1)
    named = _BETWEEN.match(words)
    found = []
    if named:
        below, above = named.group(1), named.group(2)
        found = [i for i in places if _is(layers[i], below) and _is(layers[i + 1], above)]
    if len(found) != 1:
        choice = "; ".join(dict.fromkeys(place_words(layers, i) for i in places))
        raise RefusedError(
            f"{short(words)}{', which fits more than one place' if found else ''}",
            f"one of: {choice}" if choice else "a stack of two layers at least",
            "name two neighbours, the one nearer the form first",
            key="equipment.probe",
        )
    return found[0]


def place_words(layers: Sequence[Layer], place: int) -> str:
    """The place above a layer, in words that `probe_place` reads."""
    return f"between {_name(layers[place])} and {_name(layers[place + 1])}"


def _name(layer: Layer) -> str:
    if layer.kind in ("side", "blanket"):
        return layer.kind
    return layer.material if layer.kind == "wrap" else f"{layer.material} {layer.kind}"


def _is(layer: Layer, words: str) -> bool:
    names = {layer.kind, layer.material, f"{layer.material} {layer.kind}"}
    return words.casefold() in {name.casefold() for name in names}
