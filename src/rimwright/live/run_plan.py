"""What a run follows: the steps of one piece of side, its targets and what was predicted."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal


@dataclass(frozen=True, slots=True, kw_only=True)
class RunStep:
    """One step of the recipe, as the live page shows it."""

    key: str
    title: str
    do: str
    watch: str = ""
    why: str = ""
    cautions: tuple[str, ...] = ()
    #: Of the probe. [degC]
    target_c: float | None = None
    #: Usual time and when it is overdue. [s]
    usual_s: float | None = None
    overdue_s: float | None = None
    #: A time that must pass: standing wrapped, soaking, the rest. [s]
    wait_s: float | None = None
    phase: Literal["cold", "hot", "after"] = "cold"


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One thing to see or to answer before the heat."""

    key: str
    words: str
    #: Blocks until answered; the rest is shown for the eye.
    blocking: bool = False
    #: What a scanned label must say, as `label_code` writes it, less the plan's code; "" if none.
    expected_kind: Literal["", "form", "side"] = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranged:
    """A middle value and its range, in the unit of the field it stands in."""

    middle: float
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Predicted:
    """What was expected before the run: it is kept and never changed afterwards."""

    to_early_alarm_s: Ranged
    to_target_s: Ranged
    hold_fraction: Ranged
    #: The probe's curve from heat on, with its range, at these times. [s], [degC]
    time_s: tuple[float, ...] = ()
    probe_c: tuple[float, ...] = ()
    probe_low_c: tuple[float, ...] = ()
    probe_high_c: tuple[float, ...] = ()
    #: Share of what the wood can bear at its tightest place; None without a wood.
    utilisation: float | None = None
    #: Chance of a crack; None where it was not asked.
    crack_chance: Ranged | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbePlace:
    """One probe of the run."""

    name: str
    place: str
    #: Kind of source: serial, modbus, mqtt, http, replay, model.
    kind: str


@dataclass(frozen=True, kw_only=True)
class RunPlan:
    """Everything a run needs to know of its plan; plain values, so that it can be kept."""

    model: str
    plan_code: str
    player: Literal["right", "left"]
    show: Literal["metric", "inch"]
    hand: Literal["bass", "treble"]
    piece: Literal["main", "return"]
    steps: tuple[RunStep, ...]
    questions: tuple[Question, ...]
    early_alarm_c: float
    target_c: float
    limit_c: float
    control: Literal["dial", "thermostat", "controller"]
    predicted: Predicted
    probes: tuple[ProbePlace, ...]
    #: From the form outwards, in words.
    stack: tuple[str, ...] = ()
    #: What the heat's model asks: see `live.heat_of_run`.
    heat: Mapping[str, Any] = field(default_factory=dict)
    #: The probe is a model or a replay: everything says so.
    simulated: bool = False
    #: How much faster than the world's its clock runs, for practice. No real probe can follow.
    speed: float = 1.0
    #: Which blanket, so that what is learnt of it is found again.
    blanket: str = ""

    @property
    def side_words(self) -> str:
        """ "treble side", "treble return"."""
        return f"{self.hand} {'return' if self.piece == 'return' else 'side'}"
