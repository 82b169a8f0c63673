"""One piece of side of a design, made ready for the virtual bend: heat, timetable, capacity."""

from __future__ import annotations

from dataclasses import dataclass

from rimwright.bending.bench import BENDS
from rimwright.bending.capacity import capacity_of_sides
from rimwright.bending.check_line import BentPiece
from rimwright.bending.heat import HeatRun, heat_run
from rimwright.bending.heat_inputs import HeatInputs
from rimwright.bending.parameters import BendParameters
from rimwright.bending.results import Recipe
from rimwright.bending.schools import targets
from rimwright.bending.section import Section
from rimwright.bending.virtual_bend import BendRun, virtual_bend
from rimwright.bending.virtual_layers import LayerBend, bend_layers
from rimwright.bending.virtual_many import Timetable
from rimwright.bending.virtual_schedule import WATCHED_S, timetable
from rimwright.instrument.design import Design
from rimwright.instrument.outline import Outline
from rimwright.sides.pattern import SidePattern
from rimwright.sources import Provenance, Sourced
from rimwright.tooling.parts import Tooling
from rimwright.wood.species import Wood

#: Kept hot on the form after the last clamp, before the plug is pulled. [s]
COOK_S = Sourced(
    middle=300.0,
    low=0.0,
    high=1200.0,
    provenance=Provenance.PRACTICE,
    note="makers cook three to twenty minutes once everything is clamped",
)
#: Gravity of a side whose wood is not named.
_UNNAMED_GRAVITY = 0.6


@dataclass(frozen=True, kw_only=True)
class SideJob:
    """A piece of side with all that its virtual bend starts from."""

    design: Design
    piece: BentPiece
    heat: HeatRun
    timetable: Timetable
    #: None without a wood.
    capacity: Sourced | None
    wood: Wood | None
    parameters: BendParameters

    def bend(self) -> BendRun:
        """The virtual bend on a plain form."""
        return virtual_bend(
            self.piece,
            self.heat.history,
            self.timetable,
            self.parameters,
            self.wood,
            capacity=self.capacity,
            equipment=self.design.equipment,
            width_m=self.piece.pattern.blank.stock_width_m,
        )

    def layers(self) -> tuple[LayerBend, ...]:
        """Bindings and other loose strips bent with it, each a section of its own."""
        return bend_layers(
            self.piece, self.heat.history, self.timetable, self.design, parameters=self.parameters
        )


def side_job(
    design: Design,
    *,
    outline: Outline,
    side: SidePattern,
    recipe: Recipe,
    tooling: Tooling,
    wood: Wood | None,
    parameters: BendParameters,
    cook_s: float = COOK_S.middle,
) -> SideJob:
    """Heat and timetable of one piece of side, from its design and recipe.

    Raises
    ------
    DesignError
        If the blanket is too weak ever to reach the target, or the target past scorch.
    """
    capacity = None if wood is None else capacity_of_sides(wood, design.sides, parameters)
    piece = BentPiece.of(
        outline, side, design.sides.thinned, Section.of(parameters),
        None if capacity is None else capacity.middle,
    )  # fmt: skip
    bending_s = sum(
        step.duration_s.middle
        for step in recipe.steps
        if step.phase == "hot" and step.key in BENDS and step.duration_s is not None
    )
    _, early, target, _ = targets(design.heating)
    heat = heat_run(
        HeatInputs(
            thickness_m=side.thickness_m,
            equipment=design.equipment,
            wetting=design.wetting,
            gravity=_UNNAMED_GRAVITY if wood is None else wood.gravity_12.middle,
            kind="tropical" if wood is None else wood.kind,
            early_alarm_c=early,
            target_c=target,
            bend_s=bending_s + cook_s,
            rest_s=design.heating.rest_s + 1.01 * WATCHED_S,
        )
    )
    table = timetable(
        recipe,
        piece.half,
        piece.rim,
        piece.s,
        rams=tooling.rams,
        rest_s=cook_s + design.heating.rest_s,
        start_s=heat.to_target_s.middle,
    )
    return SideJob(
        design=design,
        piece=piece,
        heat=heat,
        timetable=table,
        capacity=capacity,
        wood=wood,
        parameters=parameters,
    )
