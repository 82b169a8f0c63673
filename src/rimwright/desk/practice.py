"""A practice run in the terminal: a whole bend from mist to rest on a model, in seconds.

The same session, alarms, cues and journal as at the bender; only the probe and the hands are
made up, and time is handed in, so that ten minutes of standing pass in a blink.
"""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any, Literal

from rimwright.desk.beginning import to_begin
from rimwright.desk.words import width
from rimwright.equipment.probes import parse_probe
from rimwright.live.asked import Command
from rimwright.live.bench import LiveBench
from rimwright.live.clock import HandClock, SystemClock
from rimwright.live.probes.model import ModelSource
from rimwright.live.readings import RawReading
from rimwright.live.session import Session
from rimwright.live.view_log import log_words
from rimwright.units import temperature_text, time_text

#: The model reads ten times a second while it is heated, and now and then in the rest.
_STEP_S, _REST_STEP_S = 0.1, 60.0
#: How long the made-up hands take for a cold step. Assumed. [s]
_COLD_S = 20.0
#: Lines of temperature this often while it warms. [s]
_TELL_S = 20.0
_LONGEST_S = 3.0 * 86_400.0


def practise(
    document: Mapping[str, Any],
    journal_file: Path,
    say: Callable[[str], None],
    *,
    hand: Literal["bass", "treble"],
    piece: Literal["main", "return"] = "main",
) -> int:
    """Run a whole bend on a model and say what happens; the run's number in the journal.

    Parameters
    ----------
    document : mapping
        What `plan.json` holds.
    journal_file : Path
        Where the practice run is kept, as a real one would be.
    say : callable
        Given each line.
    hand, piece : str
        Which piece of side.

    Raises
    ------
    RimwrightError
        If the plan or the journal refuses.
    """
    from rimwright.journal.opening import open_journal

    journal, notices = open_journal(journal_file)
    for notice in notices:
        say(notice)
    clock = HandClock(wall_s=SystemClock().wall())
    bench = LiveBench(journal, clock=clock, ticking=False, gap_s=2.0 * _REST_STEP_S)
    try:
        settings = (parse_probe("waist=model"),)
        new = to_begin(journal, document, hand=hand, piece=piece, settings=settings)
        run = bench.begin(new)
        session = bench.session(run)
        probe = _Polled(session)
        say(
            f"PRACTICE, a model and no probe: {session.plan.model}, {session.plan.side_words}, "
            f"plan {session.plan.plan_code}"
        )
        for line in _story(bench, session, probe, clock):
            say(line)
        bench.tick()  # the record is closed by whoever sees that the run is over
        return run
    finally:
        bench.stop()
        journal.close()


class _Polled:
    """The model's probe, read whenever time has been moved on."""

    def __init__(self, session: Session) -> None:
        (source,) = session.sources
        assert isinstance(source, ModelSource)
        source.stop()  # no thread: this clock stands still between two looks
        self._model, self._session = source.model, session

    def read(self, now_s: float) -> None:
        at_s = self._session.time.at(now_s)
        heard = self._model.heard(at_s)
        self._session.hearing.deliver(
            RawReading(probe=0, celsius=heard.celsius, fault=heard.fault, heard_at_s=now_s)
        )


def _story(bench: LiveBench, session: Session, probe: _Polled, clock: HandClock) -> Iterator[str]:
    """The run, with hands that do each step when it is time; yields lines as they come."""
    said, told_s = 0, 0.0
    hands = _Hands(bench, session)
    show = session.plan.show
    while not session.state.over and session.now()[0] < _LONGEST_S:
        resting = session.state.phase == "after"
        clock.advance(_REST_STEP_S if resting else _STEP_S)
        probe.read(clock.now())
        bench.tick()
        hands.act()
        for event in session.events[said:]:
            words = log_words(session.plan, event)
            if words and event.kind not in ("begun", "answered"):
                yield _line(event.at_s, words, call=event.kind in ("cue", "alarm"))
        said = len(session.events)
        lead = session.hearing.watch.lead(session.now()[0])
        at_s = session.now()[0]
        if session.state.phase == "hot" and lead is not None and at_s - told_s >= _TELL_S:
            told_s = at_s
            yield _line(at_s, f"{temperature_text(lead[1], show)}{_left(session)}")


def _left(session: Session) -> str:
    from rimwright.live.view import view_of

    left = view_of(session)["minutes_left"]
    if left is None or left["to"] != "to the target":
        return ""
    low, high = time_text(left["low_s"]), time_text(left["high_s"])
    return f", {time_text(left['seconds'])} to the target ({low} to {high})"


def _line(at_s: float, words: str, *, call: bool = False) -> str:
    hours, rest = divmod(round(at_s), 3600)
    clock = f"{hours:2d}:{rest // 60:02d}:{rest % 60:02d}"
    begin = f"  {clock}  {'>> ' if call else '   '}"
    return textwrap.fill(words, width(), initial_indent=begin, subsequent_indent=" " * len(begin))


class _Hands:
    """A maker who does what the recipe says, in its usual time."""

    def __init__(self, bench: LiveBench, session: Session) -> None:
        self._bench, self._session = bench, session
        self._count, self._turned_at = 0, 0

    def act(self) -> None:
        session = self._session
        state, plan = session.state, session.plan
        at_s = session.now()[0]
        in_step = state.in_step_s(at_s)
        step = state.step_of(plan)
        if step is None:
            if in_step >= _COLD_S:
                for question in plan.questions:
                    if question.blocking:
                        self._do("answer", question=question.key, answer="yes")
                self._do("done")
        elif step.key == "warm-up":
            level = session.hearing.watch.level_c(at_s)
            if level is not None and level >= plan.target_c:
                self._do("done")
        elif step.key == "hold":
            if in_step >= 2.0:
                self._do("done", share=self._share())
        elif step.key == "inspect":
            self._do("outcome", outcome={"kind": "sound"})
            self._do("finish")
        elif state.wait_left_s(at_s) == 0.0 and in_step >= (step.usual_s or self._usual(step.key)):
            self._do("done")

        self._turn_down()

    def _usual(self, key: str) -> float:
        return 2.0 if key == "unplug" else _COLD_S

    def _share(self) -> float:
        """What the forecast says holds the target, as a dial is read."""
        told = self._session.foresight.latest
        held = None if told is None else told.hold_fraction
        return round((held or self._session.plan.predicted.hold_fraction).middle, 2)

    def _turn_down(self) -> None:
        """Do what a call to turn down further asks."""
        heat = self._session.state.heat
        called = [one.seq for one in self._session.events
                  if one.kind == "cue" and one.data["cue"] == "turn_down"]  # fmt: skip
        if called and heat.on and heat.share < 0.9 and called[-1] > self._turned_at:
            if self._turned_at:
                self._do("turned_down", share=round(heat.share - 0.04, 2))
            self._turned_at = called[-1]

    def _do(self, kind: str, **data: object) -> None:
        self._count += 1
        visit = self._session.state.visit
        self._bench.command(
            self._session.run,
            Command(key=f"practice-{self._count}", kind=kind, visit=visit, device="practice",
                    data=data),
        )  # fmt: skip
