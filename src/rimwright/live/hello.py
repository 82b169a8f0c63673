"""The first thing a page is told: the view, what was expected, and the curve so far."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from rimwright.live.view import view_of

if TYPE_CHECKING:
    from rimwright.live.session import Session


def hello_of(session: Session, since: int, boot: str, our_boot: str) -> dict[str, Any]:
    """The message for a page that has had samples up to `since`; the session's lock is held.

    Parameters
    ----------
    session : Session
        Whose run it is.
    since : int
        Number of the last sample the page has; 0 for none.
    boot, our_boot : str
        What the page heard last, and what this program is.

    Notes
    -----
    Samples that a program heard but had not kept when it was killed are gone, and their numbers
    are given anew: a page of another boot is told to throw them away (`rewind`).
    """
    memory = session.memory
    kept = memory.before
    rewind = kept if boot and boot != our_boot and since > kept else None
    since = since if rewind is None else rewind
    whole = since == 0 or since > memory.last or memory.too_far(since)
    at_s, wall_s = session.now()
    predicted = asdict(session.plan.predicted)
    message: dict[str, Any] = {
        "kind": "hello",
        "boot": our_boot,
        "rewind": 0 if whole and since else rewind,
        "at_s": round(at_s, 3),
        "wall_s": round(wall_s, 3),
        "view": view_of(session),
        "predicted": {
            name: predicted[name] for name in ("time_s", "probe_c", "probe_low_c", "probe_high_c")
        },
        "history": memory.history() if whole else [],
        "heat_on_s": session.state.heat.begun_s,
    }
    # The curve holds everything up to here; samples follow from here on.
    message["seq"] = memory.last if whole else since
    return message
