"""One run while it is on: readings in, state and alarms moved on, everything written down.

A session is ticked by one thread; commands and questions come from others. What it says is made
of events: the same ones that the journal keeps, so that after a restart it is where it was.
"""

from __future__ import annotations

import threading
from collections.abc import Iterable, Sequence

from rimwright.live.alarm_log import draft_of, handled, told_in
from rimwright.live.alarms import DEFINITIONS, Alarms, Sounded, advanced, replayed
from rimwright.live.around import Around, Before
from rimwright.live.asked import Command
from rimwright.live.commands import ALARM_KINDS, Done, already, begun, decide
from rimwright.live.cues import CueCaller
from rimwright.live.drafts import Draft, numbered
from rimwright.live.events import Event
from rimwright.live.foresight import Foresight
from rimwright.live.hearing import Hearing
from rimwright.live.host_sound import ALARM_EVERY_S
from rimwright.live.judging import HeatContext
from rimwright.live.memory import Memory
from rimwright.live.probes.source import Source
from rimwright.live.readings import Sample
from rimwright.live.recording import event_row, sample_row
from rimwright.live.run import applied, folded
from rimwright.live.run_plan import RunPlan
from rimwright.live.run_time import RunTime
from rimwright.live.run_words import done_words
from rimwright.live.session_facts import cue_facts

#: Figures on a page move at most this often; what happens is told at once. [s]
_FIGURES_EVERY_S = 0.25


class Session:
    """A run that is on.

    Parameters
    ----------
    run : int
        Its number in the journal.
    plan : RunPlan
        What it follows.
    sources : sequence of Source
        One for each of the plan's probes.
    around : Around
    foresight : Foresight
        What is known of the blanket, and the forecast.
    before : Before, optional
        Of a run that goes on after a restart.
    device : str
        Which one began it.
    """

    def __init__(
        self,
        run: int,
        plan: RunPlan,
        sources: Sequence[Source],
        around: Around,
        *,
        foresight: Foresight,
        before: Before | None = None,
        device: str = "",
    ) -> None:
        self.run, self.plan = run, plan
        self.speed = max(1.0, plan.speed)
        self.around, self.foresight = around, foresight
        self.lock = threading.RLock()
        #: One for each probe; they may be given until `start`.
        self.sources = sources
        self._called_s = self._figures_s = float("-inf")
        self._power = -1.0
        #: Things to say calmly that no forecast says.
        self.notices: list[str] = []
        #: Moves on whenever a page would show something else.
        self.version = 0
        self.memory = Memory(
            len(plan.probes),
            after=0 if before is None else before.last_seq,
            older=lambda after, most: around.older(run, after, most),
        )
        self.hearing = Hearing(plan, self.memory)
        self.events: list[Event] = [] if before is None else list(before.events)
        self.state = folded(plan, self.events)
        self.alarms: Alarms = replayed(told_in(self.events))
        self.cues = CueCaller(
            (one.data["cue"], one.data["visit"], one.at_s)
            for one in self.events
            if one.kind == "cue"
        )
        #: What the heat taught is written down, or is being written.
        self.taught = any(event.kind == "learnt" for event in self.events)
        if before is None or self.state.anchor is None:
            self.time = RunTime.begun(around.clock, gap_s=around.gap_s * self.speed)
            self._say(begun(plan, self.time.anchor, device=device))
        else:
            self._resume(before)

    def _resume(self, before: Before) -> None:
        assert self.state.anchor is not None
        self.time, told = RunTime.resumed(
            self.around.clock,
            self.state.anchor,
            last_at_s=max(before.last_at_s, self.state.at_s),
            gap_s=self.around.gap_s * self.speed,
        )
        self.memory.remember(before.samples)
        begun_s = self.state.heat.begun_s
        if begun_s is not None:
            heated = [one for one in before.samples if one.at_s >= begun_s and one.probe == 0]
            self.foresight.resume(self.state.heat, heated)
        self._say(told)

    # -- from the thread that ticks ------------------------------------------------------------

    def start(self) -> None:
        """Begin to listen to the probes."""
        for source in self.sources:
            source.start(self.hearing.deliver, self.around.clock)
        self._tell_power()

    def stop(self) -> None:
        """Listen no longer; what was heard is handed to the recorder."""
        for source in self.sources:
            source.stop()
        with self.lock:
            self.hearing.take(self.time, self.heat_context())
            self._hand_over(())

    def tick(self) -> None:
        """Move everything on to now."""
        with self.lock:
            before = self.version
            self._say(self.time.tick())
            heard = self.hearing.take(self.time, self.heat_context(), self._heard)
            at_s, wall_s = self.now()
            self._say(self.hearing.fault_drafts(at_s, wall_s))
            self._see_heat(at_s, wall_s)
            self._move_alarms(at_s, wall_s)
            self._call_cues(at_s, wall_s)
            self.foresight.follow(self.state.heat)
            self.foresight.look(at_s, self.around.later)
            self._tell_power()
            self._hand_over(())
            self._sound()
            if at_s - self._figures_s >= _FIGURES_EVERY_S * self.speed:
                self._figures_s = at_s
                self.version += 1
            news = heard or self.version != before
        if news:
            self.around.news(self.run)

    def _heard(self, sample: Sample) -> None:
        """The leading probe's reading goes into the forecast."""
        if sample.celsius is None:
            return
        lead = self.hearing.watch.lead(sample.at_s)
        if lead is not None and lead[0] == sample.probe:
            self.foresight.take(sample.at_s, sample.celsius)

    def _see_heat(self, at_s: float, wall_s: float) -> None:
        """Heat that nobody marked on is marked on: then it is watched as heat."""
        if not self.state.heat.on and self.hearing.watch.heat_seen(at_s):
            data = {"share": 1.0, "seen": True}
            self._say([Draft(at_s=at_s, wall_s=wall_s, kind="heat_on", data=data)])

    def _move_alarms(self, at_s: float, wall_s: float) -> None:
        health = self.around.recorder.health()
        conditions = self.hearing.watch.conditions(
            at_s,
            self.heat_context(),
            present_s=self.state.present_s,
            recording_ok=health.ok,
            recording_words=health.words,
            show=self.plan.show,
        )
        self.alarms, told = advanced(self.alarms, conditions, at_s, heat_on=self.state.heat.on)
        self._say(draft_of(one, wall_s) for one in told)
        if any(isinstance(one, Sounded) and not DEFINITIONS[one.alarm].high for one in told):
            self.around.sound.call("alarm")

    def _call_cues(self, at_s: float, wall_s: float) -> None:
        if self.state.over:
            return
        facts = cue_facts(self.plan, self.state, self.hearing.watch, self.foresight, at_s)
        for cue in self.cues.call(facts):
            data = {"cue": str(cue.key), "words": cue.words, "visit": cue.visit}
            self._say([Draft(at_s=at_s, wall_s=wall_s, kind="cue", data=data)])
            self.around.sound.call("cue")

    def _sound(self) -> None:
        """The shop computer's own voice: an alarm again and again while it stands."""
        now = self.around.clock.now() / self.speed
        if self.alarms.sounding and now - self._called_s >= ALARM_EVERY_S:
            self._called_s = now
            self.around.sound.call("alarm")

    def _tell_power(self) -> None:
        """The model follows the heat as it is marked; real probes need not be told."""
        share = self.state.heat.share if self.state.heat.on else 0.0
        if share != self._power:
            self._power = share
            for source in self.sources:
                source.heat(share)

    # -- from any thread -----------------------------------------------------------------------

    def command(self, command: Command) -> Done:
        """Do what a person asks, once.

        Raises
        ------
        RunError
            If the run cannot take it now; nothing is changed.
        """
        with self.lock:
            if already(self.state, command):
                return Done(words="Done before", again=True)
            at_s, wall_s = self.now()
            if command.kind in ALARM_KINDS:
                self.alarms, told = handled(self.alarms, command, at_s)
                drafts = tuple(
                    draft_of(one, wall_s, key=command.key, device=command.device) for one in told
                )
            else:
                drafts = decide(self.plan, self.state, command, at_s, wall_s)
            self._say(drafts)
            self._tell_power()
            words = "Done" if command.kind in ALARM_KINDS else ""
            words = words or done_words(self.plan, self.state, drafts)
        self.around.news(self.run)
        return Done(words=words)

    def push(self, name: str, token: str, body: bytes) -> bool:
        """Hand a posted reading to its probe; False where this run has none of that name."""
        for probe, source in zip(self.plan.probes, self.sources, strict=True):
            push = getattr(source, "push", None)
            if probe.name == name and push is not None:
                push(token, body)
                return True
        return False

    def say(self, kind: str, data: dict[str, object]) -> None:
        """Write down something that was found out elsewhere."""
        with self.lock:
            at_s, wall_s = self.now()
            self._say([Draft(at_s=at_s, wall_s=wall_s, kind=kind, data=data)])  # type: ignore[arg-type]

    def now(self) -> tuple[float, float]:
        """Time in the run, and on the wall. [s], [s since 1970]"""
        return self.time.at(), self.time.wall()

    def heat_context(self) -> HeatContext:
        """The heat as it was marked, for judging readings."""
        heat = self.state.heat
        return HeatContext(
            on=heat.on,
            since_s=heat.since_s if heat.on else None,
            target_c=self.plan.target_c,
            limit_c=self.plan.limit_c,
            room_c=float(self.plan.heat["equipment"]["room_c"]),
            share=heat.share if heat.on else 1.0,
        )

    # -- within the lock -----------------------------------------------------------------------

    def _say(self, drafts: Iterable[Draft]) -> None:
        """Number the drafts, fold them in, and hand them to the recorder."""
        made = numbered(drafts, self.events[-1].seq if self.events else 0)
        for event in made:
            self.state = applied(self.plan, self.state, event)
        if made:
            self.events += made
            self.version += 1
            self._hand_over(made)

    def _hand_over(self, events: Sequence[Event]) -> None:
        samples = self.hearing.unsaid()
        if samples or events:
            self.around.recorder.put(
                self.run,
                [sample_row(one) for one in samples],
                [event_row(one) for one in events],
            )
