"""No sequence of commands, from whichever devices, brings a run where it cannot be."""

import json
from dataclasses import dataclass
from typing import Any

import hypothesis.strategies as st
from hypothesis import given, settings
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from counts import times
from rimwright.errors import RunError
from rimwright.live.clock import HandClock
from rimwright.live.commands import RUN_KINDS, Command, already, decide, numbered
from rimwright.live.events import Event
from rimwright.live.questions import ready
from rimwright.live.run import CHECK, RunState, folded
from rimwright.live.run_words import done_words, line_of
from running import BLOCKING, STEPS, Running, label, short_plan

DEVICES = ("tablet", "foot switch")
PLAN = short_plan()


@dataclass
class Screen:
    """What one device last saw, and its last tap, which it may send again."""

    visit: int = 1
    last: Command | None = None


class TwoDevices(RuleBasedStateMachine):
    """Two people at one run: their screens lag, their taps come twice, clocks and power fail."""

    @initialize(at=st.sampled_from([key for key, *_ in STEPS] + [CHECK]))
    def begin(self, at: str) -> None:
        self.run = Running(PLAN).to(at)
        self.screens = {device: Screen() for device in DEVICES}
        self.taps = 0
        self.acted: dict[str, int] = {}
        self.starts = 0
        self.said_on = False

    def tap(self, device: str, kind: str, **data: Any) -> bool:
        """A tap by what is on that screen; whether it was taken."""
        self.taps += 1
        screen = self.screens[device]
        command = Command(
            key=f"{device[0]}{self.taps}", kind=kind, visit=screen.visit, device=device, data=data
        )
        screen.last = command
        return self.send(command)

    def send(self, command: Command) -> bool:
        before = self.run.state
        try:
            drafts = decide(PLAN, before, command, self.run.time.at(), self.run.time.wall())
        except RunError as refusal:
            one_line(refusal)
            assert self.run.state is before, "what is refused changes nothing"
            assert not already(before, command), "what was done is not refused when sent again"
            return False
        if already(before, command):
            assert drafts == ()
            return True
        assert drafts, "what is taken leaves a trace"
        self.run.keep(drafts)
        self.acted[command.key] = self.acted.get(command.key, 0) + 1
        after = self.run.state
        if command.kind in ("done", "back", "finish"):
            assert command.visit == before.visit, "moved from where its screen was"
            assert before.held is None
            assert after.visit == before.visit + (after.ended is None)
        else:
            assert (after.visit, after.step, after.phase) == (
                before.visit, before.step, before.phase,
            )  # fmt: skip
        self.said_on |= command.kind == "heat_on"
        assert done_words(PLAN, after, drafts)
        return True

    @rule(device=st.sampled_from(DEVICES))
    def look(self, device: str) -> None:
        self.screens[device].visit = self.run.state.visit

    @rule(device=st.sampled_from(DEVICES), early=st.booleans(), look=st.booleans())
    def done(self, device: str, early: bool, look: bool) -> None:
        if look:
            self.look(device)
        left_s = self.run.state.wait_left_s(self.run.time.at())
        taken = self.tap(device, "done", early=early)
        assert not (taken and left_s > 0.0 and not early)

    @rule(device=st.sampled_from(DEVICES), steps=st.integers(1, 5))
    def works_on(self, device: str, steps: int) -> None:
        """One device, looked at before each tap."""
        for _ in range(steps):
            self.look(device)
            if self.run.state.phase == CHECK:
                self.answers(device, "")
            self.tap(device, "done", early=True)

    @rule(device=st.sampled_from(DEVICES))
    def back(self, device: str) -> None:
        self.tap(device, "back")

    @rule()
    def both_at_once(self) -> None:
        """Two taps on the same screen: at most one of them moves."""
        for device in DEVICES:
            self.look(device)
        visit = self.run.state.visit
        taken = [self.tap("tablet", "done"), self.tap("foot switch", "back")]
        assert sum(taken) <= 1
        assert self.run.state.visit - visit <= 1

    @rule(device=st.sampled_from(DEVICES), after_restart=st.booleans())
    def sent_again(self, device: str, after_restart: bool) -> None:
        """The link failed and the device sends its last tap once more."""
        last = self.screens[device].last
        if last is None or not already(self.run.state, last):
            return
        if after_restart:
            self.run.restart(self.run.clock)
        seq = self.run.state.seq
        assert self.send(last)
        assert self.run.state.seq == seq

    @rule(device=st.sampled_from(DEVICES), no=st.sampled_from((*BLOCKING, "marks", "")))
    def answers(self, device: str, no: str) -> None:
        for question in BLOCKING:
            self.tap(device, "answer", question=question, answer="yes")
        if no:
            self.tap(device, "answer", question=no, answer="no")

    @rule(device=st.sampled_from(DEVICES), side=st.sampled_from(("treble", "bass")))
    def scans(self, device: str, side: str) -> None:
        self.tap(device, "answer", code=label(side=side))

    @rule(
        device=st.sampled_from(DEVICES),
        kind=st.sampled_from(("hold", "resume", "resume", "present", "heat_off", "heat_on")),
    )
    def says(self, device: str, kind: str) -> None:
        self.tap(device, kind)

    @rule(device=st.sampled_from(DEVICES), share=st.floats(0.01, 1.0))
    def turns(self, device: str, share: float) -> None:
        self.tap(device, "turned_down", share=share)

    @rule(device=st.sampled_from(DEVICES), sure=st.integers(0, 19))
    def gives_up(self, device: str, sure: int) -> None:
        self.tap(device, "abandon" if sure == 13 else "finish")

    @rule(seconds=st.sampled_from((0.05, 1.0, 30.0, 700.0, 90_000.0)))
    def time_passes(self, seconds: float) -> None:
        self.run.clock.advance(seconds)
        self.run.tick()

    @rule(by_s=st.sampled_from((3600.0, -3600.0, 0.3, 86_400.0)))
    def somebody_sets_the_clock(self, by_s: float) -> None:
        self.run.clock.set_wall(self.run.clock.wall() + by_s)
        self.run.tick()

    @rule(seconds=st.sampled_from((20.0, 40_000.0, -500.0)), again=st.booleans())
    def the_power_fails(self, seconds: float, again: bool) -> None:
        clock = self.run.clock
        self.starts += 1
        if again:
            clock = HandClock(wall_s=clock.wall_s + seconds, boot=f"start {self.starts}")
        self.run.restart(clock)

    @invariant()
    def where_a_run_can_be(self) -> None:
        state = self.run.state
        can_be(state)
        heated = any(one.step == "warm-up" for one in state.visits)
        assert not state.heat.on or heated or self.said_on, "heat is marked by somebody"
        assert all(count == 1 for count in self.acted.values())
        assert set(self.acted) <= state.keys
        assert state.present_s <= self.run.time.at()

    def teardown(self) -> None:
        if hasattr(self, "run"):
            replays(self.run.events, self.run.state)


def one_line(refusal: RunError) -> None:
    said = str(refusal)
    assert said.startswith("found ")
    assert "\n" not in said
    assert len(said) < 1500


def can_be(state: RunState) -> None:
    """What holds of any state of a run."""
    plan = PLAN
    here = plan.steps[state.step]
    if state.phase == CHECK:
        assert here.phase == "hot"
        assert plan.steps[state.step - 1].phase == "cold"
    else:
        assert here.phase == state.phase
    if state.phase in ("hot", "after"):
        assert ready(plan, state.answers), "no heat before the check is passed"
    assert [one.number for one in state.visits] == list(range(1, len(state.visits) + 1))
    assert state.visit == len(state.visits)
    open_stays = [one for one in state.visits if one.left_s is None]
    assert open_stays == ([] if state.ended else [state.visits[-1]])
    heat = state.heat
    assert heat.on == (heat.share > 0.0)
    assert (heat.begun_s is None) == (heat.since_s is None) == (not heat.schedule)
    at = [since for since, _ in heat.schedule]
    assert at == sorted(at)
    assert at[:1] in ([], [0.0])
    assert not heat.schedule or heat.schedule[-1][1] == heat.share
    assert state.ended is None or (not heat.on and state.step == len(plan.steps) - 1)
    assert state.ended is None or state.abandoned is None
    assert state.held is None or state.state == "held"
    assert (state.ends_at_s is None) == (state.ends_wall_s is None)


def replays(events: list[Event], state: RunState) -> None:
    """The same events, through the journal's text too, give the same state; so do they twice."""
    text = json.dumps([{name: getattr(one, name) for name in one.__slots__} for one in events])
    again = [Event(**one) for one in json.loads(text)]
    assert folded(PLAN, again) == state
    assert folded(PLAN, [one for one in again for _ in range(2)]) == state
    assert [one.seq for one in events] == list(range(1, len(events) + 1))
    at = [one.at_s for one in events]
    assert at == sorted(at)
    for event in events:
        assert "\n" not in line_of(PLAN, event)


TwoDevices.TestCase.settings = settings(
    max_examples=times(200), stateful_step_count=50, deadline=None
)
test_two_devices_at_one_run = TwoDevices.TestCase


#: Whatever JSON can say, halves of letters too.
TEXT = st.text(st.characters(codec=None), max_size=20)
ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | TEXT,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=5,
)
KEYS = ("early", "share", "words", "question", "answer", "code", "outcome", "kind", "s_m")
OUTCOME = st.dictionaries(st.sampled_from(("kind", "place", "s_m", "face", "words")), ANYTHING)


@settings(max_examples=times(200), deadline=None)
@given(
    at=st.sampled_from(("wet", "stand", "check", "hold", "rest", "inspect")),
    kind=st.sampled_from(sorted(RUN_KINDS)) | st.text(max_size=10),
    visit=st.none() | st.integers(-1, 9),
    key=st.text(max_size=70) | st.just("tap"),
    device=st.text(max_size=10),
    data=st.dictionaries(st.sampled_from(KEYS), ANYTHING | OUTCOME),
)
def test_whatever_is_asked_is_taken_or_refused_in_one_line(
    at: str, kind: str, visit: int | None, key: str, device: str, data: dict[str, Any]
) -> None:
    run = reached(at)
    now = run.state.visit if visit == -1 else visit
    command = Command(key=key, kind=kind, visit=now, device=device, data=data)
    try:
        drafts = decide(PLAN, run.state, command, run.time.at(), run.time.wall())
    except RunError as refusal:
        one_line(refusal)
        return
    events = numbered(drafts, run.state.seq)
    can_be(folded(PLAN, [*run.events, *events]))
    for event in events:
        json.dumps(dict(event.data), allow_nan=False, ensure_ascii=False).encode("utf-8")
        assert line_of(PLAN, event)


_REACHED: dict[str, Running] = {}


def reached(at: str) -> Running:
    """A run that is there; what is asked of it leaves it as it is."""
    if at not in _REACHED:
        _REACHED[at] = Running(PLAN).to(at)
    return _REACHED[at]
