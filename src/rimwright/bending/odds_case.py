"""One instrument made ready for its odds: bare arrays that a thread or another machine can take."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimwright.bending.check_line import BentPiece, tight_stations
from rimwright.bending.law import Law, law_of
from rimwright.bending.odds_changes import Way, ways
from rimwright.bending.odds_fragility import Fragility, fragility_of
from rimwright.bending.odds_inputs import NINETY, PROBE_SPREAD_K
from rimwright.bending.odds_pieces import Bent, IntArray, Maker
from rimwright.bending.parameters import BendParameters
from rimwright.bending.release import gap_places
from rimwright.bending.results import Recipe
from rimwright.bending.section import Section
from rimwright.curves.piece import FloatArray
from rimwright.errors import DesignError
from rimwright.instrument.design import Design
from rimwright.instrument.outline import Outline, RimPiece
from rimwright.sides.pattern import SidePattern
from rimwright.tooling.parts import RamTravel
from rimwright.wood.species import Wood

#: Stations of a piece for its released line.
STATIONS = 192
#: A piece stretched by less than this share of the most stretched one is never the first to
#: break: all vary together, and no change moves one by so much against another.
_MAY_BREAK = 0.7


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
    size: int = 8
    seed: int = 1
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
    maker = Maker(
        design=design, recipe=recipe, rams=rams, wood=wood, law=law,
        spread_k=float(np.hypot(of_core, PROBE_SPREAD_K.middle)),
    )  # fmt: skip
    base = ways(design, target_c=target_c, wood=wood)[0]
    whole = [
        maker.bent(piece, base, _chosen(piece, sweep.stations), sweep.steps, resting=True)
        for piece in bent
    ]
    watched = [maker.watched(piece, base) for piece in bent]
    first = _first_to_break(bent, [stretch for _, stretch in watched])
    settings = []
    for way in ways(design, target_c=target_c, wood=wood):
        try:
            made = tuple(maker.bent(bent[i], way, watched[i][0]) for i in first)
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
