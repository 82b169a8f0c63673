"""The virtual bend of a whole instrument in words."""

from __future__ import annotations

from typing import Any

import numpy as np

from rimwright.bending.law import LAW_WORDS
from rimwright.bending.release import Gap
from rimwright.bending.virtual_bend import BendRun
from rimwright.bending.virtual_side import COOK_S
from rimwright.desk.bent import Bent
from rimwright.desk.words import items, table
from rimwright.units import length_text, time_text

_NAMES = {"main": "side", "return": "return"}


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
    lines += ["It rests on", *items(rests_words(bent))]
    return "\n".join(lines)


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


def rests_words(bent: Bent) -> list[str]:
    """Heat and rest, what the range comes from, and the law's numbers."""
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
