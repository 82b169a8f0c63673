"""Heat through the stack: what probe and wood go through, and what the probe does not tell."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimwright.bending.heat_inputs import HeatInputs, case_of, checked, refuse_too_weak
from rimwright.bending.heat_ranges import ranged, time_measure
from rimwright.bending.heat_solve import Case, Solved, holding_share, solve
from rimwright.bending.heat_words import rests_on, scorch_warnings
from rimwright.bending.history import FibreHistory
from rimwright.curves.piece import FloatArray
from rimwright.sources import Sourced
from rimwright.wood.softening import softening_temperature


@dataclass(frozen=True, kw_only=True)
class HeatRun:
    """One run of the heat: curves at the middle of everything, figures with their ranges."""

    inputs: HeatInputs
    #: Since the heat was turned on, shape (times,). [s]
    time_s: FloatArray
    #: What the probe reads, shape (times,). [degC]
    probe_c: FloatArray
    #: Of the wood: the form's face, the middle, the outer face, shape (times,). [degC]
    inside_face_c: FloatArray
    core_c: FloatArray
    outside_face_c: FloatArray
    #: Mean over the thickness, shape (times,). [fraction]
    mean_moisture: FloatArray
    #: Blanket's power since the time before, shape (times,). [W/m²]
    power_w_m2: FloatArray
    #: Each fibre's temperature and moisture from cold to the end of the rest.
    history: FibreHistory
    #: Temperature less the softening temperature, shape (times, fibres). [K]
    softness_k: FloatArray
    #: When the blanket is unplugged. [s]
    off_s: float
    to_early_alarm_s: Sourced
    to_target_s: Sourced
    #: Share of full power that holds the target.
    hold_fraction: Sourced
    #: Middle of the wood when the probe reaches the target. [degC]
    core_at_target_c: Sourced
    #: Mean over the thickness, and over the time from target to unplugging. [K]
    softness_in_bend_k: Sourced
    #: The same at the middle of the wood. [K]
    core_softness_in_bend_k: Sourced
    #: Since when the middle of the wood has been soft, if it is at unplugging; else None. [s]
    core_soft_since_s: float | None
    #: How long each fibre was above its softening temperature while heated, shape (fibres,). [s]
    soft_for_s: FloatArray
    #: Heat put in until unplugging. [J/m²]
    energy_j_m2: float
    #: What the books of heat miss, over the heat put in.
    imbalance: float
    warnings: tuple[str, ...] = ()
    rests_on: tuple[str, ...] = ()

    def at(self, seconds: float, of: FloatArray) -> float:
        """One of the curves at a moment.

        Examples
        --------
        >>> run = heat_run(HeatInputs(thickness_m=0.0021))
        >>> round(run.at(run.to_target_s.middle, run.probe_c))
        110
        """
        return float(np.interp(seconds, self.time_s, of))


def faces(solved: Solved, case: Case) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Inside face, core and outside face: straight lines on from the last two cells."""
    wood = solved.temperature_c[:, case.cells.first : case.cells.last]
    inside = 1.5 * wood[:, 0] - 0.5 * wood[:, 1]
    outside = 1.5 * wood[:, -1] - 0.5 * wood[:, -2]
    half = wood.shape[1] // 2
    core = wood[:, half] if wood.shape[1] % 2 else 0.5 * (wood[:, half - 1] + wood[:, half])
    return inside, core, outside


def softness_of(solved: Solved, case: Case, offset_k: float) -> FloatArray:
    """Each wood cell's temperature less where it softens, shape (times, cells). [K]"""
    wood = solved.temperature_c[:, case.cells.first : case.cells.last]
    moisture = np.clip(solved.moisture, 0.0, 3.0)
    return np.asarray(wood - softening_temperature(moisture, offset_k))


def over_bend(solved: Solved, values: FloatArray) -> float:
    """Mean over the time from target to off."""
    start = solved.target_s or 0.0
    during = (solved.time_s >= start - 1e-6) & (solved.time_s <= solved.off_s + 1e-6)
    if np.count_nonzero(during) < 2:
        return float(values[-1])
    time = solved.time_s[during]
    return float(np.trapezoid(values[during], time) / (time[-1] - time[0]))


def core_of(values: FloatArray) -> FloatArray:
    """The middle cell's curve, or the mean of the two in the middle."""
    count = values.shape[1]
    return np.asarray(values[:, (count - 1) // 2 : count // 2 + 1].mean(axis=1))


def heat_run(inputs: HeatInputs) -> HeatRun:
    """Run the heat from a cold stack to the target, through the bend, and on into the rest.

    Parameters
    ----------
    inputs : HeatInputs
        Stack, side, water, control and times.

    Returns
    -------
    HeatRun

    Raises
    ------
    DesignError
        If the blanket is too weak ever to reach the target, the target is where wood begins
        to glow, or the stack has no side, no blanket or a layer without thickness.
    OutsideValidityError
        For air that no room has.

    Notes
    -----
    One dimension, through the thickness. Finite volumes; TR-BDF2 with step control; wood's
    conductivity and heat follow its temperature and moisture; water is driven out of every
    slice by the pressure of its steam over the atmosphere's, taking its latent heat along;
    both faces lose heat by free convection and radiation. The sorption table ends at 99 °C and
    the specific heat at 147: beyond, the one is held and the other carried on. Left out: heat
    along the side, the heat of sorption (some per cent of the latent), steam condensing in a
    cooler slice.

    Examples
    --------
    When the probe says 230 °F the middle of the wood is cooler by some 20 °C.

    >>> run = heat_run(HeatInputs(thickness_m=0.0021))
    >>> 10.0 < 110.0 - run.core_at_target_c.middle < 25.0
    True
    """
    case = case_of(checked(inputs))
    solved = solve(case)
    if solved.target_s is None and case.control != "schedule":
        raise refuse_too_weak(inputs, case)
    offset = inputs.softening_offset_k
    softness = softness_of(solved, case, offset.middle)
    inside, core, outside = faces(solved, case)
    figures = _figures(inputs, case, solved)
    per = inputs.cells_per_fibre
    wood = solved.temperature_c[:, case.cells.first : case.cells.last]
    by_fibre = (solved.time_s.size, inputs.fibres, per)
    under_heat = solved.time_s <= solved.off_s + 1e-6
    seconds = np.diff(solved.time_s, prepend=0.0) * under_heat
    soft = softness.reshape(by_fibre).mean(axis=2)
    core_softness = core_of(softness)
    return HeatRun(
        inputs=inputs,
        time_s=solved.time_s,
        probe_c=solved.probe_c,
        inside_face_c=inside,
        core_c=core,
        outside_face_c=outside,
        mean_moisture=solved.moisture.mean(axis=1),
        power_w_m2=solved.power_w_m2,
        history=FibreHistory(
            solved.time_s,
            wood.reshape(by_fibre).mean(axis=2),
            np.maximum(solved.moisture, 0.0).reshape(by_fibre).mean(axis=2),
        ),
        softness_k=soft,
        off_s=solved.off_s,
        **figures,
        core_soft_since_s=_soft_since(solved, core_softness),
        soft_for_s=seconds @ (soft >= 0.0),
        energy_j_m2=solved.heat_in_j_m2,
        imbalance=solved.imbalance,
        warnings=scorch_warnings(
            solved.time_s[under_heat],
            {"inside": inside[under_heat], "outside": outside[under_heat]},
            core_softness[under_heat],
        ),
        rests_on=rests_on(inputs),
    )


def _soft_since(solved: Solved, core_softness: FloatArray) -> float | None:
    last = int(np.searchsorted(solved.time_s, solved.off_s + 1e-6)) - 1
    if core_softness[last] < 0.0:
        return None
    firm = np.flatnonzero(core_softness[: last + 1] < 0.0)
    return float(solved.time_s[firm[-1] + 1]) if firm.size else 0.0


def _figures(inputs: HeatInputs, case: Case, solved: Solved) -> dict[str, Sourced]:
    """What is told with a range; all of it read off the same runs."""
    offset = inputs.softening_offset_k
    full = case.full_w_m2

    def hold(of: Case, run: Solved) -> float:
        return holding_share(run, full * of.values.power_share)

    def core_at_target(of: Case, run: Solved) -> float:
        when = run.target_s if run.target_s is not None else float(run.time_s[-1])
        return float(np.interp(when, run.time_s, faces(run, of)[1]))

    def softness(of: Case, run: Solved) -> float:
        return over_bend(run, softness_of(run, of, offset.middle).mean(axis=1))

    def core_softness(of: Case, run: Solved) -> float:
        return over_bend(run, core_of(softness_of(run, of, offset.middle)))

    measures = {
        "to_early_alarm_s": time_measure(inputs.early_alarm_c),
        "to_target_s": time_measure(inputs.target_c),
        "hold_fraction": hold,
        "core_at_target_c": core_at_target,
        "softness_in_bend_k": softness,
        "core_softness_in_bend_k": core_softness,
    }
    middles = {name: measure(case, solved) for name, measure in measures.items()}
    # A curve that lies lower by the offset makes the wood softer by as much.
    by_offset = (offset.middle - offset.high, offset.middle - offset.low)
    return ranged(
        inputs,
        measures,
        middles,
        also={"softness_in_bend_k": by_offset, "core_softness_in_bend_k": by_offset},
        notes={"hold_fraction": "mean power once settled, over full power"},
    )
