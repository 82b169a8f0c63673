"""The recipe: every step of the bend in order, as data."""

from __future__ import annotations

from rimwright.bending.bench import Bench
from rimwright.bending.recipe_after import after_steps
from rimwright.bending.recipe_cold import cold_steps
from rimwright.bending.recipe_hot import hot_steps
from rimwright.bending.results import BendCheck, Recipe
from rimwright.bending.schools import limit_c, targets
from rimwright.bending.warm_up import warm_up
from rimwright.instrument.design import Design
from rimwright.instrument.outline import Outline
from rimwright.sides.pattern import SidePattern
from rimwright.tooling.parts import Tooling
from rimwright.wood.species import Wood

#: Density of a side whose wood is not named, middle of the woods listed. [kg/m³]
_UNNAMED_DENSITY = 700.0
_UNNAMED_GRAVITY = 0.625


def write_recipe(
    design: Design,
    *,
    outline: Outline,
    sides: tuple[SidePattern, ...],
    check: BendCheck,
    tooling: Tooling,
    wood: Wood | None,
) -> Recipe:
    """Write the steps from cold wood to a rim that is lined.

    Raises
    ------
    DesignError
        If the target is past scorch, the blanket too weak, or the order names no bend.
    UnknownNameError
        If the school of heat is not on the list.
    """
    school, early_alarm_c, target_c, warnings = targets(design.heating)
    heat = warm_up(
        design.equipment,
        design.wetting,
        thickness_m=max(side.thickness_m for side in sides),
        density_kg_m3=_UNNAMED_DENSITY if wood is None else wood.density_kg_m3,
        early_alarm_c=early_alarm_c,
        target_c=target_c,
        kind="tropical" if wood is None else wood.kind,
    )
    bench = Bench(
        design=design,
        outline=outline,
        sides=sides,
        check=check,
        tooling=tooling,
        wood=wood,
        school=school,
        early_alarm_c=early_alarm_c,
        target_c=target_c,
        warm_up=heat,
    )
    return Recipe(
        school=school.title,
        steps=cold_steps(bench) + hot_steps(bench, warnings + heat.warnings) + after_steps(bench),
        warm_up=heat,
        early_alarm_c=early_alarm_c,
        target_c=target_c,
        limit_c=limit_c(design.heating, target_c),
        gravity=_UNNAMED_GRAVITY if wood is None else wood.gravity_12.middle,
        kind="tropical" if wood is None else wood.kind,
        rests_on=(
            f"targets of the school '{school.title}': {school.provenance}",
            "stand of 10 minutes, rest of 24 hours, order of bends: common practice, no source",
            *heat.rests_on,
        ),
    )
