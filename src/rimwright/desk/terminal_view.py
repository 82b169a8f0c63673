"""A run as a terminal shows it: the same view as the page, in words and large figures."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from typing import Any

from rich.console import Group, RenderableType
from rich.panel import Panel
from rich.rule import Rule
from rich.text import Text

from rimwright.desk.big_figures import bars, big
from rimwright.live.run_words import wall_text
from rimwright.units import temperature_text, time_text

#: Without news for so long the figures are old. [s]
OLD_S = 2.5
_LOG_LINES = 5


def shown(
    view: Mapping[str, Any],
    curve: Sequence[float | None],
    *,
    at_s: float,
    silent_s: float,
    columns: int,
    said: str = "",
) -> RenderableType:
    """The run now.

    Parameters
    ----------
    view : mapping
        As `live.view` tells it.
    curve : sequence of float or None
        The leading probe's latest readings, evenly in time. [degC]
    at_s : float
        Time in the run now. [s]
    silent_s : float
        Since the server was last heard. [s]
    columns : int
        Of the terminal.
    said : str
        What the last command came to.
    """
    parts: list[RenderableType] = [_head(view)]
    parts += _warnings(view, silent_s, columns)
    parts += _step(view, columns)
    parts += _figures(view, at_s, silent_s)
    parts.append(_curve(view, curve, columns))
    parts += [Text(line, style="dim") for line in _wrapped(view["notices"], columns)]
    following = view["next"]
    if following is not None:
        parts.append(Text(f"Next: {following['title']}. {following['do']}", style="dim"))
    parts.append(Rule(style="dim"))
    parts += [
        Text(f"{wall_text(line['wall_s'])[-5:]}  {line['words']}", style="dim")
        for line in view["log"][-_LOG_LINES:]
    ]
    parts.append(Text(said or KEYS, style="bold" if said else "dim"))
    return Group(*parts)


KEYS = (
    "Enter: step done   h: hold or go on   a: acknowledge   o: heat off   q: leave, the run goes on"
)


def _head(view: Mapping[str, Any]) -> Text:
    run = view["run"]
    practice = "PRACTICE, a model and no probe   " if run["simulated"] else ""
    return Text(
        f"{practice}{run['model']}, {run['side']}   {run['plan']}   run {run['id']}   "
        f"step {view['step']['number']} of {view['step']['of']}",
        style="dim",
    )


def _warnings(view: Mapping[str, Any], silent_s: float, columns: int) -> list[RenderableType]:
    found: list[RenderableType] = []
    if silent_s > OLD_S:
        found.append(
            Panel(f"NO DATA for {silent_s:.0f} s: the server is not heard", style="bold reverse")
        )
    for alarm in view["alarms"]:
        loud = alarm["state"] == "active_unacknowledged"
        words = f"{alarm['title'].upper()}: {alarm['words']}\n{alarm['action']}"
        state = "" if loud else f"\n({alarm['state'].replace('_', ' ')})"
        style = "bold white on red" if loud else "red"
        found.append(Panel(Text(words + state), style=style, width=columns))
    if not view["recording"]["ok"]:
        found.append(Text(f"Not recording: {view['recording']['words']}", style="bold"))
    check = view["check"]
    if check is not None and check["mismatch"]:
        found.append(Panel(Text(check["mismatch"]), style="bold reverse", width=columns))
    return found


def _step(view: Mapping[str, Any], columns: int) -> list[RenderableType]:
    step = view["step"]
    lines: list[RenderableType] = [Text(step["title"], style="bold")]
    lines += [Text(line) for line in textwrap.wrap(step["do"], columns)]
    if view["check"] is not None:
        for question in view["check"]["questions"]:
            if question["blocking"]:
                mark = {"yes": "✓", "no": "✗", None: "?"}[question["answer"]]
                lines += [Text(line) for line in _wrapped([f"{mark} {question['words']}"], columns)]
        lines.append(Text("Answer on the page.", style="dim"))
    if step["watch"]:
        lines += [
            Text(line, style="italic") for line in textwrap.wrap(f"Watch: {step['watch']}", columns)
        ]
    if view["state"] != "running":
        held = view["held"] or {}
        lines.append(Text(f"{view['state'].upper()} {held.get('words', '')}", style="bold"))
    return lines


def _figures(view: Mapping[str, Any], at_s: float, silent_s: float) -> list[RenderableType]:
    lead, show = view["lead"], view["run"]["show"]
    if lead is None or silent_s > OLD_S:
        why = "; ".join(f"{one['name']}: {one['words']}" for one in view["probes"])
        return [Text(""), Text("No reading", style="bold"), Text(why), Text("")]
    celsius = lead["celsius"]
    number = round(1.8 * celsius + 32.0 if show == "inch" else celsius)
    unit = "°F" if show == "inch" else "°C"
    left = view["minutes_left"]
    words = [f"{unit} at the {view['probes'][lead['probe']]['name']}", ""]
    words += [f"target {temperature_text(view['lines']['target_c'], show)}"]
    if left is not None:
        seconds = max(0.0, left["seconds"] - (at_s - view["at_s"]))
        words += ["", f"{time_text(seconds)} {left['to']}"]
    words += [""] * 5
    return [
        Text(""),
        *(
            Text.assemble((row.ljust(30), "bold"), "  ", beside)
            for row, beside in zip(big(str(number)), words, strict=False)
        ),
        Text(""),
    ]


def _curve(view: Mapping[str, Any], curve: Sequence[float | None], columns: int) -> RenderableType:
    known = [one for one in curve if one is not None]
    low = min([20.0, *known])
    high = max([view["lines"]["target_c"] + 10.0, *known])
    return Text(bars(list(curve)[-columns:], low, high))


def _wrapped(texts: Sequence[str], columns: int) -> list[str]:
    return [line for text in texts for line in textwrap.wrap(text, columns)]
