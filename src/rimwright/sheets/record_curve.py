"""A run's curve as it is drawn: from the heat on, and the rest in a second, smaller panel."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rimwright.journal.rows import EventRow, Stretch
from rimwright.live.run_plan import RunPlan
from rimwright.sheets.record_compared import HeatSpan
from rimwright.sheets.record_pieces import Point, blind_spans, pieces_of, read_at
from rimwright.sheets.record_plan import Show
from rimwright.sheets.record_steps import Kind, Step
from rimwright.units import temperature_text

#: Points of a curve across its panel: more cannot be seen.
POINTS = 500
#: After the heat is off the first panel goes on for so much of the heat, within these. [s]
_TAIL_SHARE, _TAIL_S = 0.3, (60.0, 900.0)
#: A rest shorter than this has no panel of its own. [s]
_REST_S = 900.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbeCurve:
    """What one probe read: a piece for each stretch without a gap."""

    name: str
    pieces: tuple[tuple[Point, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A call or an alarm on the curve."""

    at_s: float
    #: None where no probe read then.
    celsius: float | None
    kind: Kind
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """Where a step began, under its number in the list of steps."""

    at_s: float
    number: int
    title: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Panel:
    """One stretch of time with all that is drawn in it; the first probe leads."""

    begin_s: float
    end_s: float
    curves: tuple[ProbeCurve, ...]
    marks: tuple[Mark, ...]
    ticks: tuple[Tick, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """All of it; times count from the heat on, or from the run's beginning without heat."""

    show: Show
    heated: bool
    main: Panel
    rest: Panel | None
    #: As predicted: time, low, middle, high. [s], [degC]
    band: tuple[tuple[float, float, float, float], ...]
    #: Name and temperature of each line. [degC]
    lines: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Windows:
    """Which times are drawn, and in how long stretches they are asked of the journal. [s]"""

    origin_s: float
    #: In the run.
    main: tuple[float, float]
    rest: tuple[float, float] | None

    def every_s(self, window: tuple[float, float]) -> float:
        """Length of a stretch of this window."""
        return max(0.2, (window[1] - window[0]) / POINTS)


def windows_of(heat: HeatSpan | None, last_s: float) -> Windows:
    """What to draw of a run that was heated then, and read until then.

    Parameters
    ----------
    heat : HeatSpan or None
        None: never heated.
    last_s : float
        Of the last reading. [s in the run]

    Examples
    --------
    >>> windows_of(HeatSpan(on_s=700.0, off_s=1166.0), 87_000.0).main
    (700.0, 1305.8)
    """
    if heat is None:
        return Windows(origin_s=0.0, main=(0.0, max(last_s, 1.0)), rest=None)
    off_s = last_s if heat.off_s is None else heat.off_s
    low, high = _TAIL_S
    end_s = min(last_s, off_s + min(max(_TAIL_SHARE * (off_s - heat.on_s), low), high))
    main = (heat.on_s, max(end_s, heat.on_s + 1.0))
    rest = (main[1], last_s) if last_s - main[1] > _REST_S else None
    return Windows(origin_s=heat.on_s, main=main, rest=rest)


def curve_of(
    plan: RunPlan,
    windows: Windows,
    steps: Sequence[Step],
    events: Sequence[EventRow],
    read: tuple[Sequence[Stretch], Sequence[Stretch]],
) -> Curve:
    """What is drawn of a run.

    Parameters
    ----------
    plan : RunPlan
        What it followed and predicted.
    windows : Windows
        As `windows_of` chose them.
    steps : sequence of Step
        As `record_steps.steps_of` tells them.
    events : sequence of EventRow
        All of the run.
    read : two sequences of Stretch
        What the probes read in the first window and in the second.
    """
    told = plan.predicted
    columns = (told.time_s, told.probe_low_c, told.probe_c, told.probe_high_c)
    whole = len({len(column) for column in columns}) == 1
    lines = (
        ("early call", plan.early_alarm_c), ("target", plan.target_c), ("limit", plan.limit_c),
    )  # fmt: skip
    return Curve(
        show=plan.show,
        heated=windows.origin_s > 0.0 or any(one.kind == "heat_on" for one in events),
        main=_panel(plan, windows, windows.main, steps=steps, events=events, read=read[0]),
        rest=None
        if windows.rest is None
        else _panel(plan, windows, windows.rest, steps=steps, events=events, read=read[1]),
        band=tuple(zip(*columns, strict=True)) if whole else (),
        lines=tuple(
            (f"{words} {temperature_text(celsius, plan.show)}", celsius)
            for words, celsius in lines
            if celsius > 0.0
        ),
    )


def _panel(
    plan: RunPlan,
    windows: Windows,
    window: tuple[float, float],
    *,
    steps: Sequence[Step],
    events: Sequence[EventRow],
    read: Sequence[Stretch],
) -> Panel:
    begin, end = window
    origin = windows.origin_s
    names = {number: one.name for number, one in enumerate(plan.probes)}
    every_s = windows.every_s(window)
    curves = tuple(
        ProbeCurve(
            name=names.get(number, f"probe {number + 1}"),
            pieces=pieces_of([one for one in read if one.probe == number], every_s, origin,
                           blind_spans(events, number, end)),
        )
        for number in sorted({one.probe for one in read})
    )  # fmt: skip
    blind = blind_spans(events, 0, end)
    marks = tuple(
        Mark(
            at_s=line.at_s - origin, kind=line.kind, words=line.words.partition(":")[0],
            celsius=read_at(read, line.at_s, every_s, blind),
        )
        for step in steps
        for line in step.lines
        if line.kind in ("call", "alarm") and begin <= line.at_s <= end
    )  # fmt: skip
    ticks = tuple(
        Tick(at_s=step.at_s - origin, number=step.number, title=step.title)
        for step in steps
        if begin <= step.at_s < end
    )
    return Panel(begin_s=begin - origin, end_s=end - origin, curves=curves, marks=marks,
                 ticks=ticks)  # fmt: skip
