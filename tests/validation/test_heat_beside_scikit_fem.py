"""The same heat-up of a whole stack in scikit-fem, a general finite element library."""

import importlib.util
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from rimwright.bending.heat_inputs import HeatInputs, case_of
from rimwright.bending.heat_solve import solve
from rimwright.instrument.design import Wetting

SCIKIT_FEM = "scikit-fem 12: quadratic elements, BDF2 in steps of half a second"
_AT = Path(__file__).parents[2] / "scripts" / "benchmarks" / "heat_fem.py"


@pytest.fixture(scope="module")
def both():
    """Full power for 200 s on the default stack, dry, nothing evaporating; ours and theirs."""
    spec = importlib.util.spec_from_file_location("heat_fem", _AT)
    fem = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(fem)
    inputs = HeatInputs(
        thickness_m=0.0021, gravity=0.76, control="schedule", bend_s=200.0,
        wetting=Wetting(method="dry"),
    )  # fmt: skip
    case = case_of(inputs)
    sealed = {"steam_escape_kg_m2_s": 0.0, "drying_share": 0.0, "probe_lag_s": 0.0}
    case = replace(case, values=replace(case.values, **sealed))
    return case, solve(case), fem.heat_up(case, end_s=200.0, step_s=0.5, repeats=2)


@pytest.mark.slow
@pytest.mark.parametrize("where", ["probe", "middle of the wood"])
def test_the_same_stack(held_against, both, where):
    case, ours, (time, probe, core) = both
    theirs = probe if where == "probe" else core
    middle = (case.cells.first + case.cells.last) // 2
    curve = ours.probe_c if where == "probe" else ours.temperature_c[:, middle]
    there = np.interp(time, ours.time_s, curve)
    worst = int(np.argmax(np.abs(there - theirs)))
    held_against(
        f"seven layers heated for 200 s at 5 W/in²: {where}, where they differ most",
        source=SCIKIT_FEM,
        printed=theirs[worst],
        ours=there[worst],
        tolerance=0.2,
        unit="°C",
        why="default cells and steps; with four times the cells they differ by 0.04 K",
    )
    assert theirs[-1] > 125.0
