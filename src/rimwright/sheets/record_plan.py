"""What a kept run followed, read with care: a journal may be damaged, or come from elsewhere."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, Literal

from rimwright.errors import RimwrightError
from rimwright.live.plain import from_plain
from rimwright.live.run_plan import Predicted, ProbePlace, Ranged, RunPlan

if TYPE_CHECKING:
    from rimwright.journal.runs import RunRecord

Show = Literal["metric", "inch"]


def plan_of(record: RunRecord) -> RunPlan:
    """What a run followed; where that cannot be read, what its record says beside it."""
    try:
        return from_plain(record.run_plan)
    except RimwrightError:
        nothing = Ranged(middle=0.0, low=0.0, high=0.0)
        return RunPlan(
            model=record.model,
            plan_code=record.plan_code,
            player="right",
            show="metric",
            hand="bass" if record.hand == "bass" else "treble",
            piece="return" if record.piece == "return" else "main",
            steps=(),
            questions=(),
            early_alarm_c=0.0,
            target_c=0.0,
            limit_c=0.0,
            control="dial",
            predicted=Predicted(
                to_early_alarm_s=nothing, to_target_s=nothing, hold_fraction=nothing
            ),
            probes=tuple(
                ProbePlace(name=str(one["name"]), place=str(one["place"]), kind=str(one["kind"]))
                for one in record.probes
            ),
            simulated=record.simulated,
            blanket=record.blanket,
        )


def at(plain: Any, *keys: str) -> Any:
    """A value within plain values by its keys; None where one is not there.

    Examples
    --------
    >>> at({"design": {"sides": {"wood": "sugar maple"}}}, "design", "sides", "wood")
    'sugar maple'
    """
    for key in keys:
        if not isinstance(plain, Mapping):
            return None
        plain = plain.get(key)
    return plain


def text_at(plain: Any, *keys: str) -> str:
    """The same where it must be text; "" where it is none."""
    found = at(plain, *keys)
    return found if isinstance(found, str) else ""


def number_at(plain: Any, *keys: str) -> float | None:
    """The same where it must be a number."""
    found = at(plain, *keys)
    good = isinstance(found, int | float) and not isinstance(found, bool)
    return float(found) if good else None
