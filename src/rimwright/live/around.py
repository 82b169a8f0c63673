"""What a session is given: what was before it, and what stands around it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from rimwright.live.clock import Clock
from rimwright.live.events import Event
from rimwright.live.host_sound import HostSound, NoSound
from rimwright.live.readings import Sample
from rimwright.live.recording import Recorder
from rimwright.live.run_time import GAP_S


@dataclass(frozen=True, kw_only=True)
class Before:
    """What the journal holds of a run that goes on."""

    events: Sequence[Event]
    #: From the heat on, or of late: for the curve and the forecast.
    samples: Sequence[Sample] = ()
    last_seq: int = 0
    last_at_s: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Around:
    """What a session is given by whoever keeps it."""

    clock: Clock
    recorder: Recorder
    #: Longest time between two ticks that is no gap, on that clock. [s]
    gap_s: float = GAP_S
    sound: HostSound = field(default_factory=NoSound)
    #: Works something out elsewhere.
    later: Callable[[Callable[[], None]], object] = lambda call: call()
    #: Told the run's number whenever there is news.
    news: Callable[[int], None] = lambda run: None
    #: Samples of the journal: of this run, after a number, at most so many.
    older: Callable[[int, int, int], Sequence[Sample]] = lambda run, after, most: ()
