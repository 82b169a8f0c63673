"""The heat of a plan in words, as data and as a chart."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

from rimwright.bending.heat import HeatRun, heat_run
from rimwright.bending.heat_changes import WhatIf, what_ifs
from rimwright.bending.heat_inputs import HeatInputs
from rimwright.bending.heat_words import WETTED, softness_text
from rimwright.bending.schools import targets
from rimwright.desk.words import items, table
from rimwright.files import make_folder, write_atomically
from rimwright.instrument.design import Design
from rimwright.plan import Plan
from rimwright.sources import Sourced
from rimwright.units import length_text, temperature_text, time_text
from rimwright.wood.species import Wood

FORMAT = "rimwright-heat/1"
#: A wood that nobody named: middle of the woods listed, as the recipe takes it.
_UNNAMED_GRAVITY = 0.625


def heat_inputs(design: Design, wood: Wood | None, thickness_m: float) -> HeatInputs:
    """What a design says of the heat.

    Raises
    ------
    DesignError
        If the target is where wood begins to glow.
    """
    _, early_alarm_c, target_c, _ = targets(design.heating)
    return HeatInputs(
        thickness_m=thickness_m,
        equipment=design.equipment,
        wetting=design.wetting,
        gravity=_UNNAMED_GRAVITY if wood is None else wood.gravity_12.middle,
        kind="tropical" if wood is None else wood.kind,
        early_alarm_c=early_alarm_c,
        target_c=target_c,
        rest_s=design.heating.rest_s,
    )


def heat_of(plan: Plan, *, target_c: float | None = None) -> tuple[HeatRun, tuple[WhatIf, ...]]:
    """The heat run of a plan's thickest side, and what single changes would do to it.

    Raises
    ------
    DesignError
        If the target cannot be, or is never reached.
    """
    from rimwright.wood.catalogue import find

    design = plan.design
    if target_c is not None:
        heating = replace(design.heating, target_c=target_c, early_alarm_c=None)
        design = replace(design, heating=heating)
    wood = None if design.sides.wood is None else find(design.sides.wood, design.own_woods)
    inputs = heat_inputs(design, wood, max(side.thickness_m for side in plan.sides))
    return heat_run(inputs), what_ifs(inputs)


def heat_text(plan: Plan, run: HeatRun, changes: tuple[WhatIf, ...]) -> str:
    """Times, the wood itself, how soft it is, what to beware of, and what would change it."""
    show = plan.design.show
    inputs = run.inputs

    def heat(celsius: float) -> str:
        return temperature_text(celsius, show)

    def time(value: Sourced) -> str:
        low, high = time_text(value.low), time_text(value.high)
        return f"{time_text(value.middle)} ({low} to {high})"

    def there(of: Any) -> str:
        return heat(run.at(run.to_target_s.middle, of))

    core, soft = run.core_at_target_c, run.core_softness_in_bend_k
    since = run.core_soft_since_s
    wetted = WETTED[inputs.wetting.method]
    lines = [
        f"{plan.design.name}   heat of a {wetted} side, "
        f"{length_text(inputs.thickness_m, show, fine=True)}",
        "",
        *items(
            (
                f"early alarm, probe at {heat(inputs.early_alarm_c)}: {time(run.to_early_alarm_s)}",
                f"target, probe at {heat(inputs.target_c)}: {time(run.to_target_s)}",
                f"then hold with about {run.hold_fraction.middle:.0%} of full power "
                f"({run.hold_fraction.low:.0%} to {run.hold_fraction.high:.0%})",
                f"the wood itself at that moment: inside face {there(run.inside_face_c)}, middle "
                f"{heat(core.middle)} ({heat(core.low)} to {heat(core.high)}), outside face "
                f"{there(run.outside_face_c)}",
                f"while it is bent, the middle of the wood: {_soft(soft, show)}"
                + ("" if since is None else f"; soft since {time_text(since)}"),
                f"over its whole thickness: {_soft(run.softness_in_bend_k, show)}",
                f"moisture {run.mean_moisture[0]:.0%} at the start, "
                f"{run.at(run.off_s, run.mean_moisture):.0%} when unplugged after "
                f"{time_text(run.off_s)}, {run.mean_moisture[-1]:.0%} after the rest",
            )
        ),
    ]
    if run.warnings:
        lines += ["", "Beware", *items(run.warnings)]
    rows = [("What if", "to the target", "power to hold", "middle then", "softening in the bend")]
    rows += [
        (
            one.change,
            "never" if one.to_target_s is None else time_text(one.to_target_s),
            "-" if one.hold_fraction is None else f"{one.hold_fraction:.0%}",
            "-" if one.core_at_target_c is None else heat(one.core_at_target_c),
            "-"
            if one.core_softness_in_bend_k is None
            else softness_text(one.core_softness_in_bend_k, show).removesuffix(" softening"),
        )
        for one in changes
    ]
    return "\n".join([*lines, "", *table(rows), "", "Rests on", *items(run.rests_on)])


def _soft(value: Sourced, show: str) -> str:
    low, high = softness_text(value.low, show), softness_text(value.high, show)
    if (value.low < 0.0) == (value.high < 0.0):
        low = low.split()[0]
    return f"{softness_text(value.middle, show)} ({low} to {high})"


def heat_document(plan: Plan, run: HeatRun, changes: tuple[WhatIf, ...]) -> dict[str, Any]:
    """Everything as plain values, units in the names."""

    def value(of: Sourced) -> dict[str, Any]:
        return {
            "middle": round(of.middle, 6),
            "low": round(of.low, 6),
            "high": round(of.high, 6),
            "provenance": str(of.provenance),
        }

    def curve(of: Any) -> list[float]:
        return [round(float(one), 4) for one in of]

    return {
        "format": FORMAT,
        "name": plan.design.name,
        "plan": plan.code,
        "thickness_m": round(run.inputs.thickness_m, 9),
        "early_alarm_c": run.inputs.early_alarm_c,
        "target_c": run.inputs.target_c,
        "to_early_alarm_s": value(run.to_early_alarm_s),
        "to_target_s": value(run.to_target_s),
        "hold_fraction": value(run.hold_fraction),
        "core_at_target_c": value(run.core_at_target_c),
        "softness_in_bend_k": value(run.softness_in_bend_k),
        "core_softness_in_bend_k": value(run.core_softness_in_bend_k),
        "core_soft_since_s": run.core_soft_since_s,
        "soft_for_s": curve(run.soft_for_s),
        "off_s": round(run.off_s, 4),
        "energy_j_m2": round(run.energy_j_m2, 1),
        "heat_balance_missing": round(run.imbalance, 9),
        "warnings": list(run.warnings),
        "what_if": [
            {
                "change": one.change,
                "to_target_s": one.to_target_s,
                "hold_fraction": one.hold_fraction,
                "core_at_target_c": one.core_at_target_c,
                "core_softness_in_bend_k": one.core_softness_in_bend_k,
            }
            for one in changes
        ],
        "curves": {
            "time_s": curve(run.time_s),
            "probe_c": curve(run.probe_c),
            "inside_face_c": curve(run.inside_face_c),
            "core_c": curve(run.core_c),
            "outside_face_c": curve(run.outside_face_c),
            "mean_moisture": curve(run.mean_moisture),
            "power_w_m2": curve(run.power_w_m2),
        },
        "rests_on": list(run.rests_on),
    }


def dump(document: dict[str, Any]) -> str:
    """The document as text."""
    return json.dumps(document, indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def write_heat(plan: Plan, run: HeatRun, changes: tuple[WhatIf, ...], folder: Path) -> str:
    """Write `heat.json` and the chart as PNG and SVG; say so.

    Raises
    ------
    OutputError
        If the folder or a file cannot be written.
    """
    from rimwright.sheets.heat_chart import heat_chart

    show = plan.design.show
    title = (
        f"{plan.design.name}: heat of a {WETTED[run.inputs.wetting.method]} side, "
        f"{length_text(run.inputs.thickness_m, show, fine=True)}"
    )
    drawn = heat_chart(run, title, show)
    make_folder(folder)
    write_atomically(folder / "heat.json", dump(heat_document(plan, run, changes)))
    for ending, data in drawn.items():
        write_atomically(folder / f"heat.{ending}", data)
    return f"Wrote heat.json, heat.png and heat.svg to {folder}."
