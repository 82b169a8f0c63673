"""Ranges of the heat's results: one uncertain input moved at a time.

The moves are added as squares, as independent uncertainties are (JCGM 100:2008, Guide to the
expression of uncertainty in measurement, 5.1.2, from memory), up and down apart.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np

from rimwright.bending.heat_inputs import HeatInputs, case_of
from rimwright.bending.heat_parameters import HeatParameters
from rimwright.bending.heat_solve import GIVE_UP_S, Case, Solved, solve, time_at, with_value
from rimwright.curves.piece import FloatArray
from rimwright.sources import Provenance, Sourced

Measure = Callable[[Case, Solved], float]

#: Uncertain inputs, each moved to both ends.
MOVED = (
    "power_share",
    "loss_share",
    "contact_m2_k_w",
    "conductivity_share",
    "steam_escape_kg_m2_s",
    "drying_share",
    "probe_lag_s",
)


def moved_cases(inputs: HeatInputs, middle: Case, parameters: HeatParameters) -> list[Case]:
    """Every uncertain input at its low and at its high end, the others at their middle."""
    cases = []
    for name in MOVED:
        value: Sourced = getattr(parameters, name)
        cases += [with_value(middle, name, end) for end in (value.low, value.high)]
    film = inputs.film_kg_m2
    if inputs.profile is None and film.high > film.low:
        for end in (film.low, film.high):
            wetter = case_of(inputs, quick=True, film_kg_m2=end)
            cases.append(replace(middle, moisture=wetter.moisture))
    return cases


def ranged(
    inputs: HeatInputs,
    measures: Mapping[str, Measure],
    middles: Mapping[str, float],
    *,
    also: Mapping[str, Sequence[float]] | None = None,
    notes: Mapping[str, str] | None = None,
) -> dict[str, Sourced]:
    """Each measure's middle as given, with the range that the uncertain inputs give it.

    Parameters
    ----------
    inputs : HeatInputs
    measures : mapping of str to callable
        What is read off a case and its solution.
    middles : mapping of str to float
        Of a finer run; the quick runs only tell by how much the inputs move it.
    also : mapping of str to sequence of float, optional
        Further moves of a measure that need no run.
    notes : mapping of str to str, optional
        What to say beside each.
    """
    middle = case_of(inputs, quick=True)
    solved = solve(middle)
    base = {name: measure(middle, solved) for name, measure in measures.items()}
    moves: dict[str, list[float]] = {name: list((also or {}).get(name, ())) for name in measures}
    for case in moved_cases(inputs, middle, inputs.parameters):
        result = solve(case)
        for name, measure in measures.items():
            moves[name].append(measure(case, result) - base[name])
    made = {}
    for name in measures:
        by = np.array(moves[name])
        made[name] = Sourced(
            middle=middles[name],
            low=middles[name] - float(np.linalg.norm(by[by < 0.0])),
            high=middles[name] + float(np.linalg.norm(by[by > 0.0])),
            provenance=Provenance.DERIVED,
            note=(notes or {}).get(name, "heat through the stack"),
        )
    return made


def time_measure(celsius: float) -> Measure:
    """Time until the probe reads that much; what never does counts as giving up. [s]"""

    def measure(_case: Case, solved: Solved) -> float:
        seconds = time_at(solved, celsius)
        return GIVE_UP_S if seconds is None else seconds

    return measure


def bands(inputs: HeatInputs, times: FloatArray) -> dict[str, tuple[FloatArray, FloatArray]]:
    """How far probe and core of the wood range at each time: low and high moves. [K]

    The same moves as `ranged`, moment by moment.
    """
    middle = case_of(inputs, quick=True)

    def curves(case: Case) -> dict[str, FloatArray]:
        solved = solve(case)
        first, last = case.cells.first, case.cells.last
        wood = solved.temperature_c[:, first:last]
        core = wood[:, (last - first) // 2 - 1 : (last - first) // 2 + 1].mean(axis=1)
        return {
            "probe": np.interp(times, solved.time_s, solved.probe_c),
            "core": np.interp(times, solved.time_s, core),
        }

    base = curves(middle)
    moves: dict[str, list[FloatArray]] = {name: [] for name in base}
    for case in moved_cases(inputs, middle, inputs.parameters):
        for name, curve in curves(case).items():
            moves[name].append(curve - base[name])
    made = {}
    for name, found in moves.items():
        by = np.array(found)
        made[name] = (
            -np.linalg.norm(np.minimum(by, 0.0), axis=0),
            np.linalg.norm(np.maximum(by, 0.0), axis=0),
        )
    return made
