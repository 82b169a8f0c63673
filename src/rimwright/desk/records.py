"""The list of runs: what narrows it, and as a table for the terminal."""

from __future__ import annotations

import difflib
from collections.abc import Collection, Sequence
from typing import TYPE_CHECKING, Any

from rimwright.desk.when import moment
from rimwright.errors import JournalError
from rimwright.journal.keeping import HANDS, OUTCOME_KINDS
from rimwright.journal.run_list import RunFilter, RunLine
from rimwright.live.alarms_table import AlarmKey
from rimwright.sheets.record_words import clock_text, date_text, zone_text

if TYPE_CHECKING:
    from rimwright.journal.engine import Journal

STATES = {"on": "open", "open": "open", "ended": "ended", "abandoned": "abandoned"}
_LONGEST_MODEL = 24


def run_filter(
    *,
    model: str | None = None,
    side: str | None = None,
    state: str | None = None,
    outcome: str | None = None,
    alarm: str | None = None,
    since: str | None = None,
    until: str | None = None,
    practice: bool | None = None,
    most: int | None = None,
) -> RunFilter:
    """Which runs, as a maker says it.

    Parameters
    ----------
    model : str, optional
        Any part of the name.
    side : str, optional
        "bass" or "treble".
    state : str, optional
        "on", "ended", "abandoned".
    outcome : str, optional
        A kind of outcome, or "none".
    alarm : str, optional
        Which alarm called, or "any".
    since, until : str, optional
        As `when.moment` reads them; a day counts whole.
    practice : bool, optional
        Only practice, or only real bends.
    most : int, optional
        The newest so many.

    Raises
    ------
    JournalError
        If one of them is none.

    Examples
    --------
    >>> run_filter(outcome="flat-spot", practice=False).outcome
    'flat spot'
    """
    return RunFilter(
        model=model,
        hand=None if side is None else chosen(side, HANDS, "--side"),
        state=None if state is None else STATES[chosen(state, STATES, "--state")],
        outcome=None if outcome is None else chosen(outcome, (*OUTCOME_KINDS, "none"), "--outcome"),
        alarm=None if alarm is None else _alarm(alarm),
        since=None if since is None else moment(since, "beginning", where="--since"),
        until=None if until is None else moment(until, "end", where="--until"),
        simulated=practice,
        limit=most,
    )


def chosen(text: str, choices: Collection[str], where: str) -> str:
    """One of a few words, however it is written.

    Raises
    ------
    JournalError
        If it is none of them.
    """
    said = " ".join(text.lower().replace("-", " ").replace("_", " ").split())
    if said in choices:
        return said
    near = difflib.get_close_matches(said[:40], list(choices), n=1, cutoff=0.5)
    raise JournalError(
        f"'{text:.40}'",
        f"one of {', '.join(choices)}",
        f"did you mean {near[0]}?" if near else "choose one",
        where=where,
    )


def _alarm(text: str) -> str:
    names = {str(key).replace("_", " "): str(key) for key in AlarmKey} | {"any": "any"}
    return names[chosen(text, names, "--alarm")]


def records_of(journal: Journal, filters: RunFilter) -> tuple[RunLine, ...]:
    """The runs that fit, newest first.

    Raises
    ------
    JournalError
        If the journal does not answer.
    """
    from rimwright.journal.runs import run_lines

    return run_lines(journal, filters)


def records_text(lines: Sequence[RunLine], *, narrowed: bool) -> str:
    """The list as a table.

    Parameters
    ----------
    lines : sequence of RunLine
    narrowed : bool
        Whether all were asked for.
    """
    if not lines:
        return "No run is like that." if narrowed else "No run is kept yet."
    rows = [("run", "begun", "model", "side", "how it came out", "alarms")]
    for line in lines:
        piece = " return" if line.piece == "return" else ""
        rows.append(
            (
                str(line.id),
                f"{date_text(line.begun_wall_s)} {clock_text(line.begun_wall_s, seconds=False)}",
                _short(line.model) + (" (practice)" if line.simulated else ""),
                f"{line.hand}{piece}",
                came_out(line),
                str(line.alarms or ""),
            )
        )
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    right = (0, 5)
    told = [
        "   ".join(
            cell.rjust(wide) if column in right else cell.ljust(wide)
            for column, (cell, wide) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    ]
    zone = zone_text(lines[0].begun_wall_s)
    count = "one run" if len(lines) == 1 else f"{len(lines)} runs"
    return "\n".join([*told, "", f"{count}; times in {zone}. One of them: `rimwright record RUN`"])


def came_out(line: RunLine) -> str:
    """How a run came out, or where it is, in a few words.

    Examples
    --------
    >>> from rimwright.journal.run_list import RunLine
    >>> came_out(RunLine(id=1, model="Wren", plan_code="", hand="bass", piece="main",
    ...     simulated=False, state="open", begun_wall_s=0.0, ended_wall_s=None, outcome="",
    ...     alarms=0, samples=0, blanket=""))
    'on now'
    """
    state = {"open": "on now", "abandoned": "abandoned"}.get(line.state, "")
    return ", ".join(filter(None, (state, line.outcome or ("" if state else "not said yet"))))


def _short(name: str) -> str:
    return name if len(name) <= _LONGEST_MODEL else f"{name[: _LONGEST_MODEL - 1]}…"


def records_document(lines: Sequence[RunLine]) -> list[dict[str, Any]]:
    """The list as plain values."""
    from dataclasses import asdict

    return [asdict(line) for line in lines]
