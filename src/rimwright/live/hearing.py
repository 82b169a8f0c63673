"""Everything between a probe's word and the run: judged, numbered, watched, faults told once."""

from __future__ import annotations

import queue
from collections.abc import Callable, Sequence

from rimwright.live.drafts import Draft
from rimwright.live.judging import HeatContext, ProbeJudge
from rimwright.live.memory import Memory
from rimwright.live.readings import Fault, RawReading, Sample
from rimwright.live.run_plan import RunPlan
from rimwright.live.run_time import RunTime
from rimwright.live.watching import Watch

#: Readings taken in one go; more than that and a source is broken.
_MOST_AT_ONCE = 5000
#: A fault is told in the log when it has lasted so long, and again only after a good stretch as
#: long: a board that stutters is one line and not hundreds. Assumed. [s]
_LASTS_S = 2.0


class Hearing:
    """The probes of one run.

    Parameters
    ----------
    plan : RunPlan
        Whose probes these are.
    memory : Memory
        Where samples are numbered and kept.
    """

    def __init__(self, plan: RunPlan, memory: Memory) -> None:
        names = [probe.name for probe in plan.probes]
        self.watch = Watch(names)
        self._memory = memory
        self._judges = [ProbeJudge() for _ in names]
        self._waiting: queue.SimpleQueue[RawReading] = queue.SimpleQueue()
        self._last_at_s = 0.0
        #: Of each probe: what is told in the log, and since when it is otherwise.
        self._told: list[Fault | None] = [None for _ in names]
        self._other_since_s: list[float | None] = [None for _ in names]
        self._heard: list[str] = ["" for _ in names]
        self._unsaid: list[Sample] = []
        #: Readings while the heat was on, and how many of them were faults.
        self._hot = self._faulty = 0

    def deliver(self, raw: RawReading) -> None:
        """Take a reading, from any thread."""
        self._waiting.put(raw)

    def take(
        self, time: RunTime, heat: HeatContext, each: Callable[[Sample], None] = lambda sample: None
    ) -> bool:
        """Judge and number what was delivered; tells whether there was anything."""
        raws: list[RawReading] = []
        while len(raws) < _MOST_AT_ONCE:
            try:
                raws.append(self._waiting.get_nowait())
            except queue.Empty:
                break
        # Probes have threads of their own: what was heard first comes first.
        raws.sort(key=lambda raw: raw.heard_at_s)
        now_s = time.at()
        for raw in raws:
            # Neither ahead of now nor before the last, whatever a source says of its time.
            at_s = min(max(time.at(raw.heard_at_s), self._last_at_s), now_s)
            self._last_at_s = at_s
            celsius, fault = self._judges[raw.probe].judge(raw, at_s, heat)
            self._heard[raw.probe] = raw.heard
            sample = self._memory.add(at_s, raw.probe, celsius, fault)
            self._unsaid.append(sample)
            self._hot += heat.on
            self._faulty += heat.on and fault is not None
            self.watch.take(sample, heat)
            each(sample)
        return bool(raws)

    @property
    def faulty_share(self) -> float:
        """Of the readings while the heat was on, how many were faults."""
        return self._faulty / max(1, self._hot)

    def unsaid(self) -> Sequence[Sample]:
        """Samples that were not handed to the recorder yet; they are then."""
        samples, self._unsaid = self._unsaid, []
        return samples

    def fault_drafts(self, at_s: float, wall_s: float) -> tuple[Draft, ...]:
        """Faults that began or ended, for the log."""
        drafts = []
        for probe, told in enumerate(self._told):
            _, fault, _, heard_s = self.watch.probe_now(probe, at_s)
            if heard_s is None or fault is told:
                self._other_since_s[probe] = None
                continue
            since_s = self._other_since_s[probe]
            if since_s is None:
                self._other_since_s[probe] = at_s
            elif at_s - since_s >= _LASTS_S:
                self._told[probe], self._other_since_s[probe] = fault, None
                drafts.append(
                    Draft(
                        at_s=at_s,
                        wall_s=wall_s,
                        kind="probe_back" if fault is None else "probe_fault",
                        data={"probe": probe}
                        if fault is None
                        else {"probe": probe, "fault": str(fault), "heard": self._heard[probe]},
                    )
                )
        return tuple(drafts)
