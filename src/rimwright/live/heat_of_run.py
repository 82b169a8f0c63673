"""The heat of a run: what its model is asked, and what was expected before the blanket was on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from rimwright.bending.heat_inputs import HeatInputs
from rimwright.bending.heat_parameters import DEFAULT_HEAT, HeatParameters
from rimwright.equipment.stack import Blanket, Equipment, Layer
from rimwright.errors import RunError
from rimwright.instrument.design import Wetting
from rimwright.live.run_plan import Predicted, Ranged, RunPlan
from rimwright.sources import Sourced

#: Points of the curve that is kept and drawn.
CURVE_POINTS = 100


def heat_inputs(run_plan: RunPlan, parameters: HeatParameters = DEFAULT_HEAT) -> HeatInputs:
    """What the heat's model asks, from the plain values that a run keeps of its plan.

    Parameters
    ----------
    run_plan : RunPlan
        Its `heat` holds equipment, wetting, thickness_m, gravity, kind, early_alarm_c, target_c
        and rest_s.
    parameters : HeatParameters
        What is known of this blanket: assumed, or learnt in earlier runs.

    Raises
    ------
    RunError
        If something of it is missing or no value of a heat.
    """
    heat = run_plan.heat
    try:
        return HeatInputs(
            thickness_m=float(heat["thickness_m"]),
            equipment=_equipment(heat["equipment"]),
            wetting=Wetting(**heat["wetting"]),
            gravity=float(heat["gravity"]),
            kind=heat["kind"],
            early_alarm_c=float(heat["early_alarm_c"]),
            target_c=float(heat["target_c"]),
            rest_s=float(heat["rest_s"]),
            parameters=parameters,
        )
    except KeyError as error:
        raise RunError(
            f"a run without {error.args[0]!r} in its heat",
            "equipment, wetting, thickness and targets as the plan has them",
            "begin the run from a plan of this version",
        ) from error
    except (TypeError, ValueError) as error:
        raise RunError(
            f"a heat that cannot be read ({error})",
            "equipment, wetting, thickness and targets as the plan has them",
            "begin the run from a plan of this version",
        ) from error


def _equipment(plain: Mapping[str, Any]) -> Equipment:
    return Equipment(
        **{
            **plain,
            "layers": tuple(Layer(**layer) for layer in plain["layers"]),
            "blanket": Blanket(**plain["blanket"]),
        }
    )


def predicted(
    inputs: HeatInputs,
    *,
    utilisation: float | None = None,
    crack_chance: Ranged | None = None,
    points: int = CURVE_POINTS,
) -> Predicted:
    """What is expected of a run: times, the power that holds, and the probe's curve with its band.

    Parameters
    ----------
    inputs : HeatInputs
        As `heat_inputs` gives it.
    utilisation, crack_chance
        From the bend check and the odds, to be kept beside the heat.
    points : int
        Of the curve, from the heat on to the end of the bend.

    Raises
    ------
    DesignError
        If the blanket is too weak ever to reach the target.

    Examples
    --------
    >>> told = predicted(HeatInputs(thickness_m=0.0021))
    >>> round(told.to_target_s.middle), len(told.time_s)
    (117, 100)
    """
    # Half a second of imports and machine code: only when a run is begun.
    from rimwright.bending.heat import heat_run
    from rimwright.bending.heat_ranges import bands

    run = heat_run(replace(inputs, rest_s=0.0))
    times = np.linspace(0.0, run.off_s, points)
    curve = np.interp(times, run.time_s, run.probe_c)
    low, high = bands(inputs, times)["probe"]

    def plain(values: np.ndarray[Any, np.dtype[np.float64]]) -> tuple[float, ...]:
        return tuple(round(float(value), 3) for value in values)

    return Predicted(
        to_early_alarm_s=_ranged(run.to_early_alarm_s),
        to_target_s=_ranged(run.to_target_s),
        hold_fraction=_ranged(run.hold_fraction),
        time_s=plain(times),
        probe_c=plain(curve),
        probe_low_c=plain(curve + low),
        probe_high_c=plain(curve + high),
        utilisation=utilisation,
        crack_chance=crack_chance,
    )


def _ranged(value: Sourced) -> Ranged:
    return Ranged(middle=float(value.middle), low=float(value.low), high=float(value.high))
