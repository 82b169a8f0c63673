"""Pieces of side made ready to be bent many times: timetable, heat and the stations that count."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from rimwright.bending.bench import BENDS
from rimwright.bending.check_line import BentPiece, tight_stations
from rimwright.bending.heat_inputs import HeatInputs
from rimwright.bending.history import FibreHistory
from rimwright.bending.law import Law
from rimwright.bending.odds_changes import Way
from rimwright.bending.odds_heat import HeatGrid, heat_grid, heat_nodes
from rimwright.bending.results import Recipe
from rimwright.bending.virtual_bend import inside_curvature
from rimwright.bending.virtual_many import FEW_FIBRES, Timetable, bend_many
from rimwright.bending.virtual_schedule import WATCHED_S, timetable
from rimwright.bending.virtual_side import COOK_S
from rimwright.curves.piece import FloatArray
from rimwright.instrument.design import Design
from rimwright.tooling.parts import RamTravel
from rimwright.wood.species import Wood

IntArray = npt.NDArray[np.intp]

#: Most stations of a piece that are watched for a change: one row of the kernel's lanes.
WATCHED = 32
#: Steps of bending, of hold and rest, after release, where only the stretch is asked for.
STRETCH_STEPS = (120, 24, 4)
#: A change thins this much either side of a tight bend, run out as a maker scrapes it. [m]
_ZONE_M, _RUN_OUT_M = 0.030, 0.020


@dataclass(frozen=True, kw_only=True)
class Bent:
    """One piece at some of its stations, ready to be bent many times."""

    #: Shape (stations,). [m], [1/m]
    thickness: FloatArray
    inside_curvature: FloatArray
    timetable: Timetable
    grid: HeatGrid


@dataclass
class Maker:
    """Builds pieces for one way of doing the job, sharing what does not differ."""

    design: Design
    recipe: Recipe
    rams: tuple[RamTravel, ...]
    wood: Wood
    law: Law
    spread_k: float

    def __post_init__(self) -> None:
        self._tables: dict[tuple[str, tuple[int, ...]], Timetable] = {}
        self._nodes: dict[tuple[object, ...], list[FibreHistory]] = {}
        self._grids: dict[tuple[object, ...], HeatGrid] = {}

    def bent(
        self,
        piece: BentPiece,
        way: Way,
        at: IntArray,
        steps: tuple[int, int, int] = STRETCH_STEPS,
        *,
        resting: bool = False,
    ) -> Bent:
        """One piece at stations `at`; for what springs back the rest's heat is computed too."""
        table = self._table(piece, way.pace, steps)
        off = way.thinner_m
        thickness = piece.thickness - (off * _near_tight(piece) if way.only_tight else off)
        return Bent(
            thickness=np.ascontiguousarray(thickness[at]),
            # The form is there already: a change of thickness does not change it.
            inside_curvature=np.ascontiguousarray(inside_curvature(piece)[at]),
            timetable=replace(table, progress=np.ascontiguousarray(table.progress[:, at])),
            grid=self._grid(piece, way, table, steps=steps, resting=resting),
        )

    def _table(self, piece: BentPiece, pace: float, steps: tuple[int, int, int]) -> Timetable:
        key = (f"{piece.rim.hand} {piece.rim.name}", steps)
        if key not in self._tables:
            self._tables[key] = timetable(
                self.recipe, piece.half, piece.rim, piece.s, rams=self.rams, start_s=0.0,
                rest_s=COOK_S.middle + self.design.heating.rest_s, steps=steps,
            )  # fmt: skip
        table = self._tables[key]
        if pace == 1.0:
            return table
        # Slower bends are the same steps farther apart; what follows them comes later.
        ends = table.time_s[steps[0]]
        slowed = np.minimum(table.time_s, ends) * pace + np.maximum(table.time_s - ends, 0.0)
        return replace(table, time_s=slowed)

    def _grid(
        self,
        piece: BentPiece,
        way: Way,
        table: Timetable,
        *,
        steps: tuple[int, int, int],
        resting: bool,
    ) -> HeatGrid:
        thickness = piece.pattern.thickness_m - (0.0 if way.only_tight else way.thinner_m)
        rest_s = self.design.heating.rest_s if resting else 0.0
        nodes_key = (round(thickness, 9), way.wetting, way.target_c, way.pace, rest_s)
        if nodes_key not in self._nodes:
            bending_s = sum(
                way.pace * step.duration_s.middle
                for step in self.recipe.steps
                if step.phase == "hot" and step.key in BENDS and step.duration_s is not None
            )
            inputs = HeatInputs(
                thickness_m=thickness,
                equipment=self.design.equipment,
                wetting=way.wetting,
                gravity=self.wood.gravity_12.middle,
                kind=self.wood.kind,
                target_c=way.target_c,
                bend_s=max(bending_s, 30.0) + COOK_S.middle,
                rest_s=rest_s,
                fibres=FEW_FIBRES,
            )
            until_s = inputs.bend_s + self.design.heating.rest_s + 1.01 * WATCHED_S
            self._nodes[nodes_key] = heat_nodes(inputs, self.spread_k, until_s)
        key = (*nodes_key, steps, tuple(table.time_s[[steps[0], -1]]))
        if key not in self._grids:
            self._grids[key] = heat_grid(self._nodes[nodes_key], table.time_s)
        return self._grids[key]

    def watched(self, piece: BentPiece, way: Way) -> tuple[IntArray, float]:
        """Stations that may break, and the greatest stretch of a middle run there.

        The most stretched, and some of every bend.
        """
        everywhere = np.arange(piece.s.size, dtype=np.intp)
        whole = self.bent(piece, way, everywhere)
        zero = np.zeros(1)
        done = bend_many(
            self.law.vector(),
            thickness_m=whole.thickness,
            inside_curvature=whole.inside_curvature,
            timetable=whole.timetable,
            conditions=whole.grid.read(zero, zero),
        )
        stretch = done.stretch[0].max(axis=0)
        picked: list[int] = []
        for i in tight_stations(piece.s, piece.curvature, piece.strain)[:5]:
            near = np.flatnonzero(np.abs(piece.s - piece.s[i]) < _ZONE_M)
            picked.append(int(near[np.argmax(stretch[near])]))
        order = [int(i) for i in np.argsort(-stretch, kind="stable") if int(i) not in picked]
        # Every third of the most stretched, so that a long even bend does not take all lanes.
        spread = order[:12] + order[12::3]
        chosen = list(dict.fromkeys(picked + spread))[:WATCHED]
        return np.array(sorted(chosen), dtype=np.intp), float(stretch.max())


def _near_tight(piece: BentPiece) -> FloatArray:
    """1 near the tight bends, run out to 0, shape (stations,)."""
    tight = tight_stations(piece.s, piece.curvature, piece.strain)
    worst = piece.strain.max()
    share = np.zeros(piece.s.size)
    for i in tight:
        if piece.strain[i] > 0.7 * worst:
            away = np.maximum(np.abs(piece.s - piece.s[i]) - _ZONE_M, 0.0)
            share = np.maximum(share, 1.0 - np.minimum(away / _RUN_OUT_M, 1.0))
    return share
