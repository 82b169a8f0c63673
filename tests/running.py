"""A short run by hand: its plan, a clock that stands until it is moved, and every event so far."""

import json
from collections.abc import Mapping
from itertools import count
from typing import Any

from rimwright.live.clock import HandClock
from rimwright.live.commands import Command, Draft, begun, decide, numbered
from rimwright.live.events import Event
from rimwright.live.questions import questions_for
from rimwright.live.run import RunState, applied, folded
from rimwright.live.run_plan import Predicted, ProbePlace, Ranged, RunPlan, RunStep
from rimwright.live.run_time import RunTime

HOLD = 0.4
STAND_S, REST_S = 600.0, 86_400.0
#: Key, title, phase and wait.
STEPS = (
    ("wet", "Wet", "cold", None),
    ("stand", "Stand, wrapped", "cold", STAND_S),
    ("stack", "Stack up", "cold", None),
    ("clamp", "Clamp lightly", "cold", None),
    ("warm-up", "Warm up", "hot", None),
    ("hold", "Power back to hold", "hot", None),
    ("waist-home", "Waist, home", "hot", None),
    ("unplug", "Unplug", "after", None),
    ("rest", "Rest on the form", "after", REST_S),
    ("release", "Release", "after", None),
    ("inspect", "Look it over", "after", None),
)
BLOCKING = ("form", "face", "wires", "person")


def short_plan(**changes: Any) -> RunPlan:
    """Eleven steps of the Wren's treble side."""
    given: dict[str, Any] = {
        "model": "Wren",
        "plan_code": "WREN-721560",
        "player": "right",
        "show": "metric",
        "hand": "treble",
        "piece": "main",
        "steps": tuple(
            RunStep(key=key, title=title, do=f"{title}.", phase=phase, wait_s=wait)  # type: ignore[arg-type]
            for key, title, phase, wait in STEPS
        ),
        "questions": questions_for(
            model="Wren", hand="treble", piece="main", player="right", mark="waist",
            tape=("tape on the horn, outside face",), strips=("maple binding",),
            stack=("slat", "side", "blanket"), probe="between slat and blanket",
            first_use=False,
        ),
        "early_alarm_c": 100.0,
        "target_c": 110.0,
        "limit_c": 180.0,
        "control": "dial",
        "predicted": Predicted(
            to_early_alarm_s=Ranged(middle=100.0, low=90.0, high=120.0),
            to_target_s=Ranged(middle=130.0, low=110.0, high=150.0),
            hold_fraction=Ranged(middle=HOLD, low=0.3, high=0.5),
        ),
        "probes": (ProbePlace(name="waist", place="between slat and blanket", kind="model"),),
        "stack": ("slat", "side", "blanket"),
        "simulated": True,
        "blanket": "914 × 152 mm, 5.0 W/in²",
    }  # fmt: skip
    return RunPlan(**{**given, **changes})


def label(**changes: str) -> str:
    """The code on the form's label, or another's."""
    said = {
        "plan": "WREN-721560", "model": "Wren", "kind": "form", "side": "treble",
        "piece": "main", "player": "right", **changes,
    }  # fmt: skip
    code = said.pop("plan")
    return f"rimwright:label;{code};" + ";".join(f"{key}={one}" for key, one in said.items())


class Running:
    """One run, without probes and without a store."""

    def __init__(self, plan: RunPlan | None = None, clock: HandClock | None = None) -> None:
        self.plan = plan or short_plan()
        self.clock = clock or HandClock()
        self.time = RunTime.begun(self.clock)
        self.events: list[Event] = []
        self.state = RunState()
        self._keys = count(1)
        self.keep(begun(self.plan, self.time.anchor, device="tablet"))

    def keep(self, drafts: tuple[Draft, ...]) -> None:
        """What a session does with drafts: number, keep, apply."""
        for event in numbered(drafts, self.state.seq):
            self.events.append(event)
            self.state = applied(self.plan, self.state, event)

    def decide(self, kind: str, *, visit: int | None = -1, key: str = "", device: str = "tablet",
               data: Mapping[str, Any] | None = None) -> tuple[Draft, ...]:  # fmt: skip
        command = Command(
            key=key or f"tap-{next(self._keys)}",
            kind=kind,
            visit=self.state.visit if visit == -1 else visit,
            device=device,
            data=data or {},
        )
        return decide(self.plan, self.state, command, self.time.at(), self.time.wall())

    def ask(self, kind: str, *, visit: int | None = -1, key: str = "", device: str = "tablet",
            **data: Any) -> tuple[Draft, ...]:  # fmt: skip
        """A command as somebody gives it, from what is on the screen unless said otherwise."""
        drafts = self.decide(kind, visit=visit, key=key, device=device, data=data)
        self.keep(drafts)
        return drafts

    def tick(self) -> None:
        self.keep(self.time.tick())

    def to(self, key: str) -> "Running":
        """Go on to that step: waits pass, the check is answered."""
        while self.here != key:
            if self.state.phase == "check":
                for question in BLOCKING:
                    self.ask("answer", question=question, answer="yes")
            if self.state.ends_at_s is not None:
                self.clock.advance(self.state.wait_left_s(self.time.at()))
                self.time.tick()  # it was looked at all the while
            self.ask("done")
        return self

    @property
    def here(self) -> str:
        step = self.state.step_of(self.plan)
        return self.state.phase if step is None else step.key

    def restart(self, clock: HandClock, last_sample_s: float = 0.0) -> None:
        """Program or computer starts again; only what was kept is known."""
        kept = [
            Event(**json.loads(json.dumps({name: getattr(one, name) for name in one.__slots__})))
            for one in self.events
        ]
        state = folded(self.plan, kept)
        assert state == self.state, "what is folded anew is what was"
        assert state.anchor is not None
        self.clock = clock
        self.time, told = RunTime.resumed(
            clock, state.anchor, last_at_s=max(state.at_s, last_sample_s)
        )
        self.keep(told)
