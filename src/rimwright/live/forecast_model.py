"""The heat of one run as a function of everything unsure, the maker's own hand included.

Beside what `bending.heat_unsure` moves, a run has two doubts of its own: the tap that says "heat
on" is some seconds off the plug, and a dial's mark is no meter of power.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from rimwright.bending.heat_inputs import HeatInputs
from rimwright.bending.heat_solve import GIVE_UP_S, Solved, holding_share, solve
from rimwright.bending.heat_unsure import FARTHEST, NINETY, Unsure
from rimwright.curves.piece import FloatArray
from rimwright.sources import Provenance, Sourced

#: How long after the tap the blanket is really on. [s]
LATE_S = Sourced(
    middle=0.0,
    low=-5.0,
    high=5.0,
    provenance=Provenance.ASSUMED,
    note="a tap before or after the hand is at the plug",
)
#: Real power of a turned-down dial over what its mark says.
DIAL_SHARE = Sourced(
    middle=1.0,
    low=1.0 / 1.3,
    high=1.3,
    provenance=Provenance.ASSUMED,
    note="a dial's marks are no meter",
)
#: A third of the power and less. [standard deviations]
LEAST_POWER = 20.0
#: Step of the slopes; curves are smooth to far below it. [standard deviations]
_STEP = 0.3
#: Latent heat of water near its boiling point (steam tables, from memory). [J/kg]
_LATENT_J_KG = 2.257e6

#: Since when which share of full power. [s], [1]
Schedule = tuple[tuple[float, float], ...]


def throttled(share: float) -> bool:
    """True for a power that a dial sets: neither off nor all of it."""
    return 0.0 < share < 1.0


@dataclass(frozen=True, kw_only=True)
class Course:
    """One course of the heat, solved, at one set of deviates."""

    deviates: FloatArray
    solved: Solved
    late_s: float

    def probe(self, times: FloatArray) -> FloatArray:
        """What the probe reads, by the run's own clock. [degC]"""
        return np.asarray(np.interp(times - self.late_s, self.solved.time_s, self.solved.probe_c))


class RunHeat:
    """Curves and figures of this run's heat at any deviates: those of the model, tap, dial."""

    def __init__(self, inputs: HeatInputs) -> None:
        self.inputs = replace(inputs, control="schedule", rest_s=0.0)
        self._unsure = Unsure.of(self.inputs)
        #: In the order of the deviates.
        self.names = (*self._unsure.names, "late_s", "dial_share")
        self.values = (*self._unsure.values, LATE_S, DIAL_SHARE)
        #: How far the fit may go, shape (deviates,): what is no blanket's nature, a plug half in
        #: its socket, shows as power that is far below any. [standard deviations]
        self.farthest = np.full(len(self.names), FARTHEST)
        self.farthest[self.names.index("power_share")] = LEAST_POWER
        full = self._unsure.middle.full_w_m2
        #: Dry wood on a square metre over the blanket's full power, times what its water takes
        #: to boil: share of the power that steam takes, over the fall of mean moisture. [s]
        self._steam_s = 1000.0 * inputs.gravity * inputs.thickness_m * _LATENT_J_KG / max(full, 1.0)

    @property
    def size(self) -> int:
        """How many things are unsure."""
        return len(self.names)

    def course(self, deviates: FloatArray, schedule: Schedule, until_s: float) -> Course:
        """The heat by this schedule of power, until then by the run's clock."""
        late_s = LATE_S.high * float(np.clip(deviates[-2], -FARTHEST, FARTHEST)) / NINETY
        dial = DIAL_SHARE.high ** (float(np.clip(deviates[-1], -FARTHEST, FARTHEST)) / NINETY)
        real = tuple(
            (at_s, min(share * dial, 1.0) if throttled(share) else share)
            for at_s, share in schedule
        )
        case = replace(
            self._unsure.case(deviates[:-2]), schedule=real, limit_s=max(until_s - late_s, 1.0)
        )
        return Course(deviates=deviates, solved=solve(case), late_s=late_s)

    def slopes(self, course: Course, schedule: Schedule, times: FloatArray) -> FloatArray:
        """By how much each deviate moves the probe's curve, shape (times, deviates). [K]"""
        here = course.probe(times)
        columns = []
        for i in range(self.size):
            moved = course.deviates.copy()
            moved[i] += _STEP
            if self.names[i] == "late_s":
                by = LATE_S.high / NINETY * _STEP
                there = replace(course, late_s=course.late_s + by).probe(times)
            elif self.names[i] == "dial_share" and not any(throttled(one) for _, one in schedule):
                there = here
            else:
                there = self.course(moved, schedule, float(times[-1])).probe(times)
            columns.append((there - here) / _STEP)
        return np.stack(columns, axis=1)

    def hold(self, deviates: FloatArray) -> float:
        """Share of full power that holds the target, as the prediction has it."""
        case = replace(
            self._unsure.case(deviates[:-2]),
            control="controller",
            schedule=((0.0, 1.0),),
            limit_s=GIVE_UP_S,
        )
        return holding_share(solve(case), case.full_w_m2 * case.values.power_share)

    def hold_slopes(self, deviates: FloatArray) -> tuple[float, FloatArray]:
        """The share that holds, and by how much each deviate moves it."""
        here = self.hold(deviates)
        slopes = np.zeros(self.size)
        for i in range(self.size - 2):
            moved = deviates.copy()
            moved[i] += _STEP
            slopes[i] = (self.hold(moved) - here) / _STEP
        return here, slopes

    def steam_share(self, course: Course, at_s: float) -> float:
        """Share of the blanket's full power that goes off as steam about that moment."""
        solved = course.solved
        around = np.array([at_s - 5.0, at_s + 5.0]) - course.late_s
        moisture = np.interp(around, solved.time_s, solved.moisture.mean(axis=1))
        return float(self._steam_s * (moisture[0] - moisture[1]) / 10.0)
