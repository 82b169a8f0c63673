"""From a design to a plan: the one place that strings the stages together."""

from __future__ import annotations

from dataclasses import dataclass

from rimwright.bending.results import BendCheck, Recipe
from rimwright.instrument.design import Design
from rimwright.instrument.outline import Outline
from rimwright.sides.pattern import SidePattern, StripCut
from rimwright.tooling.parts import Tooling


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
    #: Short name of exactly this plan, for labels and pages: "WREN-7F3A2C".
    code: str
    #: What was assumed, then the three things that matter most, in words.
    words: tuple[str, ...] = ()
