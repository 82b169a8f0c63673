"""A run's samples in memory: the newest at hand, all of them as a thinned curve."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Sequence
from itertools import islice

from rimwright.live.readings import Fault, Sample
from rimwright.live.thinned import Thinned

#: Kept at hand; older ones are asked of the journal. An hour of one probe.
AT_HAND = 36_000
#: A page that is further behind than this gets the thinned curve instead. Ten minutes of ten
#: probes' readings would be too much for a tablet; of one it is nothing.
TOO_FAR_BEHIND = 12_000


class Memory:
    """Numbers samples, keeps the newest, and finds those after a number.

    Parameters
    ----------
    probes : int
        How many the run has.
    after : int, default 0
        Number of the last sample there was before; the next is one more.
    older : callable, optional
        Samples after a number out of the journal, for what is no longer at hand.
    """

    def __init__(
        self,
        probes: int,
        *,
        after: int = 0,
        older: Callable[[int, int], Sequence[Sample]] = lambda after, most: (),
    ) -> None:
        self._kept: deque[Sample] = deque(maxlen=AT_HAND)
        self._curves = [Thinned() for _ in range(probes)]
        self._older = older
        #: Number of the last sample that was kept before this program took the run up.
        self.before = after
        self.last = after

    def add(self, at_s: float, probe: int, celsius: float | None, fault: Fault | None) -> Sample:
        """Take a judged reading; it gets the next number."""
        self.last += 1
        sample = Sample(seq=self.last, at_s=at_s, probe=probe, celsius=celsius, fault=fault)
        self._kept.append(sample)
        self._draw(sample)
        return sample

    def remember(self, samples: Iterable[Sample]) -> None:
        """Take samples of before a restart, for the curve and for pages that were open."""
        for sample in samples:
            self._kept.append(sample)
            self._draw(sample)
            self.last = max(self.last, sample.seq)

    def after(self, seq: int) -> list[Sample]:
        """Samples after a number, in order; the oldest of them first, as many as are asked of
        the journal at once."""
        if seq >= self.last:
            return []
        first = self._kept[0].seq if self._kept else self.last + 1
        if seq + 1 < first:
            return list(self._older(seq, first - 1 - seq))[:TOO_FAR_BEHIND] or list(self._kept)
        return list(islice(self._kept, seq + 1 - first, None))

    def history(self) -> list[list[float]]:
        """The whole curve in few points: time, probe, lowest, highest."""
        rows = [
            [round(at_s, 2), probe, round(low, 2), round(high, 2)]
            for probe, curve in enumerate(self._curves)
            for at_s, low, high in curve.rows()
        ]
        return sorted(rows)

    def too_far(self, seq: int) -> bool:
        """Whether a page that has had samples up to `seq` is better given the thinned curve."""
        return self.last - seq > TOO_FAR_BEHIND

    def _draw(self, sample: Sample) -> None:
        if sample.celsius is not None:
            self._curves[sample.probe].add(sample.at_s, sample.celsius)
