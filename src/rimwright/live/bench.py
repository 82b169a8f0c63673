"""The bench: every run that is on, ticked twenty times a second, whoever looks or not."""

from __future__ import annotations

import contextlib
import secrets
import threading
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING, Any

from rimwright.errors import ProbeError, RimwrightError, RunError
from rimwright.live.around import Around
from rimwright.live.asked import Command
from rimwright.live.beginning import Begin, bench_name, kept_of
from rimwright.live.clock import Clock, FastClock, SystemClock
from rimwright.live.commands import Done
from rimwright.live.finishing import keep_outcome, wind_up
from rimwright.live.foresight import Foresight
from rimwright.live.hello import hello_of
from rimwright.live.host_sound import HostSound, NoSound
from rimwright.live.learning import keep_learnt
from rimwright.live.readings import Sample
from rimwright.live.recording import sample_of
from rimwright.live.resuming import resumed_session
from rimwright.live.run_plan import RunPlan
from rimwright.live.run_time import GAP_S
from rimwright.live.session import Session
from rimwright.live.sources import sources_of

__all__ = ["Begin", "LiveBench"]

if TYPE_CHECKING:
    from rimwright.journal.engine import Journal

#: Between two looks at every run. [s]
TICK_S = 0.05
#: Of a practice run's clock.
FASTEST = 30.0
#: Pages that were open when a run ended still find it for so long. [s]
_STAYS_S = 3600.0


class LiveBench:
    """All runs of one shop computer.

    Parameters
    ----------
    journal : Journal
        Open for writing; the bench's writer uses it, and does not close it.
    clock : Clock, optional
        The computer's own if left out.
    sound : HostSound, optional
        The shop computer's voice; silent if left out.
    ticking : bool
        False: whoever made it calls `tick`, as practice and tests do.
    gap_s : float
        Longest time between two ticks that is no gap. [s]
    """

    def __init__(
        self,
        journal: Journal,
        *,
        clock: Clock | None = None,
        sound: HostSound | None = None,
        ticking: bool = True,
        gap_s: float = GAP_S,
    ) -> None:
        from rimwright.journal.writer import Writer

        #: Changes with every start of this program: pages ask anew what was kept.
        self.boot = secrets.token_hex(8)
        self.journal = journal
        self.clock = clock or SystemClock()
        self._sound = sound or NoSound()
        self.writer = Writer(journal)
        self._ticking, self._gap_s = ticking, gap_s
        self._sessions: dict[int, Session] = {}
        self._over_s: dict[int, float] = {}
        self._lock = threading.RLock()
        self._listeners: list[Callable[[int], None]] = []
        self._works = ThreadPoolExecutor(1, "forecast")
        self._stopping = threading.Event()
        self._thread = threading.Thread(target=self._run, name="bench", daemon=True)
        #: What went wrong as runs of before were taken up; said once, at the start.
        self.notices: list[str] = []

    # -- beginning and end ---------------------------------------------------------------------

    def start(self) -> None:
        """Take up the runs that were on, and look at them from now on."""
        from rimwright.journal.runs import open_runs

        for run in open_runs(self.journal, bench=bench_name()):
            try:
                session = resumed_session(self, run)
            except RimwrightError as error:
                self.notices.append(f"Run {run} cannot go on: {error}")
                continue
            self._take_in(session)
        if self._ticking:
            self._thread.start()

    def stop(self) -> None:
        """End; what was heard is kept, and runs that are on are taken up at the next start."""
        self._stopping.set()
        if self._thread.is_alive():
            self._thread.join(5.0)
        for session in list(self._sessions.values()):
            session.stop()
        self._works.shutdown(wait=True, cancel_futures=True)
        self.writer.stop()
        self._sound.stop()

    def begin(self, new: Begin) -> int:
        """Begin a run; its number.

        Raises
        ------
        JournalError
            If it cannot be written down: then it is not begun.
        ProbeError
            If a probe cannot be.
        """
        from rimwright.journal.runs import begin_run, end_run

        plan = new.run_plan
        if plan.speed != 1.0 and not plan.simulated:
            raise ProbeError(
                f"a real probe at {plan.speed:g} times its speed", "speed 1", "leave the speed out"
            )
        if not 1.0 <= plan.speed <= FASTEST:
            # Beyond it a tick would be longer than a reading is good for.
            raise ProbeError(f"a speed of {plan.speed:g}", f"1 to {FASTEST:g}", "choose another")
        clock = self.clock_for(plan)
        run = begin_run(self.journal, kept_of(new, clock.wall(), bench_name()))
        try:
            sources = sources_of(plan, new.settings, recorded=self.recorded)
            session = Session(
                run,
                plan,
                sources,
                self.around(clock),
                foresight=Foresight(plan, new.known),
                device=new.device,
            )
            self._take_in(session)
        except BaseException:
            with contextlib.suppress(RimwrightError):
                end_run(self.journal, run, "abandoned", clock.wall())
            raise
        return run

    def clock_for(self, plan: RunPlan, wall_s: float = 0.0) -> Clock:
        """The clock of a run: the bench's, or a faster one that starts at `wall_s` or now."""
        if plan.speed == 1.0:
            return self.clock
        return FastClock(plan.speed, self.clock, wall_s=wall_s)

    def around(self, clock: Clock) -> Around:
        """What every session is given."""
        return Around(
            clock=clock,
            gap_s=self._gap_s,
            recorder=self.writer,
            sound=self._sound,
            later=self._later if self._ticking else lambda call: call(),
            news=self._news,
            older=self._older,
        )

    def _take_in(self, session: Session) -> None:
        session.start()
        with self._lock:
            self._sessions[session.run] = session
        self._news(session.run)

    # -- the thread that ticks -----------------------------------------------------------------

    def _run(self) -> None:
        due = time.monotonic()
        while not self._stopping.is_set():
            self.tick()
            due += TICK_S
            now = time.monotonic()
            if now > due + 1.0:  # the computer slept, or was too busy: no catching up
                due = now
            self._stopping.wait(max(0.0, due - now))

    def tick(self) -> None:
        """Move every run on to now."""
        for session in list(self._sessions.values()):
            if session.run not in self._over_s:
                session.tick()
                if not session.taught and session.foresight.all_told(session.now()[0]):
                    self._teach(session)
                if session.state.over:
                    self._end(session)
            elif time.monotonic() - self._over_s[session.run] > _STAYS_S:
                with self._lock:
                    del self._sessions[session.run]

    def _end(self, session: Session) -> None:
        self._over_s[session.run] = time.monotonic()
        session.stop()

        if not session.taught:
            self._teach(session)

        def winding() -> None:
            self.writer.flush()
            wind_up(self.journal, session)

        session.around.later(winding)

    def _teach(self, session: Session) -> None:
        session.taught = True
        session.around.later(lambda: keep_learnt(self.journal, session))

    def _later(self, call: Callable[[], None]) -> None:
        with contextlib.suppress(RuntimeError):  # while the program ends nothing new is begun
            self._works.submit(call)

    # -- what pages ask, from any thread -------------------------------------------------------

    def runs(self) -> tuple[int, ...]:
        """Numbers of the runs that are on, newest last."""
        return tuple(run for run in sorted(self._sessions) if run not in self._over_s)

    def session(self, run: int) -> Session:
        """One of them, or one that has just ended.

        Raises
        ------
        RunError
            If there is none of that number.
        """
        session = self._sessions.get(run)
        if session is None:
            raise RunError(
                f"no run {run} that is on", "one of the runs on the first page", "look there"
            )
        return session

    def view(self, run: int) -> dict[str, Any]:
        """What pages show of a run."""
        from rimwright.live.view import view_of

        session = self.session(run)
        with session.lock:
            return view_of(session)

    def view_version(self, run: int) -> int:
        """Moves on whenever the view has changed."""
        return self.session(run).version

    def samples_after(self, run: int, seq: int) -> Sequence[Sample]:
        """Samples after one that was had already."""
        session = self.session(run)
        with session.lock:
            return session.memory.after(seq)

    def at(self, run: int) -> tuple[float, float]:
        """Now: since the run was begun, and on the wall. [s], [s since 1970]"""
        return self.session(run).now()

    def hello(self, run: int, since: int, boot: str) -> dict[str, Any]:
        """First message of the live channel."""
        session = self.session(run)
        with session.lock:
            return hello_of(session, since, boot, self.boot)

    def command(self, run: int, command: Command) -> Done:
        """Do what a person asks.

        Raises
        ------
        RunError
            If the run cannot take it now.
        """
        session = self.session(run)
        done = session.command(command)
        if command.kind == "outcome" and not done.again:
            session.around.later(lambda: keep_outcome(self.journal, session))
        return done

    def push(self, name: str, token: str, body: bytes) -> None:
        """Readings that a probe posts.

        Raises
        ------
        ProbeError
            If no run has a probe of that name to be posted to.
        AccessError
            If the token is another's.
        """
        for run in self.runs():
            if self.session(run).push(name, token, body):
                return
        raise ProbeError(
            f"no run with a posted probe '{name:.40}'", "one that is on", "begin the run first"
        )

    def listen(self, call: Callable[[int], None]) -> Callable[[], None]:
        """Call with a run's number when it has news; what comes back ends it."""
        with self._lock:
            self._listeners.append(call)

        def end() -> None:
            with self._lock, contextlib.suppress(ValueError):
                self._listeners.remove(call)

        return end

    def _news(self, run: int) -> None:
        for call in list(self._listeners):
            call(run)

    # -- what is asked of the journal ----------------------------------------------------------

    def recorded(self, run: int) -> Sequence[Any]:
        """All samples of a run, for a replay."""
        from rimwright.journal.runs import samples_after

        return samples_after(self.journal, run)

    def _older(self, run: int, after: int, most: int) -> Sequence[Sample]:
        from rimwright.journal.runs import samples_after

        with contextlib.suppress(RimwrightError):
            return [sample_of(row) for row in samples_after(self.journal, run, after, most)]
        return ()
