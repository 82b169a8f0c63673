"""What the heat's figures rest on, what to beware of, and which single changes to ask about."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np

from rimwright.bending.heat_inputs import HeatInputs, colder
from rimwright.curves.piece import FloatArray
from rimwright.units import time_text
from rimwright.wood.scorch import scorch_rate

_COLDER_K = 10.0
_WEAKER = 0.75
#: The next wetter way.
_WETTER = {"dry": "mist", "mist": "dip", "dip": "soak"}
#: A side by the way it was wetted.
WETTED = {"dry": "dry", "mist": "misted", "dip": "dipped", "soak": "soaked"}
_WAYS = {"mist": "a misted side", "dip": "a dipped side", "soak": "a soaked side (20 min)"}
_SOAK_S = 1200.0


def rests_on(inputs: HeatInputs) -> tuple[str, ...]:
    """What was assumed, in words, the weightiest first."""
    of = inputs.parameters
    film = inputs.film_kg_m2
    told = [
        "the stack lies flat and even, heat moves through it and not along it",
        f"blanket gives {of.power_share.middle:.0%} of its plate "
        f"({of.power_share.low:.0%} to {of.power_share.high:.0%}): {of.power_share.provenance}",
        "free convection and radiation of both faces from tables (from memory), times "
        f"{of.loss_share.middle:g} ({of.loss_share.low:g} to {of.loss_share.high:g}) for clamps, "
        f"form edges and ends: {of.loss_share.provenance}",
        f"contact between layers {of.contact_m2_k_w.middle * 1e4:.0f}·10⁻⁴ m² K/W "
        f"({of.contact_m2_k_w.low * 1e4:.2g} to {of.contact_m2_k_w.high * 1e4:.2g}): "
        f"{of.contact_m2_k_w.provenance}",
        "wood's conductivity and heat from the Wood Handbook, conductivity within 20 %",
        f"steam leaves the wood at {of.steam_escape_kg_m2_s.middle * 1e3:g} g/(m² s) per "
        f"atmosphere ({of.steam_escape_kg_m2_s.low * 1e3:g} to "
        f"{of.steam_escape_kg_m2_s.high * 1e3:g}): {of.steam_escape_kg_m2_s.provenance}",
    ]
    if inputs.profile is None and film.high > 0.0:
        told.append(
            f"water of a {WETTED[inputs.wetting.method]} side {film.middle * 1e3:.0f} g/m² on each "
            f"face ({film.low * 1e3:.0f} to {film.high * 1e3:.0f}): {film.provenance}"
        )
    offset = inputs.softening_offset_k
    told.append(
        f"wood softens {0.0 - offset.middle:.0f} °C below isolated lignin "
        f"({0.0 - offset.high:.0f} to {0.0 - offset.low:.0f}): {offset.provenance}"
    )
    return tuple(told)


def scorch_warnings(
    time_s: FloatArray, faces_c: Mapping[str, FloatArray], core_softness_k: FloatArray
) -> tuple[str, ...]:
    """Where a face has taken as much heat as darkens it, and whether the core was soft by then."""
    told = []
    seconds = np.diff(time_s, prepend=time_s[0])
    for name, face in faces_c.items():
        burnt = np.cumsum(seconds * scorch_rate(face))
        over = np.flatnonzero(burnt >= 1.0)
        if over.size == 0:
            continue
        i = int(over[0])
        line = f"the {name} face begins to scorch {time_text(float(time_s[i]))} after the start"
        if core_softness_k[i] < 0.0:
            line += (
                f", while the core is still {-core_softness_k[i]:.0f} °C short of softening: "
                "heat more slowly, or wetter"
            )
        told.append(f"{line} (assumed: 185 °C for five minutes darkens it, 170 to 200)")
    return tuple(told)


def changes(inputs: HeatInputs) -> Iterator[tuple[str, HeatInputs, dict[str, float]]]:
    """Each single change in words, the inputs with it, and values moved by it."""
    equipment = inputs.equipment
    yield "as it is", inputs, {}
    yield (
        f"a room {_COLDER_K:.0f} °C ({1.8 * _COLDER_K:.0f} °F) colder",
        colder(inputs, _COLDER_K),
        {},
    )
    wetter = _WETTER.get(inputs.wetting.method)
    if wetter is not None:
        wetting = replace(
            inputs.wetting,
            method=wetter,  # type: ignore[arg-type]  # one of its ways by the table above
            duration_s=_SOAK_S if wetter == "soak" else 0.0,
        )
        yield _WAYS[wetter], replace(inputs, wetting=wetting, profile=None), {}
    blanket = replace(
        equipment.blanket,
        power_density_w_m2=_WEAKER * equipment.blanket.power_density_w_m2,
    )
    weaker = replace(inputs, equipment=replace(equipment, blanket=blanket))
    yield f"a blanket of {_WEAKER:.0%} of the power", weaker, {}
    badly = inputs.parameters.contact_m2_k_w.high
    yield "layers that lie badly on each other", inputs, {"contact_m2_k_w": badly}
    for place, words in (
        (equipment.side_index - 1, "the probe at the wood's inside face"),
        (equipment.side_index, "the probe at the wood's outside face"),
    ):
        if place != equipment.probe_above_layer and 0 <= place < len(equipment.layers) - 1:
            moved = replace(inputs, equipment=replace(equipment, probe_above_layer=place))
            yield words, moved, {}


def softness_text(softness_k: float, show: str = "metric") -> str:
    """Distance to softening in words, in the maker's degrees.

    Examples
    --------
    >>> softness_text(-12.3), softness_text(5.0, "inch")
    ('12 °C short of softening', '9 °F past softening')
    """
    way = "short of" if softness_k < 0.0 else "past"
    distance = abs(softness_k) * (1.8 if show == "inch" else 1.0)
    return f"{distance:.0f} {'°F' if show == 'inch' else '°C'} {way} softening"
