"""From a design to a plan: the one place that strings the stages together."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from rimwright.bending.check import check_bend
from rimwright.bending.kernels import load_early
from rimwright.bending.parameters import DEFAULT, BendParameters
from rimwright.bending.recipe import write_recipe
from rimwright.bending.results import BendCheck, Recipe
from rimwright.bending.thickness import advise_thickness, practice_for
from rimwright.document import check_of, plan_document
from rimwright.instrument.design import Design
from rimwright.instrument.design_files.ends import settle_ends
from rimwright.instrument.design_files.fit import refuse_misfits
from rimwright.instrument.outline import Outline
from rimwright.instrument.outlining import outline_of
from rimwright.sides.develop import develop_sides, with_zones
from rimwright.sides.pattern import SidePattern, StripCut
from rimwright.sides.strips import strip_cuts
from rimwright.summary import assumptions, matters_most
from rimwright.tooling.bundle import SideSize
from rimwright.tooling.design_tooling import design_tooling
from rimwright.tooling.parts import Tooling
from rimwright.units import length_text
from rimwright.wood.catalogue import find
from rimwright.wood.species import Wood

if TYPE_CHECKING:
    from rimwright.bending.compensation import Compensation


@dataclass(frozen=True, kw_only=True)
class Plan:
    """Everything the bench needs for one instrument."""

    design: Design
    outline: Outline
    sides: tuple[SidePattern, ...]
    strips: tuple[StripCut, ...]
    check: BendCheck
    tooling: Tooling
    recipe: Recipe
    #: What nobody said and was assumed, most important first.
    assumed: tuple[str, ...]
    #: The three things that matter most, the gravest first.
    matters: tuple[str, ...]
    #: All of it as plain values: what `plan.json` holds.
    document: dict[str, Any]
    #: The forms bent past the outline, where the design asks for them.
    compensation: Compensation | None = None

    @property
    def code(self) -> str:
        """Short name of exactly this plan, for labels and pages: "WREN-7F3A2C"."""
        return str(self.document["code"])

    @property
    def words(self) -> tuple[str, ...]:
        """What was assumed, then the three things that matter most."""
        return (*self.assumed, *self.matters)


def make_plan(design: Design, parameters: BendParameters = DEFAULT) -> Plan:
    """Compute the whole job: outline, sides, bend check, tooling, recipe.

    Parameters
    ----------
    design : Design
        What the maker wants.
    parameters : BendParameters, optional
        What the bend check rests on; the published and assumed values unless a shop's own
        are handed in.

    Raises
    ------
    RimwrightError
        Whatever a stage refuses, in one line.
    """
    # Another process reads the drawing; meanwhile the compiler of the models can be loaded.
    load_early()
    outline = outline_of(design)
    design = settle_ends(design, outline)
    refuse_misfits(design, outline)
    wood = None if design.sides.wood is None else find(design.sides.wood, design.own_woods)
    thickness_m, told = _thickness(outline, design, wood, parameters)
    sides = develop_sides(outline, design, thickness_m)
    check = check_bend(outline, sides, design, parameters, wood)
    sides = tuple(with_zones(side, check_of(check, side).zones, design, outline) for side in sides)
    sizes = {
        (side.rim.hand, side.rim.name): SideSize(
            thickness_m=side.thickness_m,
            width_m=side.blank.stock_width_m,
            neck_end_m=side.neck_end_m,
        )
        for side in sides
    }
    tooling = design_tooling(outline, design, sizes)
    strips = strip_cuts(design, outline, sides)
    recipe = write_recipe(
        design, outline=outline, sides=sides, check=check, tooling=tooling, wood=wood
    )
    forms = None
    if design.form == "compensated":
        from rimwright.bending.compensation_forms import compensated_forms
        from rimwright.bending.compensation_words import form_words

        forms = compensated_forms(
            design,
            outline=outline,
            sides=sides,
            sizes=sizes,
            recipe=recipe,
            tooling=tooling,
            wood=wood,
            parameters=parameters,
        )
        tooling = design_tooling(outline, design, sizes, form=forms.outline)
        tooling = replace(tooling, warnings=(*form_words(forms, design), *tooling.warnings))
        recipe = write_recipe(
            design, outline=outline, sides=sides, check=check, tooling=tooling, wood=wood
        )
    assumed = (*assumptions(outline, design), *told)
    return Plan(
        design=design,
        outline=outline,
        sides=sides,
        strips=strips,
        check=check,
        tooling=tooling,
        recipe=recipe,
        assumed=assumed,
        matters=matters_most(design, outline=outline, sides=sides, check=check, tooling=tooling),
        document=plan_document(
            design,
            outline=outline,
            sides=sides,
            strips=strips,
            check=check,
            tooling=tooling,
            recipe=recipe,
            assumed=assumed,
        ),
        compensation=forms,
    )


def _thickness(
    outline: Outline, design: Design, wood: Wood | None, parameters: BendParameters
) -> tuple[float, tuple[str, ...]]:
    """The thickness at bending, given or advised, and what was assumed about it. [m]"""
    if design.sides.thickness_m is not None:
        return design.sides.thickness_m, ()
    if wood is not None:
        advice = advise_thickness(outline, design, wood, parameters)
        told = [f"thickness advised, {advice.words}"]
        finished = design.sides.finished_thickness_m
        if finished is not None and finished > advice.thickness_m:
            asked = length_text(finished, design.show, fine=True)
            told.append(f"finished thickness: {asked} is more than advised, so it stays as bent")
        return advice.thickness_m, tuple(told)
    practice = practice_for(outline.length_m)
    said = length_text(practice.ordinary_m, design.show, fine=True)
    return practice.ordinary_m, (
        f"thickness: {said}, an ordinary side (common practice, no source); no wood is named, so "
        "there is no advice",
    )
