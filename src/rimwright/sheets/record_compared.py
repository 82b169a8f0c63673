"""What was predicted before a run, and what came."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from rimwright.journal.rows import EventRow, Stretch
from rimwright.live.run_plan import Predicted, Ranged, RunPlan
from rimwright.sheets.record_steps import first_of
from rimwright.sheets.record_words import ranged_time, share_text
from rimwright.units import temperature_text, time_text

Verdict = Literal["within", "sooner", "later", "more", "less", "over the limit", ""]


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """One figure: as predicted before the run, and as it came; "" where there is none."""

    what: str
    predicted: str
    came: str
    verdict: Verdict = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatSpan:
    """When the heat came on first, and when it went off last. [s in the run]"""

    on_s: float
    #: None while it is on.
    off_s: float | None
    #: The last share of full power that the dial was turned to, and whether somebody said so.
    share: float | None = None
    said: bool = True


def heat_span(events: Sequence[EventRow]) -> HeatSpan | None:
    """The time under heat; None for a run that was never heated."""
    begun = first_of(events, "heat_on")
    if begun is None:
        return None
    off_s: float | None = None
    share, said = None, True
    for event in events:
        if event.kind == "heat_on":
            off_s = None
        elif event.kind == "heat_off":
            off_s = event.at_s
        elif event.kind == "turned_down" and isinstance(event.data.get("share"), int | float):
            share, said = float(event.data["share"]), not event.data.get("assumed")
    return HeatSpan(on_s=begun.at_s, off_s=off_s, share=share, said=said)


def compared_of(
    plan: RunPlan,
    events: Sequence[EventRow],
    heat: HeatSpan | None,
    curve: Sequence[Stretch],
    outcome: str,
) -> tuple[Compared, ...]:
    """What was predicted beside what came, in the order in which it came.

    Parameters
    ----------
    plan : RunPlan
        With its prediction.
    events : sequence of EventRow
        All of the run.
    heat : HeatSpan or None
        The time under heat.
    curve : sequence of Stretch
        Of the run; the first probe leads.
    outcome : str
        How the side came out, in a word or two; "" where nobody said.
    """
    told = plan.predicted
    found = []
    if told.to_target_s.middle > 0.0:
        for what, cue, ranged in (
            ("Heat on to early call", "early", told.to_early_alarm_s),
            ("Heat on to target", "target", told.to_target_s),
        ):
            found.append(_time(what, ranged, _since(events, cue, heat)))
        found.append(_power(told.hold_fraction, heat))
    found += _in_band(told, heat, curve)
    found += _heated(told, heat)
    found += _hottest(plan, heat, curve)
    if told.crack_chance is not None:
        chance = told.crack_chance
        words = (
            f"{share_text(chance.middle)} ({share_text(chance.low)} to {share_text(chance.high)})"
        )
        came = outcome or "not said"
        found.append(Compared(what="Chance of a crack", predicted=words, came=came))
    if told.utilisation is not None:
        asked = f"{share_text(told.utilisation)} of what it bears"
        found.append(Compared(what="Tightest bend", predicted=asked, came=""))
    return tuple(found)


def _since(events: Sequence[EventRow], cue: str, heat: HeatSpan | None) -> float | None:
    called = first_of(events, "cue", cue=cue)
    return None if called is None or heat is None else called.at_s - heat.on_s


def _time(what: str, ranged: Ranged, came_s: float | None) -> Compared:
    words = ranged_time(ranged.low, ranged.middle, ranged.high)
    if came_s is None:
        return Compared(what=what, predicted=words, came="not reached")
    verdict: Verdict = (
        "sooner" if came_s < ranged.low else "later" if came_s > ranged.high else "within"
    )
    return Compared(what=what, predicted=words, came=time_text(came_s), verdict=verdict)


def _power(ranged: Ranged, heat: HeatSpan | None) -> Compared:
    what = "Power that holds"
    words = f"{share_text(ranged.middle)} ({share_text(ranged.low)} to {share_text(ranged.high)})"
    if heat is None or heat.share is None:
        return Compared(what=what, predicted=words, came="")
    if not heat.said:
        return Compared(what=what, predicted=words, came="not said")
    verdict: Verdict = (
        "less" if heat.share < ranged.low else "more" if heat.share > ranged.high else "within"
    )
    return Compared(what=what, predicted=words, came=share_text(heat.share), verdict=verdict)


def _in_band(
    told: Predicted, heat: HeatSpan | None, curve: Sequence[Stretch]
) -> tuple[Compared, ...]:
    """How much of the heat the first probe kept within its predicted band."""
    if heat is None or len(told.time_s) < 2 or not _a_band(told):
        return ()
    from bisect import bisect_right

    inside = counted = 0
    for one in curve:
        at_s = one.at_s - heat.on_s
        over = heat.off_s is not None and one.at_s >= heat.off_s
        if one.probe != 0 or not told.time_s[0] <= at_s <= told.time_s[-1] or over:
            continue
        right = min(bisect_right(told.time_s, at_s), len(told.time_s) - 1)
        share = (at_s - told.time_s[right - 1]) / (told.time_s[right] - told.time_s[right - 1])

        def between(values: tuple[float, ...], right: int = right, share: float = share) -> float:
            return values[right - 1] + share * (values[right] - values[right - 1])

        counted += 1
        middle_c = 0.5 * (one.low_c + one.high_c)
        inside += between(told.probe_low_c) <= middle_c <= between(told.probe_high_c)
    if counted < 2:
        return ()
    came = f"{share_text(inside / counted)} inside it"
    return (Compared(what="Probe in its band", predicted="the band of the curve",
                     came=came),)  # fmt: skip


def _a_band(told: Predicted) -> bool:
    count = len(told.time_s)
    rising = all(a < b for a, b in zip(told.time_s, told.time_s[1:], strict=False))
    return rising and len(told.probe_low_c) == len(told.probe_high_c) == count


def _heated(told: Predicted, heat: HeatSpan | None) -> tuple[Compared, ...]:
    if heat is None:
        return ()
    words = f"about {time_text(told.time_s[-1])}" if told.time_s else ""
    came = "on still" if heat.off_s is None else time_text(heat.off_s - heat.on_s)
    return (Compared(what="Under heat", predicted=words, came=came),)


def _hottest(
    plan: RunPlan, heat: HeatSpan | None, curve: Sequence[Stretch]
) -> tuple[Compared, ...]:
    hottest = max((one.high_c for one in curve), default=None)
    if hottest is None or heat is None or plan.limit_c <= 0.0:
        return ()
    limit = f"limit {temperature_text(plan.limit_c, plan.show)}"
    verdict: Verdict = "over the limit" if hottest >= plan.limit_c else ""
    return (Compared(what="Hottest reading", predicted=limit,
                     came=temperature_text(hottest, plan.show), verdict=verdict),)  # fmt: skip
