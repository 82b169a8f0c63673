"""The state of a run, as a value: where it is, what was said, what was marked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from rimwright.live.run_heat import MarkedHeat
from rimwright.live.run_plan import RunPlan, RunStep
from rimwright.live.run_time import Anchor

Phase = Literal["cold", "check", "hot", "after"]
#: Key of what stands between the cold steps and the heat, as events name it.
CHECK = "check"


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """One stay at a step; going back and coming again are others."""

    number: int
    #: Key of the step, or `CHECK`.
    step: str
    begun_s: float
    #: When its wait is over; None without one. [s in the run]
    ends_at_s: float | None = None
    #: None while the run is there. [s in the run]
    left_s: float | None = None
    how: Literal["", "done", "back"] = ""
    #: Who moved on from here.
    device: str = ""
    #: What was left of its wait when it was done. [s]
    early_s: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One question's latest answer."""

    answer: Literal["yes", "no"]
    #: The label's code that was scanned; "" for a tap.
    code: str = ""
    #: What is wrong, in one sentence; "" where it is right.
    words: str = ""
    at_s: float = 0.0
    device: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """Words of a person, and when: a note, why it waits, why it was given up."""

    at_s: float
    wall_s: float
    words: str = ""
    device: str = ""


@dataclass(frozen=True, kw_only=True)
class RunState:
    """Where a run is, and what was said in it."""

    #: The last event: its number, its time in the run and on the wall.
    seq: int = 0
    at_s: float = 0.0
    wall_s: float = 0.0
    begun: bool = False
    begun_wall_s: float = 0.0
    #: Which of the plan's steps; in the check, the one that follows it.
    step: int = 0
    #: Moves on with every change of step; 0 before the first.
    visit: int = 0
    phase: Phase = "cold"
    #: Every stay so far, the present one last.
    visits: tuple[Visit, ...] = ()
    step_begun_s: float = 0.0
    #: Of the wait in this step; None without one.
    ends_at_s: float | None = None
    ends_wall_s: float | None = None
    held: Said | None = None
    #: How long this step was held before, holds that are over. [s]
    held_before_s: float = 0.0
    answers: Mapping[str, Answer] = field(default_factory=dict)
    heat: MarkedHeat = field(default_factory=MarkedHeat)
    #: The latest tap of a person. [s in the run]
    present_s: float = 0.0
    notes: tuple[Said, ...] = ()
    #: As in the events: kind, place, s_m, face, words.
    outcomes: tuple[Mapping[str, Any], ...] = ()
    ended: Said | None = None
    abandoned: Said | None = None
    #: Of the commands that were done.
    keys: frozenset[str] = frozenset()
    #: Where the run's time hangs on the clocks; None before anything was begun.
    anchor: Anchor | None = None

    @property
    def over(self) -> bool:
        """Nothing is left to watch: ended, or abandoned and the heat marked off."""
        return self.ended is not None or (self.abandoned is not None and not self.heat.on)

    @property
    def state(self) -> Literal["running", "held", "ended", "abandoned"]:
        """In one word, as pages show it."""
        if self.abandoned is not None:
            return "abandoned"
        if self.ended is not None:
            return "ended"
        return "running" if self.held is None else "held"

    def step_of(self, plan: RunPlan) -> RunStep | None:
        """The step at hand; None in the check and before the beginning."""
        return plan.steps[self.step] if self.begun and self.phase != CHECK else None

    def in_step_s(self, at_s: float) -> float:
        """Time in this step less what it was held: what is overdue counts so. [s]"""
        holding = 0.0 if self.held is None else at_s - self.held.at_s
        return max(0.0, at_s - self.step_begun_s - self.held_before_s - holding)

    def wait_left_s(self, at_s: float) -> float:
        """What is left of the wait in this step; 0 without one. [s]"""
        return 0.0 if self.ends_at_s is None else max(0.0, self.ends_at_s - at_s)
