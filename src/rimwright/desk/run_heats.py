"""What a run's heat rests on, from a plan.json: stack, water, wood, and what was expected."""

from __future__ import annotations

from typing import Any, Literal

from rimwright.desk.plan_reading import Part, read_plan
from rimwright.errors import RunError
from rimwright.live.run_plan import Predicted, Ranged
from rimwright.units import length_text

_KINDS = ("slat", "wrap", "side", "blanket", "strip", "cover")
_LONGEST_S = 86_400.0


def heat_of(plan: Part, side: Part) -> dict[str, Any]:
    """The plain values that the heat's model asks of a run (`live.heat_of_run`).

    Raises
    ------
    RunError
        If the plan lacks one, or says what cannot be.
    """
    design, recipe = plan.part("design"), plan.part("recipe")
    wetting = design.part("wetting")
    return {
        "equipment": _equipment(design.part("equipment")),
        "wetting": {
            "method": wetting.text("method", ("dry", "mist", "dip", "soak")),
            "duration_s": wetting.number("duration_s", 0.0, 30.0 * 86_400.0),
            "stand_s": wetting.number("stand_s", 0.0, 30.0 * 86_400.0),
        },
        "thickness_m": side.number("thickness_m", 1e-4, 0.02),
        "gravity": recipe.number("gravity", 0.05, 2.0),
        "kind": recipe.text("kind"),
        "early_alarm_c": recipe.number("early_alarm_c", 30.0, 210.0),
        "target_c": recipe.number("target_c", 30.0, 210.0),
        "rest_s": design.part("heating").number("rest_s", 0.0, 30.0 * 86_400.0),
    }


def _equipment(equipment: Part) -> dict[str, Any]:
    """Stack, blanket, probe and room: what this version knows of them."""
    blanket = equipment.part("blanket")
    return {
        "layers": [
            {
                "kind": layer.text("kind", _KINDS),
                "material": layer.text("material"),
                "thickness_m": layer.number("thickness_m", 0.0, 0.1),
                "temper": layer.text("temper") if layer.has("temper") else None,
                "width_m": layer.number_or_none("width_m", 0.0, 5.0),
            }
            for layer in equipment.parts("layers")
        ],
        "blanket": {
            "length_m": blanket.number("length_m", 0.0, 10.0),
            "width_m": blanket.number("width_m", 0.0, 10.0),
            "thickness_m": blanket.number("thickness_m", 0.0, 0.1),
            "power_density_w_m2": blanket.number("power_density_w_m2", 0.0, 1e6),
            "least_radius_m": blanket.number("least_radius_m", 0.0, 10.0),
            "control": blanket.text("control", ("dial", "thermostat", "controller")),
        },
        "probe_above_layer": int(equipment.number("probe_above_layer", -1.0, 500.0)),
        "room_c": equipment.number("room_c", -40.0, 60.0),
        "humidity": equipment.number("humidity", 0.0, 1.0),
        "assumed": equipment.truth("assumed"),
    }


def layer_words(layer: Part, show: Literal["metric", "inch"]) -> str:
    """A layer as it is read off the stack: "spring steel slat 0.25 mm"."""
    kind = layer.text("kind", _KINDS)
    if kind in ("side", "blanket"):
        return kind
    thickness = length_text(layer.number("thickness_m", 0.0, 0.1), show, fine=True)
    return f"{layer.text('material')} {kind} {thickness}"


def probe_place(document: Any) -> str:
    """Where a plan wants the probe: "between spring steel slat 0.25 mm and blanket".

    Raises
    ------
    RunError
        If it is no plan of this format, or says nothing of its stack.
    """
    plan = read_plan(document)
    show: Literal["metric", "inch"] = "inch" if plan.text("show") == "inch" else "metric"
    equipment = plan.part("design").part("equipment")
    words = [layer_words(layer, show) for layer in equipment.parts("layers")]
    if not words:
        raise RunError("a stack without layers", "what lies on the form", "plan the design again")
    index = min(max(int(equipment.number("probe_above_layer", -1.0, 500.0)), 0), len(words) - 1)
    above = words[index + 1] if index + 1 < len(words) else "open air"
    return f"between {words[index]} and {above}"


def blanket_words(document: Any) -> str:
    """A blanket by size and power, alike whatever units the plan shows.

    Raises
    ------
    RunError
        If it is no plan of this format, or says nothing of its blanket.
    """
    blanket = read_plan(document).part("design").part("equipment").part("blanket")
    length, width = (1e3 * blanket.number(key, 0.0, 10.0) for key in ("length_m", "width_m"))
    density = blanket.number("power_density_w_m2", 0.0, 1e6) * 0.0254**2
    return f"{length:.0f} × {width:.0f} mm, {density:.1f} W/in²"


def prediction(plan: Part, side: Part, hand: str, piece: str) -> Predicted:
    """What the plan expects, without a curve.

    Raises
    ------
    RunError
        If the plan says nothing of its warm-up.
    """
    warm_up = plan.part("recipe").part("warm_up")
    return Predicted(
        to_early_alarm_s=_ranged(warm_up.part("to_early_alarm_s"), _LONGEST_S),
        to_target_s=_ranged(warm_up.part("to_target_s"), _LONGEST_S),
        hold_fraction=_ranged(warm_up.part("hold_fraction"), 10.0),
        utilisation=side.number_or_none("utilisation_max", 0.0, 1e6),
        crack_chance=crack_chance(plan, hand, piece),
    )


def crack_chance(plan: Part, hand: str, piece: str) -> Ranged | None:
    """Chance that this piece cracks, where the plan holds the odds.

    Raises
    ------
    RunError
        If the odds are there and say what cannot be.
    """
    if not plan.has("odds"):
        return None
    for one in plan.part("odds").parts("pieces"):
        if (one.text("hand"), one.text("piece")) == (hand, piece):
            return _ranged(one.part("chance"), 1.0)
    return None


def _ranged(value: Part, most: float) -> Ranged:
    return Ranged(
        middle=value.number("middle", 0.0, most),
        low=value.number("low", 0.0, most),
        high=value.number("high", 0.0, most),
    )
