"""What a run tells the journal's writer; the store's shape is known only here."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Protocol

from rimwright.live.events import Event
from rimwright.live.readings import Fault, Sample

if TYPE_CHECKING:
    from rimwright.journal.runs import EventRow, SampleRow
    from rimwright.journal.writer import WriterHealth


class Recorder(Protocol):
    """The journal's writer, as a run sees it: never waits, answers at once."""

    def put(
        self, run: int, samples: Sequence[SampleRow] = (), events: Sequence[EventRow] = ()
    ) -> None: ...

    def health(self) -> WriterHealth: ...


def sample_row(sample: Sample) -> SampleRow:
    """A sample as it is kept: milliseconds are fine enough."""
    from rimwright.journal.runs import SampleRow

    return SampleRow(
        seq=sample.seq,
        at_ms=round(1e3 * sample.at_s),
        probe=sample.probe,
        celsius=sample.celsius,
        fault=None if sample.fault is None else str(sample.fault),
    )


def sample_of(row: SampleRow) -> Sample:
    """And back."""
    return Sample(
        seq=row.seq,
        at_s=1e-3 * row.at_ms,
        probe=row.probe,
        celsius=row.celsius,
        fault=None if row.fault is None else Fault(row.fault),
    )


def event_row(event: Event) -> EventRow:
    """An event as it is kept."""
    from rimwright.journal.runs import EventRow

    return EventRow(
        seq=event.seq,
        at_s=event.at_s,
        wall_s=event.wall_s,
        kind=event.kind,
        data=dict(event.data),
        key=event.key,
        device=event.device,
    )


def event_of(row: EventRow) -> Event:
    """And back."""
    return Event(
        seq=row.seq,
        at_s=row.at_s,
        wall_s=row.wall_s,
        kind=row.kind,  # type: ignore[arg-type]
        data=row.data,
        key=row.key,
        device=row.device,
    )
