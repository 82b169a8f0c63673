"""A run as a page without script: to be read on any screen, and printed."""

from __future__ import annotations

import base64
from collections.abc import Callable, Mapping
from html import escape
from itertools import groupby

from rimwright.sheets.record_compared import Compared
from rimwright.sheets.record_curve import Curve
from rimwright.sheets.record_html import Frame, bullets, by_itself, facts, lines, page, section
from rimwright.sheets.record_plot import Size, plot
from rimwright.sheets.record_steps import PHASE_TITLES, Line, Step
from rimwright.sheets.record_svg import inline_svg
from rimwright.sheets.record_told import PRACTICE, Told
from rimwright.sheets.record_words import counted, time_text_of, zone_text
from rimwright.units import time_text

#: How a plot is drawn for a large screen and for a telephone. [mm]
_WIDE = Size(width=178.0, height=146.0, letter=2.5)
_NARROW = Size(width=96.0, height=112.0, letter=2.9, narrow=True)
KEY = (
    "Heavy line: the probe. Hatched or shaded: where it was expected before the run, its middle "
    "chain-dashed. Rings: calls. Filled triangles: alarms. A gap is a time without a reading."
)


def record_page(told: Told, frame: Frame, source: Callable[[int], str]) -> str:
    """A run as a page.

    Parameters
    ----------
    told : Told
        The run in words.
    frame : Frame
        What it stands in.
    source : callable
        Address of a photograph by its number.
    """
    kind = "" if told.outcomes else " unsaid"
    head = (
        f"<header><p>Run {told.run}</p><h1>{escape(told.title)}</h1>"
        f"<p>{escape(_about(told))}</p>"
        + (f'<p class="practice"><strong>{PRACTICE}</strong></p>' if told.simulated else "")
        + f'<p class="outcome{kind}">{escape(told.outcome)}</p></header>'
    )
    said = [words for _, words in told.outcomes]
    # A single word stands over everything already.
    came = "" if said == [told.outcome] else section("How it came out", bullets(said))
    body = (
        head
        + '<div class="beside">'
        + section("The curve", _figure(told), "drawing")
        + "<div>"
        + came
        + section("Predicted before, and what came", _compared(told))
        + section("What was learnt", bullets(told.learnt))
        + "</div></div>"
        + section("Notes", _notes(told))
        + section("Photographs", _pictures(told, source))
        + section("Step by step", _steps(told))
        + '<div class="halves">'
        + section("The side", facts(told.side_facts))
        + section("The bench", facts(told.bench_facts))
        + "</div>"
        + f"<footer><p>Times by the shop computer, {escape(zone_text(told.begun_wall_s))}. "
        "It was watched, not switched, by Rimwright.</p></footer>"
    )
    return page(f"Run {told.run}: {told.title}", body, frame)


def record_file(told: Told, style: str, pictures: Mapping[int, bytes]) -> str:
    """A run as one file with its style and photographs in it.

    Parameters
    ----------
    told : Told
    style : str
        Style sheets.
    pictures : mapping of int to bytes
        The photographs by their numbers, as JPEG.
    """

    def source(number: int) -> str:
        return f"data:image/jpeg;base64,{base64.b64encode(pictures[number]).decode('ascii')}"

    return record_page(told, by_itself(style), source)


def _about(told: Told) -> str:
    alarms = counted(told.alarms, "alarm")
    parts = [told.player, f"plan {told.plan_code}", told.span, told.state, alarms]
    return " · ".join([*([told.shop] if told.shop else []), *parts])


def _figure(told: Told) -> str:
    curve = told.curve
    if not curve.main.curves:
        return "<p>No temperature was read in this run.</p>"
    words = curve_words(curve, told.title)
    wide = inline_svg(plot(curve, _WIDE), words, "curve wide")
    narrow = inline_svg(plot(curve, _NARROW), words, "curve narrow")
    return f"<figure>{wide}{narrow}<figcaption>{KEY}</figcaption></figure>"


def curve_words(curve: Curve, title: str) -> str:
    """The curve for who cannot see it."""
    values = [celsius for one in curve.main.curves for piece in one.pieces for _, celsius in piece]
    minutes = time_text(curve.main.end_s - curve.main.begin_s)
    told = f"Curve of {title}: {minutes}, from {min(values):.0f} to {max(values):.0f} °C"
    calls = [f"{one.words} after {time_text(max(one.at_s, 0.0))}" for one in curve.main.marks]
    return f"{told}. " + "; ".join(calls[:12])


def _compared(told: Told) -> str:
    rows = "".join(_row(one) for one in told.compared)
    if not rows:
        return "<p>Nothing was predicted.</p>"
    head = '<tr><th scope="col">figure</th><th scope="col">predicted</th><th scope="col">came</th>'
    return f'<table class="compared"><thead>{head}</tr></thead><tbody>{rows}</tbody></table>'


def _row(one: Compared) -> str:
    mark = {"within": "✓ within", "": ""}.get(one.verdict, one.verdict)
    heed = " heed" if one.verdict == "over the limit" else ""
    verdict = f' <span class="verdict{heed}">{escape(mark)}</span>' if mark else ""
    return (
        f'<tr><th scope="row">{escape(one.what)}</th><td>{escape(one.predicted)}</td>'
        f"<td>{escape(one.came)}{verdict}</td></tr>"
    )


def _notes(told: Told) -> str:
    of_side = [(f"{moment}, of the side", words) for moment, words in told.side_notes]
    return facts([*told.notes, *of_side])


def _pictures(told: Told, source: Callable[[int], str]) -> str:
    figures = "".join(
        f'<figure><img src="{escape(source(one.id))}" width="{one.width_px}" '
        f'height="{one.height_px}" alt="{escape(one.words or f"Photograph {one.id}")}">'
        f"<figcaption>{lines(one.words) or f'Photograph {one.id}'}</figcaption></figure>"
        for one in told.pictures
    )
    return f'<div class="pictures">{figures}</div>' if figures else ""


def _steps(told: Told) -> str:
    if not told.steps:
        return "<p>It was never begun.</p>"
    bodies = []
    for phase, group in groupby(told.steps, key=lambda step: step.phase):
        rows = "".join(_step(step, told.begun_wall_s) for step in group)
        bodies.append(
            f'<tbody><tr class="phase"><th colspan="4" scope="rowgroup">{PHASE_TITLES[phase]}</th>'
            f"</tr>{rows}</tbody>"
        )
    head = "".join(f'<th scope="col">{one}</th>' for one in ("no.", "step", "begun", "took"))
    return f'<table class="steps"><thead><tr>{head}</tr></thead>{"".join(bodies)}</table>'


def _step(step: Step, begun_wall_s: float) -> str:
    took = "" if step.took_s is None else time_text(step.took_s)
    items = "".join(_line(line, begun_wall_s) for line in step.lines)
    if step.more:
        items += f"<li>and {counted(step.more, 'more line')} like these, in an export</li>"
    log = f'<tr class="log"><td></td><td colspan="3"><ul>{items}</ul></td></tr>' if items else ""
    return (
        f'<tr><td>{step.number}</td><th scope="row">{escape(step.title)}</th>'
        f"<td>{time_text_of(step.wall_s, begun_wall_s)}</td><td>{escape(took)}</td></tr>{log}"
    )


def _line(line: Line, begun_wall_s: float) -> str:
    mark = {"call": "Call. ", "alarm": "Alarm. ", "note": "", "other": ""}[line.kind]
    strong = f"<strong>{mark}</strong>" if mark else ""
    return (
        f'<li class="{line.kind}"><time>{time_text_of(line.wall_s, begun_wall_s)}</time> '
        f"{strong}{lines(line.words)}</li>"
    )
