"""Samples and events of a run, read back."""

from __future__ import annotations

import contextlib
import gc
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from rimwright.journal.engine import Journal

#: Rows that are read in one go, so that no reader keeps the writer waiting for long.
_PIECE = 100_000


@dataclass(frozen=True, slots=True)
class SampleRow:
    """One reading as it is kept."""

    seq: int
    #: Since the run was begun. [ms]
    at_ms: int
    probe: int
    #: [degC]; None where there is no temperature.
    celsius: float | None
    fault: str | None = None


@dataclass(frozen=True, slots=True)
class EventRow:
    """One event as it is kept; see `live.events.Event`."""

    seq: int
    #: Since the run was begun. [s]
    at_s: float
    #: [s since 1970]
    wall_s: float
    kind: str
    data: Mapping[str, Any]
    key: str = ""
    device: str = ""


def samples_after(
    journal: Journal, run: int, seq: int = 0, limit: int | None = None
) -> list[SampleRow]:
    """Samples of a run behind a number, in order; none where the run has none.

    Parameters
    ----------
    journal : Journal
        Where.
    run, seq : int
        Run, and the last sample that is known already.
    limit : int, optional
        At most so many; the rest is had by asking again.

    Raises
    ------
    JournalError
        If the journal does not answer.
    """
    from sqlalchemy import bindparam, select

    from rimwright.journal.tables import samples

    c = samples.c
    query = (
        select(c.seq, c.at_ms, c.probe, c.celsius, c.fault)
        .where(c.run_id == bindparam("run"), c.seq > bindparam("after"))
        .order_by(c.seq)
        .limit(bindparam("most"))
    )
    found: list[SampleRow] = []
    while limit is None or len(found) < limit:
        most = _PIECE if limit is None else min(_PIECE, limit - len(found))
        after = found[-1].seq if found else seq
        with journal.reading() as connection:
            rows = connection.execute(query, {"run": run, "after": after, "most": most}).all()
        with _without_looking_for_rubbish():
            found += [SampleRow(*row) for row in rows]
        if len(rows) < most:
            break
    return found


@contextlib.contextmanager
def _without_looking_for_rubbish() -> Iterator[None]:
    """A day has a million rows, none of them rubbish: looking for some takes half of the time."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


def last_sample(journal: Journal, run: int) -> SampleRow | None:
    """The newest sample of a run, if it has any."""
    from sqlalchemy import select

    from rimwright.journal.tables import samples

    c = samples.c
    query = (
        select(c.seq, c.at_ms, c.probe, c.celsius, c.fault)
        .where(c.run_id == run)
        .order_by(c.seq.desc())
        .limit(1)
    )
    with journal.reading() as connection:
        row = connection.execute(query).first()
    return None if row is None else SampleRow(*row)


def events_of(journal: Journal, run: int, after: int = 0) -> list[EventRow]:
    """Events of a run behind a number, in order."""
    from sqlalchemy import select

    from rimwright.journal.tables import events

    c = events.c
    query = (
        select(c.seq, c.at_s, c.wall_s, c.kind, c.data, c.key, c.device)
        .where(c.run_id == run, c.seq > after)
        .order_by(c.seq)
    )
    with journal.reading() as connection:
        rows = connection.execute(query).all()
    return [EventRow(*row[:5], row.key or "", row.device) for row in rows]


@dataclass(frozen=True, slots=True)
class Stretch:
    """Some time of one probe's curve, by its lowest and highest."""

    probe: int
    #: Beginning, since the run was begun. [s]
    at_s: float
    #: [degC]
    low_c: float
    high_c: float


def stretches_of(
    journal: Journal,
    run: int,
    every_s: float,
    *,
    since_s: float | None = None,
    until_s: float | None = None,
) -> list[Stretch]:
    """A run's curves in few points; a stretch without a temperature is not there.

    Parameters
    ----------
    journal : Journal
        Where.
    run : int
        Run.
    every_s : float
        Length of a stretch, a millisecond or more. [s]
    since_s, until_s : float, optional
        Only what was read from then on, and before then; all of it if left out. [s]
    """
    from sqlalchemy import func, literal, select

    from rimwright.journal.tables import samples

    c = samples.c
    every_ms = max(1, round(1e3 * every_s))
    stretch = (c.at_ms // literal(every_ms)).label("stretch")
    within = [c.run_id == run, c.celsius.is_not(None)]
    if since_s is not None:
        within.append(c.at_ms >= round(1e3 * since_s))
    if until_s is not None:
        within.append(c.at_ms < round(1e3 * until_s))
    query = (
        select(c.probe, stretch, func.min(c.celsius), func.max(c.celsius))
        .where(*within)
        .group_by(stretch, c.probe)
        .order_by(stretch, c.probe)
    )
    with journal.reading() as connection:
        rows = connection.execute(query).all()
    return [Stretch(probe, 1e-3 * every_ms * at, low, high) for probe, at, low, high in rows]
