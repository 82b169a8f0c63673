"""Events before they are numbered: what a command or a clock makes of a moment."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from rimwright.live.events import Event, EventKind


@dataclass(frozen=True, slots=True, kw_only=True)
class Draft:
    """An event without its number; the run's one writer of events gives it."""

    #: Since the run was begun. [s]
    at_s: float
    #: UTC, for people. [s since 1970]
    wall_s: float
    kind: EventKind
    data: Mapping[str, Any] = field(default_factory=dict)
    key: str = ""
    device: str = ""


def numbered(drafts: Iterable[Draft], after: int) -> tuple[Event, ...]:
    """The drafts as events, numbered on from the last one.

    Parameters
    ----------
    drafts : iterable of Draft
        In order.
    after : int
        Number of the run's last event; 0 before the first.

    Examples
    --------
    >>> [one.seq for one in numbered([Draft(at_s=0.0, wall_s=0.0, kind="present")], 7)]
    [8]
    """
    return tuple(
        Event(
            seq=after + place,
            at_s=draft.at_s,
            wall_s=draft.wall_s,
            kind=draft.kind,
            data=draft.data,
            key=draft.key,
            device=draft.device,
        )
        for place, draft in enumerate(drafts, start=1)
    )
