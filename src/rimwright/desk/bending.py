"""The virtual bend of a whole instrument: in words, as data, written into a folder."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import numpy as np

from rimwright.bending.law import LAW_WORDS
from rimwright.bending.parameters import DEFAULT, BendParameters
from rimwright.bending.release import Gap
from rimwright.bending.virtual_bend import BendRun
from rimwright.bending.virtual_layers import LayerBend
from rimwright.bending.virtual_side import COOK_S, SideJob, side_job
from rimwright.desk.words import items, table
from rimwright.document import dump
from rimwright.files import make_folder, write_atomically
from rimwright.instrument.design import Design
from rimwright.plan import Plan, make_plan
from rimwright.sources import Sourced
from rimwright.units import length_text, time_text
from rimwright.wood.catalogue import find

_NAMES = {"main": "side", "return": "return"}


@dataclass(frozen=True, kw_only=True)
class Bent:
    """A plan, and each of its pieces bent in the computer."""

    plan: Plan
    jobs: tuple[SideJob, ...]
    runs: tuple[BendRun, ...]
    #: Loose strips of each piece.
    layers: tuple[tuple[LayerBend, ...], ...]


def bend_design(design: Design, parameters: BendParameters = DEFAULT) -> Bent:
    """Plan a design and bend every piece of its sides in the computer.

    Raises
    ------
    RimwrightError
        Whatever the plan or the heat refuses, in one line.
    """
    plan = make_plan(design, parameters)
    wood = None
    if plan.design.sides.wood is not None:
        wood = find(plan.design.sides.wood, plan.design.own_woods)
    jobs = tuple(
        side_job(
            plan.design,
            outline=plan.outline,
            side=side,
            recipe=plan.recipe,
            tooling=plan.tooling,
            wood=wood,
            parameters=parameters,
        )
        for side in plan.sides
    )
    return Bent(
        plan=plan,
        jobs=jobs,
        runs=tuple(job.bend() for job in jobs),
        layers=tuple(job.layers() for job in jobs),
    )


def bend_text(bent: Bent) -> str:
    """The most dangerous moment first, then radii, gaps and forces of each piece."""
    show = bent.plan.design.show
    lines = [f"{bent.plan.design.name}   virtual bend of plan {bent.plan.code}", ""]
    worst = max(bent.runs, key=lambda run: run.danger.stretch.middle)
    lines += ["Nearest to breaking", *items([_danger(worst, bent)]), ""]
    for run, layers in zip(bent.runs, bent.layers, strict=True):
        rows = [("Place", "on the form", "released", "gap to the mould", "a week later")]
        rows += [
            _row(run, gap, later, show) for gap, later in zip(run.gaps, run.gaps_later, strict=True)
        ]
        lines += [f"{_name(run).capitalize()}, laid on the mould at its {_start(run)}"]
        lines += [*table(rows), ""]
        if run is not worst:
            lines += [*items([_danger(run, bent)]), ""]
        pushes = ", ".join(
            f"{force.key.replace('-', ' ')} {force.force_n.middle:.0f} N "
            f"({force.force_n.low:.0f} to {force.force_n.high:.0f})"
            for force in run.forces
        )
        lines += [*items([f"Force: {pushes}", *(layer.words for layer in layers)]), ""]
    lines += ["A gap is positive where the side stands outside the mould.", ""]
    lines += ["It rests on", *items(_rests_on(bent))]
    return "\n".join(lines)


def _rests_on(bent: Bent) -> list[str]:
    moved = bent.runs[0].moved_by[:3]
    heat = bent.jobs[0].heat
    return [
        f"heat: at the target in {time_text(heat.to_target_s.middle)}, the wood's middle then "
        f"{heat.core_at_target_c.middle:.0f} °C; unplugged {time_text(COOK_S.middle)} after the "
        f"last clamp ({COOK_S.provenance}), rest of "
        f"{time_text(bent.plan.design.heating.rest_s)}",
        "the range comes mostly from "
        + ", ".join(
            f"{LAW_WORDS[name][0]} ({share:.0%})".replace("%", " %") for name, share in moved
        ),
        *bent.runs[0].rests_on,
    ]


def _name(run: BendRun) -> str:
    return f"{run.piece.rim.hand} {_NAMES[run.piece.rim.name]}"


def _start(run: BendRun) -> str:
    return "tail seam" if run.piece.rim.name == "main" else "horn tip"


def _danger(run: BendRun, bent: Bent) -> str:
    danger = run.danger
    since = danger.time_s - float(run.timetable.time_s[0])
    used = "name the wood to hold it against what it bears"
    if danger.utilisation is not None:
        used = (
            f"{danger.utilisation.middle:.0%} of what {bent.plan.design.sides.wood} bears "
            f"({danger.utilisation.low:.0%} to {danger.utilisation.high:.0%})"
        ).replace("%", " %")
    return (
        f"{_name(run)}, {danger.words}, {time_text(since)} after the first move: stretched "
        f"{100 * danger.stretch.middle:.1f} %, {used}"
    )


def _row(run: BendRun, gap: Gap, later: Gap, show: Any) -> tuple[str, str, str, str, str]:
    i = int(np.argmin(np.abs(run.piece.s - gap.s_outer_m)))

    def radius(curvature: float) -> str:
        return "flat" if abs(curvature) < 0.2 else length_text(1.0 / abs(curvature), show)

    def size(value: float) -> str:
        sign = "-" if value < -5e-5 else ""
        return sign + length_text(abs(value), show)

    # A range from low to high curvature, both of the middle line.
    ends = sorted((abs(run.released_low[i]), abs(run.released_high[i])), reverse=True)
    return (
        gap.name,
        radius(run.home_curvature[i]),
        f"{radius(run.released_curvature[i])} ({radius(ends[0])} to {radius(ends[1])})",
        f"{size(gap.gap_m.middle)} ({size(gap.gap_m.low)} to {size(gap.gap_m.high)})",
        size(later.gap_m.middle),
    )


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
        "rests_on": _rests_on(bent),
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


def write_bend(bent: Bent, folder: Path) -> str:
    """Write `bend.json` and the plots of every piece; say what was written.

    Raises
    ------
    OutputError
        If the folder or a file cannot be written, or the plots' library is not there.
    """
    from rimwright.sheets.bend_plots import outline_plot, utilisation_plot

    drawn = []
    for run in bent.runs:
        tag = f"{run.piece.rim.hand}" + ("-return" if run.piece.rim.name == "return" else "")
        drawn += [
            (f"bend-utilisation-{tag}.png", utilisation_plot(run, bent.plan.design)),
            (f"bend-released-{tag}.png", outline_plot(run, bent.plan.design)),
        ]
    make_folder(folder)
    write_atomically(folder / "bend.json", dump(bend_document(bent)))
    for name, picture in drawn:
        write_atomically(folder / name, picture)
    return f"Wrote {1 + len(drawn)} files to {folder}: bend.json, " + ", ".join(n for n, _ in drawn)
