"""The run's own time: never steps back, goes on through sleep, restarts and set clocks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from rimwright.live.clock import Clock
from rimwright.live.drafts import Draft
from rimwright.live.events import Event, EventKind

#: Longer without a look is a gap: nothing was watched. Assumed. [s]
GAP_S = 2.0
#: A wall clock that has moved by more against the other was set. Assumed. [s]
STEP_S = 0.5
#: Further behind the record than clocks of computers err over a night, it is wrong. Assumed. [s]
BEHIND_S = 60.0
#: So long after a start of the computer its wall clock may still be set from outside; a step
#: ahead then means that the start found it wrong. Assumed. [s]
SETTLES_S = 600.0
#: Both clocks must be read within this, or the two readings say nothing together. [s]
_TOGETHER_S = 0.1
_TRIES = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Anchor:
    """One moment on all clocks, from which the run's time is counted on.

    It is kept in the data of the events "begun", "gap" and "clock_set", under "anchor".
    """

    #: The computer's start, and its clock that only runs on. [s]
    boot: str
    now_s: float
    #: The same moment in the run and on the wall. [s], [s since 1970]
    at_s: float
    wall_s: float
    #: After a start of the computer: the last moment before it, which is sure, and how long
    #: a step ahead of the wall clock is still taken to set it right; None: until one does.
    sure_at_s: float | None = None
    sure_wall_s: float | None = None
    settles_at_s: float | None = None

    @property
    def offset_s(self) -> float:
        """Wall clock less time in the run. [s]"""
        return self.wall_s - self.at_s

    def data(self) -> dict[str, Any]:
        """What an event keeps of it, beside its own times."""
        kept: dict[str, Any] = {"boot": self.boot, "now_s": self.now_s}
        if self.sure_at_s is not None:
            kept |= {
                "sure_at_s": self.sure_at_s,
                "sure_wall_s": self.sure_wall_s,
                "settles_at_s": self.settles_at_s,
            }
        return kept

    @classmethod
    def of_event(cls, event: Event) -> Anchor | None:
        """The anchor an event keeps; None where it keeps none."""
        kept = event.data.get("anchor")
        if not isinstance(kept, Mapping):
            return None
        more = {
            name: None if kept.get(name) is None else float(kept[name])
            for name in ("sure_at_s", "sure_wall_s", "settles_at_s")
        }
        return cls(
            boot=str(kept["boot"]),
            now_s=float(kept["now_s"]),
            at_s=event.at_s,
            wall_s=event.wall_s,
            **more,
        )


class RunTime:
    """Keeps the time of one run; ticked by one thread, asked by any.

    Parameters
    ----------
    clock : Clock
        Handed in.
    anchor : Anchor
        Where the run's time hangs on it.
    gap_s : float, default `GAP_S`
        Longest time between two ticks that is no gap, on that clock. [s]

    Examples
    --------
    >>> from rimwright.live.clock import HandClock
    >>> clock = HandClock()
    >>> time = RunTime.begun(clock)
    >>> clock.advance(1.5)
    >>> clock.set_wall(clock.wall() + 3600.0)
    >>> [(one.kind, one.data["by_s"]) for one in time.tick()], time.at()
    ([('clock_set', 3600.0)], 1.5)
    """

    def __init__(self, clock: Clock, anchor: Anchor, *, gap_s: float = GAP_S) -> None:
        self._clock = clock
        self.anchor = anchor
        self._gap_s = gap_s
        self._ticked_s = anchor.now_s

    @classmethod
    def begun(cls, clock: Clock, *, gap_s: float = GAP_S) -> RunTime:
        """The time of a run that begins now; its `anchor.data()` goes into the first event."""
        now_s, wall_s, _ = _read(clock)
        anchor = Anchor(boot=clock.boot, now_s=now_s, at_s=0.0, wall_s=wall_s)
        return cls(clock, anchor, gap_s=gap_s)

    @classmethod
    def resumed(
        cls, clock: Clock, anchor: Anchor, *, last_at_s: float, gap_s: float = GAP_S
    ) -> tuple[RunTime, tuple[Draft, ...]]:
        """The time of a run that goes on after a restart, and what is to be told.

        Parameters
        ----------
        clock : Clock
            Of this start.
        anchor : Anchor
            The newest that the run's events keep (`RunState.anchor`).
        last_at_s : float
            The last event or sample that is known, whichever is later. [s in the run]
        gap_s : float, optional
            As above. [s]

        Notes
        -----
        Within one start of the computer the clock that only runs on tells how long it was;
        across starts the wall clock does. One that stands behind the record counts as no time
        passed, and this is told. Boards without a clock of their own begin with an old time and
        are set right soon after: such a step ahead counts the time that was missing.
        """
        now_s, wall_s, _ = _read(clock)
        same = bool(anchor.boot) and anchor.boot == clock.boot
        last_wall_s = last_at_s + anchor.offset_s
        if same:
            at_s = max(last_at_s, anchor.at_s + (now_s - anchor.now_s))
            found = replace(anchor, now_s=now_s, at_s=at_s, wall_s=wall_s)
        else:
            found = _across(anchor, clock.boot, now_s, wall_s, last_at_s)
        time = cls(clock, found, gap_s=gap_s)
        data: dict[str, Any] = {"seconds": found.at_s - last_at_s, "why": "off"}
        if not same and wall_s < last_wall_s - STEP_S:
            data["behind_s"] = last_wall_s - wall_s
        by_s = found.offset_s - anchor.offset_s
        told = [time._draft("clock_set", {"by_s": by_s})] if abs(by_s) > STEP_S else []
        return time, (*told, time._draft("gap", data))

    def at(self, now_s: float | None = None) -> float:
        """Time in the run at a moment of the clock, or now. [s]"""
        # Other threads ask too: one anchor, read once.
        anchor = self.anchor
        now_s = self._clock.now() if now_s is None else now_s
        return anchor.at_s + (now_s - anchor.now_s)

    def wall(self) -> float:
        """The wall clock now, for events. [s since 1970]"""
        return self._clock.wall()

    def tick(self) -> tuple[Draft, ...]:
        """Look at the clocks; what is to be told: a gap, a clock that was set."""
        now_s, wall_s, together = _read(self._clock)
        told: list[Draft] = []
        missed_s, self._ticked_s = now_s - self._ticked_s, now_s
        by_s = wall_s - self.at(now_s) - self.anchor.offset_s
        stepped = together and abs(by_s) > STEP_S
        if missed_s <= self._gap_s and not stepped:
            return ()
        before = self.anchor
        if stepped:
            self.anchor = replace(before, now_s=now_s, at_s=self.at(now_s), wall_s=wall_s)
            missing_s = self._count_missing()
            by_s = self.anchor.offset_s - before.offset_s
            if abs(by_s) > STEP_S:
                told.append(self._draft("clock_set", {"by_s": by_s}))
            if missing_s > 0.0:
                told.append(self._draft("gap", {"seconds": missing_s, "why": "found"}))
        if missed_s > self._gap_s:
            at_s, wall = self.at(now_s), now_s - self.anchor.now_s + self.anchor.wall_s
            gap = Draft(at_s=at_s, wall_s=wall, kind="gap",
                        data={"seconds": missed_s, "why": "slept"})  # fmt: skip
            told.append(gap)
        return tuple(told)

    def _count_missing(self) -> float:
        """Time that a clock found wrong did not count, now that it was set ahead. [s]"""
        here = self.anchor
        if here.sure_at_s is None or here.sure_wall_s is None:
            return 0.0
        if here.settles_at_s is not None and here.at_s > here.settles_at_s:
            return 0.0
        missing_s = here.wall_s - here.sure_wall_s - (here.at_s - here.sure_at_s)
        if missing_s <= STEP_S:
            return 0.0
        at_s = here.at_s + missing_s
        self.anchor = replace(here, at_s=at_s, settles_at_s=at_s + SETTLES_S)
        return missing_s

    def _draft(self, kind: EventKind, data: dict[str, Any]) -> Draft:
        """An event at the anchor, which it keeps."""
        return Draft(
            at_s=self.anchor.at_s,
            wall_s=self.anchor.wall_s,
            kind=kind,
            data={**data, "anchor": self.anchor.data()},
        )


def _across(anchor: Anchor, boot: str, now_s: float, wall_s: float, last_at_s: float) -> Anchor:
    """The moment after another start of the computer, by the wall clock."""
    last_wall_s = last_at_s + anchor.offset_s
    sure_at_s, sure_wall_s = last_at_s, last_wall_s
    passed_s = max(0.0, wall_s - last_wall_s)
    settling = anchor.settles_at_s is None or last_at_s <= anchor.settles_at_s
    if anchor.sure_at_s is not None and anchor.sure_wall_s is not None and settling:
        # The start before may have found its clock wrong: what was sure before it counts.
        sure_at_s, sure_wall_s = anchor.sure_at_s, anchor.sure_wall_s
        by_sure_s = sure_at_s + wall_s - sure_wall_s - last_at_s
        passed_s = passed_s if by_sure_s < -BEHIND_S else max(0.0, by_sure_s)
    at_s = last_at_s + passed_s
    behind = wall_s - sure_wall_s < last_at_s - sure_at_s - BEHIND_S
    return Anchor(
        boot=boot,
        now_s=now_s,
        at_s=at_s,
        wall_s=wall_s,
        sure_at_s=sure_at_s,
        sure_wall_s=sure_wall_s,
        settles_at_s=None if behind else at_s + SETTLES_S,
    )


def _read(clock: Clock) -> tuple[float, float, bool]:
    """Both clocks, and whether they were read together: a busy computer may come between."""
    for _ in range(_TRIES):
        before_s, wall_s = clock.now(), clock.wall()
        if clock.now() - before_s < _TOGETHER_S:
            return before_s, wall_s, True
    return before_s, wall_s, False
