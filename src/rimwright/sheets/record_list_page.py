"""The runs of a journal as a page without script."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape
from typing import TYPE_CHECKING
from urllib.parse import urlencode

from rimwright.sheets.record_html import Frame, page
from rimwright.sheets.record_words import clock_text, counted, day_text, zone_text

if TYPE_CHECKING:
    from rimwright.journal.runs import RunLine

#: What the page can be narrowed to: words and query.
CHOICES: tuple[tuple[str, Mapping[str, str]], ...] = (
    ("All", {}),
    ("Real bends", {"simulated": "false"}),
    ("Practice", {"simulated": "true"}),
    ("On now", {"state": "open"}),
    ("Not said yet", {"outcome": "none", "simulated": "false"}),
    ("Sound", {"outcome": "sound"}),
    ("Cracked", {"outcome": "cracked"}),
    ("With an alarm", {"alarm": "any"}),
)


def records_page(
    lines: Sequence[RunLine], frame: Frame, asked: Mapping[str, str], *, more: bool
) -> str:
    """The list of runs, newest first.

    Parameters
    ----------
    lines : sequence of RunLine
        Each becomes a row.
    frame : Frame
        What the page stands in.
    asked : mapping of str to str
        What it was narrowed to.
    more : bool
        There are older ones that fit what was asked.
    """
    narrowed = {key: value for key, value in asked.items() if key != "until"}
    choices = "".join(
        f'<a href="{_address(query)}"{_current(query == narrowed)}>{words}</a>'
        for words, query in CHOICES
    )
    rows = "".join(map(_row, lines))
    if rows:
        head = "".join(
            f'<th scope="col"{f" class={name}" if name else ""}>{words}</th>'
            for words, name in (("run", ""), ("begun", ""), ("side", ""), ("how it came out", ""),
                                ("alarms", "aside"), ("plan", "aside"))
        )  # fmt: skip
        body = f'<table class="runs"><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>'
        zone = escape(zone_text(lines[0].begun_wall_s))
        body += f"<footer><p>Times by the shop computer, {zone}.</p></footer>"
    else:
        body = f"<p>{'No run is like that.' if asked else 'No run is kept yet.'}</p>"
    older = ""
    if more and lines:
        query = {**narrowed, "until": repr(lines[-1].begun_wall_s)}
        older = f'<nav aria-label="Further"><a href="{_address(query)}">Older runs</a></nav>'
    title = "Records" if lines else "Records: none"
    return page(
        title,
        f'<header><h1>Records</h1></header><nav aria-label="Which runs">{choices}</nav>'
        f"{body}{older}",
        frame,
    )


def _address(query: Mapping[str, str]) -> str:
    return escape(f"/records?{urlencode(query)}" if query else "/records")


def _current(here: bool) -> str:
    return ' aria-current="page"' if here else ""


def _row(line: RunLine) -> str:
    side = f"{line.hand} {'return' if line.piece == 'return' else 'side'}"
    practice = " <small>practice</small>" if line.simulated else ""
    state = {"open": "on now", "abandoned": "abandoned"}.get(line.state, "")
    came = line.outcome or ("" if state else "not said yet")
    said = ", ".join(filter(None, (state, came)))
    unsaid = "" if line.outcome else ' class="unsaid"'
    alarms = counted(line.alarms, "alarm") if line.alarms else ""
    return (
        f'<tr><td><a href="/records/{line.id}" aria-label="Run {line.id}">{line.id}</a></td>'
        f"<td>{escape(day_text(line.begun_wall_s))} "
        f"<span>{clock_text(line.begun_wall_s, seconds=False)}</span></td>"
        f"<td>{escape(line.model)}, <span>{escape(side)}</span>{practice}</td>"
        f'<td{unsaid}>{escape(said)}</td><td class="aside">{alarms}</td>'
        f'<td class="aside">{escape(line.plan_code)}</td></tr>'
    )
