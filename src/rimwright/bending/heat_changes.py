"""The heat with one thing changed at a time."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from rimwright.bending.heat import core_of, faces, over_bend, softness_of
from rimwright.bending.heat_inputs import HeatInputs, case_of
from rimwright.bending.heat_solve import holding_share, solve, time_at
from rimwright.bending.heat_words import changes


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIf:
    """One thing changed, and what follows; None where the target is never reached."""

    change: str
    to_target_s: float | None
    hold_fraction: float | None
    core_at_target_c: float | None
    core_softness_in_bend_k: float | None


def what_ifs(inputs: HeatInputs) -> tuple[WhatIf, ...]:
    """The run with one thing changed at a time: room, water, blanket, contact, probe's place.

    Examples
    --------
    >>> [one.change for one in what_ifs(HeatInputs(thickness_m=0.0021))][:2]
    ['as it is', 'a room 10 °C (18 °F) colder']
    """
    made = []
    for words, changed, values in changes(inputs):
        case = case_of(changed)
        case = replace(case, rest_s=0.0, values=replace(case.values, **values))
        solved = solve(case)
        if solved.target_s is None:
            made.append(
                WhatIf(change=words, to_target_s=None, hold_fraction=None,
                       core_at_target_c=None, core_softness_in_bend_k=None)
            )  # fmt: skip
            continue
        core = faces(solved, case)[1]
        softness = softness_of(solved, case, inputs.softening_offset_k.middle)
        made.append(
            WhatIf(
                change=words,
                to_target_s=time_at(solved, inputs.target_c),
                hold_fraction=holding_share(solved, case.full_w_m2 * case.values.power_share),
                core_at_target_c=float(np.interp(solved.target_s, solved.time_s, core)),
                core_softness_in_bend_k=over_bend(solved, core_of(softness)),
            )
        )
    return tuple(made)
