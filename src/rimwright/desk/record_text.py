"""One record in words for the terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator

from rimwright.desk.words import width
from rimwright.sheets.record_steps import PHASE_TITLES, Step
from rimwright.sheets.record_told import PRACTICE, Told
from rimwright.sheets.record_words import counted, time_text_of, zone_text
from rimwright.units import time_text


def record_text(told: Told) -> str:
    """A run in words: what came of it first, then how.

    Parameters
    ----------
    told : Told
        As the record's page and printout tell it too.
    """
    return "\n".join(_lines(told)).rstrip()


def _lines(told: Told) -> Iterator[str]:
    yield f"Run {told.run}: {told.title}   {told.outcome}"
    about = [told.shop, told.player, f"plan {told.plan_code}", told.state]
    yield ", ".join([*filter(None, about), counted(told.alarms, "alarm")])
    yield told.span
    if told.simulated:
        yield PRACTICE.upper()
    yield ""
    if told.outcomes:
        yield "How it came out (number: as `rimwright outcome --take-back` takes it)"
        yield from _hung((f"{number}:", words) for number, words in told.outcomes)
        yield ""
    if told.compared:
        yield from _compared(told)
    yield from _facts("The side", told.side_facts)
    yield "Step by step"
    clocks = [time_text_of(step.wall_s, told.begun_wall_s) for step in told.steps]
    phase, room = "", max(map(len, clocks), default=0)
    for step in told.steps:
        if step.phase != phase:
            phase = step.phase
            yield f"  {PHASE_TITLES[step.phase]}"
        yield from _step(told, step, room)
    if not told.steps:
        yield "  It was never begun."
    yield ""
    if told.learnt:
        yield "What was learnt"
        yield from _hung(("-", words) for words in told.learnt)
        yield ""
    notes = [*told.notes, *((f"{when}, of the side", words) for when, words in told.side_notes)]
    yield from _facts("Notes", notes)
    if told.pictures:
        named = [(f"{one.id}:", one.words or "without words") for one in told.pictures]
        yield f"{counted(len(told.pictures), 'photograph').capitalize()}, on its page and with -o"
        yield from _hung(named)
        yield ""
    yield from _facts("The bench", told.bench_facts)
    yield f"Times by the shop computer, {zone_text(told.begun_wall_s)}."


def _compared(told: Told) -> Iterator[str]:
    yield "Predicted before, and what came"
    rows = [("", "predicted", "came", "")]
    rows += [(f"  {one.what}", one.predicted, one.came, one.verdict) for one in told.compared]
    wide = [max(len(row[column]) for row in rows) for column in range(3)]
    for row in rows:
        cells = [cell.ljust(room) for cell, room in zip(row[:3], wide, strict=True)]
        yield "   ".join([*cells, row[3]]).rstrip()
    yield ""


def _facts(title: str, facts: Iterable[tuple[str, str]]) -> Iterator[str]:
    pairs = list(facts)
    if not pairs:
        return
    yield title
    yield from _hung((f"{name}:", words) for name, words in pairs)
    yield ""


def _hung(pairs: Iterable[tuple[str, str]]) -> Iterator[str]:
    """What is said to each name, with its further lines under the first."""
    listed = list(pairs)
    room = min(max((len(name) for name, _ in listed), default=0), 26)
    for name, words in listed:
        first = f"  {name.ljust(room)} "
        for number, line in enumerate(words.split("\n")):
            yield from textwrap.wrap(
                line, width(), initial_indent=" " * len(first) if number else first,
                subsequent_indent=" " * (room + 3),
            ) or [first.rstrip()]  # fmt: skip


def _step(told: Told, step: Step, room: int) -> Iterator[str]:
    clock = time_text_of(step.wall_s, told.begun_wall_s)
    took = "" if step.took_s is None else time_text(step.took_s)
    head = f"  {clock:>{room}}  {step.number:>2} {step.title}"
    yield f"{head.ljust(room + 40)} {took}".rstrip()
    for line in step.lines:
        clock = time_text_of(line.wall_s, told.begun_wall_s)
        mark = {"call": ">> ", "alarm": "!! ", "note": "", "other": ""}[line.kind]
        first = f"  {clock:>{room}}     {mark}"
        yield from textwrap.wrap(
            line.words, width(), initial_indent=first, subsequent_indent=" " * len(first)
        )
    if step.more:
        yield f"{' ' * (room + 7)}and {counted(step.more, 'more line')} like these, in an export"
