"""One instrument made ready for its odds: bare arrays that a thread or another machine can take."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from rimwright.bending.check_line import BentPiece, tight_stations
from rimwright.bending.heat_inputs import HeatInputs
from rimwright.bending.law import Law, law_of
from rimwright.bending.odds_changes import Way, ways
from rimwright.bending.odds_fragility import Fragility, fragility_of
from rimwright.bending.odds_heat import HeatGrid, heat_grid
from rimwright.bending.odds_inputs import NINETY, PROBE_SPREAD_K
from rimwright.bending.parameters import BendParameters
from rimwright.bending.release import gap_places
from rimwright.bending.results import Recipe
from rimwright.bending.section import Section
from rimwright.bending.virtual_bend import inside_curvature
from rimwright.bending.virtual_many import FEW_FIBRES, Timetable, bend_many
from rimwright.bending.virtual_schedule import timetable
from rimwright.curves.piece import FloatArray
from rimwright.errors import DesignError
from rimwright.instrument.design import Design
from rimwright.instrument.outline import Outline, RimPiece
from rimwright.sides.pattern import SidePattern
from rimwright.tooling.parts import RamTravel
from rimwright.wood.species import Wood

IntArray = npt.NDArray[np.intp]

#: Stations of a piece for its released line, and most of those watched for a change: whole
#: rows of the kernel's lanes.
STATIONS, WATCHED = 192, 32
#: Steps of bending, of hold and rest, after release, where only the stretch is asked for.
STRETCH_STEPS = (120, 24, 4)
#: A piece stretched by less than this share of the most stretched one is never the first to
#: break: all vary together, and no change moves one by so much against another.
_MAY_BREAK = 0.7
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


@dataclass(frozen=True, kw_only=True)
class PieceCase:
    """One piece of side at the stations its line is told from."""

    rim: RimPiece
    #: On the outer line. [m]
    s: FloatArray
    #: Where gaps are told.
    places: tuple[tuple[str, float], ...]
    bent: Bent


@dataclass(frozen=True, kw_only=True)
class Setting:
    """One way of doing the job, its pieces at the stations that may break."""

    way: Way
    pieces: tuple[Bent, ...]
    fragility: Fragility


@dataclass(frozen=True, kw_only=True)
class OddsCase:
    """Everything that the blocks of one instrument need."""

    name: str
    seed: int
    #: Sides in a block, and how many blocks there are of each kind.
    size: int
    blocks: int
    law: Law
    pieces: tuple[PieceCase, ...]
    fragility: Fragility
    #: As it is, then each single change.
    settings: tuple[Setting, ...]
    #: What of the heat is taken as not known, when the probe calls. [K]
    heat_spread_k: float


@dataclass(frozen=True, kw_only=True)
class Sweep:
    """How many sides, and how finely each is bent."""

    samples: int = 1024
    size: int = 32
    seed: int = 20_240
    stations: int = STATIONS
    steps: tuple[int, int, int] = (200, 60, 24)

    @property
    def blocks(self) -> int:
        """Blocks of sides; the last is filled."""
        return -(-self.samples // self.size)


def odds_case(
    design: Design,
    *,
    outline: Outline,
    sides: tuple[SidePattern, ...],
    recipe: Recipe,
    rams: tuple[RamTravel, ...],
    wood: Wood,
    parameters: BendParameters,
    target_c: float,
    sweep: Sweep,
) -> OddsCase:
    """Make one instrument ready: lines, timetables, heat, fragility, and each single change.

    Raises
    ------
    DesignError
        If the blanket never reaches the target, or fewer than 64 sides are asked for.
    """
    if not 64 <= sweep.samples <= 1_000_000:
        raise DesignError(
            f"{sweep.samples} samples", "64 to 1,000,000", "give `--samples` within that"
        )
    law = law_of(wood, parameters.law)
    bent = [
        BentPiece.of(outline, side, design.sides.thinned, Section.of(parameters), None)
        for side in sides
    ]
    core = recipe.warm_up.core_at_target_c
    of_core = 0.0 if core is None else (core.high - core.low) / (2.0 * NINETY)
    maker = _Maker(
        design=design, recipe=recipe, rams=rams, wood=wood, law=law,
        spread_k=float(np.hypot(of_core, PROBE_SPREAD_K.middle)),
    )  # fmt: skip
    base = ways(design, target_c=target_c, wood=wood)[0]
    whole = [maker.bent(piece, base, _chosen(piece, sweep.stations), sweep.steps) for piece in bent]
    watched = [maker.watched(piece, base) for piece in bent]
    first = _first_to_break(bent, [stretch for _, stretch in watched])
    settings = []
    for way in ways(design, target_c=target_c, wood=wood):
        try:
            made = tuple(maker.bent(bent[i], way, watched[i][0], STRETCH_STEPS) for i in first)
        except DesignError:
            if way.key == base.key:
                raise
            continue  # a blanket too weak for this change
        settings.append(
            Setting(
                way=way,
                pieces=made,
                fragility=fragility_of(
                    wood, parameters, law.vector(), figure=way.figure,
                    grain_angle_rad=way.grain_angle_rad,
                ),
            )
        )  # fmt: skip
    return OddsCase(
        name=design.name,
        seed=sweep.seed,
        size=sweep.size,
        blocks=sweep.blocks,
        law=law,
        pieces=tuple(
            PieceCase(
                rim=piece.rim,
                s=piece.s[_chosen(piece, sweep.stations)],
                places=gap_places(piece.half, piece.rim),
                bent=one,
            )
            for piece, one in zip(bent, whole, strict=True)
        ),
        fragility=settings[0].fragility,
        settings=tuple(settings),
        heat_spread_k=maker.spread_k,
    )


def _first_to_break(bent: list[BentPiece], stretches: list[float]) -> list[int]:
    """Pieces that may be the first to break; of two that are each other's mirror, one."""
    found: list[int] = []
    for i, (piece, stretch) in enumerate(zip(bent, stretches, strict=True)):
        mirrored = any(
            bent[k].s.size == piece.s.size
            and np.allclose(bent[k].curvature, piece.curvature, rtol=1e-6, atol=1e-6)
            and np.allclose(bent[k].thickness, piece.thickness)
            for k in found
        )
        if stretch > _MAY_BREAK * max(stretches) and not mirrored:
            found.append(i)
    return found


def _chosen(piece: BentPiece, count: int) -> IntArray:
    """About so many stations: evenly spread, with joints and the tightest of each bend."""
    must = set(tight_stations(piece.s, piece.curvature, piece.strain))
    for i in np.flatnonzero(np.diff(piece.s) < 1e-6):
        must |= {int(i), int(i) + 1}
    must |= {0, piece.s.size - 1}
    free = [i for i in range(piece.s.size) if i not in must]
    more = min(max(count - len(must), 8), len(free))
    even = np.round(np.linspace(0, len(free) - 1, more)).astype(int)
    return np.array(sorted(must | {free[i] for i in even}), dtype=np.intp)


@dataclass
class _Maker:
    """Builds pieces for one way of doing the job, sharing what does not differ."""

    design: Design
    recipe: Recipe
    rams: tuple[RamTravel, ...]
    wood: Wood
    law: Law
    spread_k: float

    def __post_init__(self) -> None:
        self._tables: dict[tuple[str, tuple[int, ...]], Timetable] = {}
        self._grids: dict[tuple[object, ...], HeatGrid] = {}

    def bent(self, piece: BentPiece, way: Way, at: IntArray, steps: tuple[int, int, int]) -> Bent:
        """One piece at stations `at`."""
        table = self._table(piece, way.pace, steps)
        off = way.thinner_m
        thickness = piece.thickness - (off * _near_tight(piece) if way.only_tight else off)
        return Bent(
            thickness=np.ascontiguousarray(thickness[at]),
            # The form is there already: a change of thickness does not change it.
            inside_curvature=np.ascontiguousarray(inside_curvature(piece)[at]),
            timetable=replace(table, progress=np.ascontiguousarray(table.progress[:, at])),
            grid=self._grid(piece, way, table, steps),
        )

    def _table(self, piece: BentPiece, pace: float, steps: tuple[int, int, int]) -> Timetable:
        key = (f"{piece.rim.hand} {piece.rim.name}", steps)
        if key not in self._tables:
            self._tables[key] = timetable(
                self.recipe, piece.half, piece.rim, piece.s, rams=self.rams, start_s=0.0,
                rest_s=self.design.heating.rest_s, steps=steps,
            )  # fmt: skip
        table = self._tables[key]
        if pace == 1.0:
            return table
        # Slower bends are the same steps farther apart; what follows them comes later.
        ends = table.time_s[steps[0]]
        slowed = np.minimum(table.time_s, ends) * pace + np.maximum(table.time_s - ends, 0.0)
        return replace(table, time_s=slowed)

    def _grid(
        self, piece: BentPiece, way: Way, table: Timetable, steps: tuple[int, int, int]
    ) -> HeatGrid:
        thickness = piece.pattern.thickness_m - (0.0 if way.only_tight else way.thinner_m)
        ends = float(table.time_s[steps[0]])
        key = (round(thickness, 9), way.wetting, way.target_c, ends, steps)
        if key not in self._grids:
            inputs = HeatInputs(
                thickness_m=thickness,
                equipment=self.design.equipment,
                wetting=way.wetting,
                gravity=self.wood.gravity_12.middle,
                kind=self.wood.kind,
                target_c=way.target_c,
                bend_s=max(ends, 30.0),
                fibres=FEW_FIBRES,
            )
            self._grids[key] = heat_grid(inputs, table.time_s, self.spread_k)
        return self._grids[key]

    def watched(self, piece: BentPiece, way: Way) -> tuple[IntArray, float]:
        """Stations that may break, and the greatest stretch of a middle run there.

        The most stretched, and some of every bend.
        """
        everywhere = np.arange(piece.s.size, dtype=np.intp)
        whole = self.bent(piece, way, everywhere, STRETCH_STEPS)
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
