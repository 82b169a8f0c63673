"""The virtual bend of a whole instrument as plain values in SI."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from rimwright.bending.virtual_bend import BendRun
from rimwright.desk.bending_words import rests_words
from rimwright.desk.bent import Bent
from rimwright.sources import Sourced


def bend_document(bent: Bent) -> dict[str, Any]:
    """All of it as plain values in SI: what `bend.json` holds."""
    return {
        "name": bent.plan.design.name,
        "plan": bent.plan.code,
        "pieces": [
            {
                **_piece(run),
                "layers": [asdict(layer) for layer in layers],
                "core_at_target_c": job.heat.core_at_target_c.middle,
            }
            for run, job, layers in zip(bent.runs, bent.jobs, bent.layers, strict=True)
        ],
        "rests_on": rests_words(bent),
    }


def _piece(run: BendRun) -> dict[str, Any]:
    danger = run.danger
    used = run.utilisation
    return {
        "hand": run.piece.rim.hand,
        "piece": run.piece.rim.name,
        "capacity": None if run.capacity is None else _ranged(run.capacity),
        "danger": {
            "face": danger.face,
            "s_outer_m": danger.s_outer_m,
            "time_s": danger.time_s,
            "after_first_move_s": danger.time_s - float(run.timetable.time_s[0]),
            "doing": danger.doing,
            "stretch": _ranged(danger.stretch),
            "utilisation": None if danger.utilisation is None else _ranged(danger.utilisation),
            "words": danger.words,
        },
        "gaps": [
            {
                "name": gap.name,
                "s_outer_m": gap.s_outer_m,
                "gap_m": _ranged(gap.gap_m),
                "away_m": _ranged(gap.away_m),
                "gap_later_m": _ranged(later.gap_m),
            }
            for gap, later in zip(run.gaps, run.gaps_later, strict=True)
        ],
        "forces": [
            {
                "key": force.key,
                "force_n": _ranged(force.force_n),
                "wood_share": force.wood_share,
                "words": force.words,
            }
            for force in run.forces
        ],
        "s_outer_m": _numbers(run.piece.s),
        "thickness_m": _numbers(run.piece.thickness),
        "home_curvature_per_m": _numbers(run.home_curvature),
        "released_curvature_per_m": _numbers(run.released_curvature),
        "released_curvature_low_per_m": _numbers(run.released_low),
        "released_curvature_high_per_m": _numbers(run.released_high),
        "later_curvature_per_m": _numbers(run.later_curvature),
        "stretch_inside": _numbers(run.stretch[0]),
        "stretch_outside": _numbers(run.stretch[1]),
        "utilisation_inside": None if used is None else _numbers(used[0]),
        "utilisation_outside": None if used is None else _numbers(used[1]),
        "released_line_m": [[round(float(v), 7) for v in point] for point in run.released_line],
        "range_from": {name: round(share, 4) for name, share in run.moved_by},
    }


def _ranged(value: Sourced) -> dict[str, float]:
    return {"middle": value.middle, "low": value.low, "high": value.high}


def _numbers(values: Iterable[float]) -> list[float]:
    return [float(f"{float(value):.6g}") for value in values]
