"""A run taken up after a restart: from the journal, to where it was."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rimwright.equipment.probes import probe_from
from rimwright.live.around import Before
from rimwright.live.foresight import Foresight
from rimwright.live.learning import known_of
from rimwright.live.plain import from_plain
from rimwright.live.recording import event_of, sample_of
from rimwright.live.run import folded
from rimwright.live.session import Session
from rimwright.live.sources import sources_of

if TYPE_CHECKING:
    from rimwright.live.bench import LiveBench

#: Samples taken up again for curve and forecast; a heat of an hour at ten a second.
_MOST = 36_000


def resumed_session(bench: LiveBench, run: int) -> Session:
    """A session of a run that the journal holds open.

    Raises
    ------
    RimwrightError
        If the record cannot be read, or a probe cannot be.
    """
    from rimwright.journal.runs import last_sample, run_record, samples_after

    record = run_record(bench.journal, run)
    plan = from_plain(record.run_plan)
    events = [event_of(row) for row in record.events]
    last = last_sample(bench.journal, run)
    last_seq = 0 if last is None else last.seq
    rows = samples_after(bench.journal, run, max(0, last_seq - _MOST))
    last_at_s = max([0.0 if last is None else 1e-3 * last.at_ms, *(one.at_s for one in events)])
    state = folded(plan, events)
    wall_s = last_at_s - state.at_s + state.wall_s if events else 0.0
    clock = bench.clock_for(plan, wall_s)
    settings = tuple(probe_from(one) for one in record.probe_settings)
    session = Session(
        run,
        plan,
        (),
        bench.around(clock),
        foresight=Foresight(plan, known_of(bench.journal, plan)),
        before=Before(
            events=events,
            samples=[sample_of(row) for row in rows],
            last_seq=last_seq,
            last_at_s=last_at_s,
        ),
    )
    # The model is where the run's time is, which the session has just found out.
    session.sources = sources_of(
        plan,
        settings,
        at_s=session.now()[0],
        heat=session.state.heat,
        recorded=bench.recorded,
    )
    return session
