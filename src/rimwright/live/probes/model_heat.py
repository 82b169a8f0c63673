"""A blanket that is not there: the heat's model with values of its own, for practice.

It differs from the middle of everything assumed as one shop differs from the next: its values are
drawn from the ranges by a seed. So a practice run has something to find out.
"""

from __future__ import annotations

import math
import threading
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from rimwright.bending.heat_inputs import HeatInputs
from rimwright.bending.heat_ranges import MOVED
from rimwright.bending.heat_solve import Case, solve
from rimwright.bending.heat_unsure import Unsure
from rimwright.curves.piece import FloatArray
from rimwright.errors import ProbeError
from rimwright.live.probes.words import Heard
from rimwright.live.readings import Fault

#: A range says nothing about its far tails. [standard deviations]
_FARTHEST = 2.0
#: Of an amplifier board beside a blanket. Assumed. [K]
NOISE_K = 0.3
#: A probe that slips out cools with this time. Assumed. [s]
_SLIPS_S = 12.0
#: The course is worked out so far ahead under power, and at rest, where it costs little. [s]
_AHEAD_S, _REST_AHEAD_S = 900.0, 2.0 * 86_400.0

FaultKind = Literal["slips out", "wire opens", "is unplugged", "hangs"]
_KINDS: dict[FaultKind, tuple[Fault | None, str]] = {
    "slips out": (None, ""),
    "wire opens": (Fault.OPEN, "model: wire opened for practice"),
    "is unplugged": (Fault.UNPLUGGED, "model: unplugged for practice"),
    "hangs": (None, ""),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class PracticeFault:
    """Something that goes wrong with the probe, to be met without harm."""

    kind: FaultKind
    #: Since the heat first came on. [s]
    at_s: float
    #: Until it is mended; it never is where nothing is said. [s]
    until_s: float = math.inf


def drawn(unsure: Unsure, seed: int, truth: Mapping[str, float] | None = None) -> Case:
    """One shop out of all that could be, and what of it is set instead of drawn.

    Raises
    ------
    ProbeError
        If something is set that a heat does not have.
    """
    deviates = np.random.default_rng(seed).standard_normal(len(unsure.names))
    case = unsure.case(np.clip(deviates, -_FARTHEST, _FARTHEST))
    unknown = set(truth or {}) - set(MOVED)
    if unknown:
        raise ProbeError(
            f"a model with {', '.join(sorted(unknown))}",
            "any of " + ", ".join(MOVED),
            "correct its truth",
        )
    return replace(case, values=replace(case.values, **(truth or {})))


class ModelHeat:
    """What a probe in such a stack reads at any moment, by the power it was given.

    Parameters
    ----------
    inputs : HeatInputs
        As `live.heat_of_run.heat_inputs` gives it.
    seed : int
        Of its own values; the same seed is the same shop.
    probe : int
        Number of the probe: each has noise of its own.
    noise_k : float
        Standard deviation of one reading. [K]
    truth : mapping, optional
        Values set instead of drawn: ``{"power_share": 0.6}`` is a loose plug or a weak blanket.
    faults : tuple of PracticeFault

    Examples
    --------
    >>> model = ModelHeat(HeatInputs(thickness_m=0.0021), seed=1, noise_k=0.0)
    >>> model.power(60.0, 1.0)
    >>> round(model.heard(30.0).celsius), 60.0 < model.heard(120.0).celsius < 90.0
    (21, True)
    """

    def __init__(
        self,
        inputs: HeatInputs,
        seed: int = 1,
        *,
        probe: int = 0,
        noise_k: float = NOISE_K,
        truth: Mapping[str, float] | None = None,
        faults: tuple[PracticeFault, ...] = (),
    ) -> None:
        for fault in faults:
            if fault.kind not in _KINDS:
                raise ProbeError(
                    f"a fault '{fault.kind}'", "one of " + ", ".join(_KINDS), "choose one of them"
                )
        self._inputs = replace(inputs, control="schedule", rest_s=0.0)
        self._case = drawn(Unsure.of(self._inputs, quick=False), seed, truth)
        self._seed, self._probe, self._noise_k = seed, probe, noise_k
        self._faults = faults
        self._lock = threading.Lock()
        self._begun_s: float | None = None
        self._schedule: tuple[tuple[float, float], ...] = ()
        self._solved: tuple[FloatArray, FloatArray] | None = None

    def power(self, at_s: float, share: float) -> None:
        """From then on the blanket has this share of its full power; what was later is forgotten.

        The first that is not zero is the heat coming on.
        """
        share = min(max(share, 0.0), 1.0)
        with self._lock:
            if self._begun_s is None:
                if share == 0.0:
                    return
                self._begun_s = at_s
            since_s = max(at_s - self._begun_s, 0.0)
            kept = tuple(one for one in self._schedule if one[0] < since_s)
            if not kept or kept[-1][1] != share:
                kept = (*kept, (since_s, share))
            if kept != self._schedule:
                self._schedule, self._solved = kept, None

    def true_c(self, at_s: float) -> float:
        """What the probe would read without noise or fault. [degC]"""
        with self._lock:
            if self._begun_s is None or at_s <= self._begun_s:
                start_c = self._inputs.start_c
                return self._inputs.equipment.room_c if start_c is None else start_c
            return self._course(at_s - self._begun_s)

    def heard(self, at_s: float) -> Heard:
        """The reading of that moment, the same whenever it is asked for."""
        begun_s = self._begun_s
        if begun_s is not None:
            for fault in self._faults:
                if begun_s + fault.at_s <= at_s < begun_s + fault.until_s:
                    return self._faulty(fault, at_s, begun_s)
        return Heard(round(self.true_c(at_s) + self._noise(at_s), 2), None)

    def _faulty(self, fault: PracticeFault, at_s: float, begun_s: float) -> Heard:
        told, words = _KINDS[fault.kind]
        if told is not None:
            return Heard(None, told, words)
        fell_s = begun_s + fault.at_s
        if fault.kind == "hangs":
            return Heard(round(self.true_c(fell_s) + self._noise(fell_s), 2), None)
        room_c = self._inputs.equipment.room_c
        left = math.exp(-(at_s - fell_s) / _SLIPS_S)
        return Heard(
            round(room_c + left * (self.true_c(fell_s) - room_c) + self._noise(at_s), 2), None
        )

    def _noise(self, at_s: float) -> float:
        if self._noise_k == 0.0:
            return 0.0
        tenth = round(10.0 * at_s)
        draw = np.random.default_rng((self._seed, self._probe, abs(tenth), int(tenth < 0)))
        return float(draw.normal(0.0, self._noise_k))

    def _course(self, since_s: float) -> float:
        if self._solved is None or self._solved[0][-1] < since_s:
            last_s, share = self._schedule[-1]
            if share == 0.0:
                # Unplugged: the model's own rest, of long steps.
                case = replace(
                    self._case,
                    schedule=self._schedule,
                    limit_s=last_s,
                    rest_s=since_s - last_s + _REST_AHEAD_S,
                )
            else:
                case = replace(self._case, schedule=self._schedule, limit_s=since_s + _AHEAD_S)
            solved = solve(case)
            self._solved = (solved.time_s, solved.probe_c)
        return float(np.interp(since_s, *self._solved))
