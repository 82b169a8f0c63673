"""What the open pages of one run are told next, made once for all that are equally far."""

from __future__ import annotations

import asyncio
import json
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from rimwright.live.readings import Sample
    from rimwright.web.shop import Bench

#: Most samples in one message; the rest follows at once.
MOST_SAMPLES = 2000
#: Messages kept for pages that are equally far, and how long the time they tell is good. [s]
_KEPT, _GOOD_S = 8, 0.1


@dataclass(frozen=True, slots=True)
class Tick:
    """One message, and how far it takes a page."""

    text: str
    #: Number of the last sample, and version of the view, that the page then has.
    seq: int
    version: int
    #: Says something beside the time.
    news: bool
    #: There are more samples already.
    more: bool
    made_s: float


class Feed:
    """The next message of a run.

    Parameters
    ----------
    bench : Bench
        Where samples and view come from.
    run : int
        The run's number.
    """

    def __init__(self, bench: Bench, run: int) -> None:
        self._bench, self._run = bench, run
        self._made: dict[tuple[int, int], Tick] = {}
        self._making = asyncio.Lock()
        #: Counts the news.
        self._news = 0
        #: Pages that are told when there is news.
        self.waiting: set[asyncio.Event] = set()

    def news(self) -> None:
        """There is something new: what was made holds no longer."""
        self._news += 1
        self._made.clear()
        for event in self.waiting:
            event.set()

    async def after(self, seq: int, version: int) -> Tick:
        """The message for a page that has had samples up to `seq` and the view of `version`."""
        if (tick := self._ready(seq, version)) is not None:
            return tick
        async with self._making:
            # Another page that is as far may have had it made meanwhile.
            if (tick := self._ready(seq, version)) is not None:
                return tick
            news = self._news
            tick = await asyncio.to_thread(self._make, seq, version)
            # What came while it was made may be missing: then nobody else is given it.
            if news == self._news:
                if len(self._made) >= _KEPT:
                    self._made.clear()
                self._made[seq, version] = tick
            return tick

    def _ready(self, seq: int, version: int) -> Tick | None:
        tick = self._made.get((seq, version))
        return tick if tick is not None and time.monotonic() - tick.made_s < _GOOD_S else None

    def _make(self, seq: int, version: int) -> Tick:
        found = self._bench.samples_after(self._run, seq)
        samples = found[:MOST_SAMPLES]
        newest = self._bench.view_version(self._run)
        at_s, wall_s = self._bench.at(self._run)
        message: dict[str, Any] = {
            "kind": "tick", "at_s": round(at_s, 3), "wall_s": round(wall_s, 3),
            "samples": [row(one) for one in samples],
        }  # fmt: skip
        if newest != version:
            message["view"] = self._bench.view(self._run)
        return Tick(
            as_text(message), samples[-1].seq if samples else seq, newest,
            news=bool(samples) or newest != version, more=len(found) > len(samples),
            made_s=time.monotonic(),
        )  # fmt: skip


def row(sample: Sample) -> list[Any]:
    """A sample as the live channel and the API tell it."""
    fault = None if sample.fault is None else sample.fault.value
    return [sample.seq, round(sample.at_s, 3), sample.probe, sample.celsius, fault]


def as_text(message: dict[str, Any]) -> str:
    """A message as it is sent."""
    return json.dumps(message, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
