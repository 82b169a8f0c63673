"""Records as pages without script: a list, and one run to read and print."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from html import escape
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rimwright.journal.runs import RunLine, RunRecord


def records_page(lines: Sequence[RunLine], version: str) -> str:
    """The list of runs, newest first.

    Parameters
    ----------
    lines : sequence of RunLine
        Each becomes a row.
    version : str
        In the address of the style.
    """
    rows = [
        [
            f'<a href="/records/{line.id}">{line.id}</a>',
            _moment(line.begun_wall_s),
            escape(line.model) + (" (practice)" if line.simulated else ""),
            escape(f"{line.hand} {line.piece}"),
            escape(line.state),
            escape(line.outcome or "not said"),
            str(line.alarms),
        ]
        for line in lines
    ]
    head = ("run", "begun, UTC", "model", "side", "state", "outcome", "alarms")
    body = _table(head, rows) if rows else "<p>No run is kept yet.</p>"
    return _page("Records", body, version)


def record_page(record: RunRecord, version: str) -> str:
    """One run: what it was, how it went, what was said of it.

    Parameters
    ----------
    record : RunRecord
        The run.
    version : str
        In the address of the style.
    """
    ended = "not yet" if record.ended_wall_s is None else _moment(record.ended_wall_s)
    facts = [
        ("Side", f"{record.hand} {record.piece}"),
        ("Plan", record.plan_code),
        ("Probes", "practice: simulated" if record.simulated else _places(record)),
        ("Blanket", record.blanket or "not said"),
        ("Begun, UTC", _moment(record.begun_wall_s)),
        ("Ended, UTC", ended),
        ("State", record.state),
        ("Samples kept", str(record.samples)),
        ("Alarms that moved", str(len(record.alarms))),
        ("Model version", record.model_version),
    ]
    parts = ["<dl>", *(f"<dt>{escape(key)}</dt><dd>{escape(value)}</dd>" for key, value in facts)]
    parts.append("</dl>")
    parts.append(_section("Outcome", [_said(one, ("kind", "place", "face", "words"))
                                      for one in record.outcomes]))  # fmt: skip
    parts.append(_section("Notes", [_said(one, ("words",)) for one in record.notes]))
    pictures = [
        f'<figure><img src="/api/photographs/{int(one["id"])}" alt="{escape(one["words"])}">'
        f"<figcaption>{escape(one['words'])}</figcaption></figure>"
        for one in record.photographs
    ]
    if pictures:
        parts.append(f"<h2>Photographs</h2>{''.join(pictures)}")
    title = f"Run {record.id}: {record.model}, {record.hand} {record.piece}"
    return _page(title, "".join(parts), version)


def _places(record: RunRecord) -> str:
    return ", ".join(f"{one['name']} ({one['place']})" for one in record.probes)


def _section(title: str, said: Iterable[str]) -> str:
    items = [f"<li>{escape(one)}</li>" for one in said]
    return f"<h2>{title}</h2>" + (f"<ul>{''.join(items)}</ul>" if items else "<p>Nothing yet.</p>")


def _said(row: object, keys: tuple[str, ...]) -> str:
    values = row if isinstance(row, dict) else {}
    return ", ".join(str(values[key]) for key in keys if values.get(key))


def _moment(wall_s: float) -> str:
    return datetime.fromtimestamp(wall_s, UTC).strftime("%Y-%m-%d %H:%M")


def _table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    titles = "".join(f"<th>{one}</th>" for one in head)
    body = "".join(f"<tr>{''.join(f'<td>{cell}</td>' for cell in row)}</tr>" for row in rows)
    return f"<div><table><thead><tr>{titles}</tr></thead><tbody>{body}</tbody></table></div>"


def _page(title: str, body: str, version: str) -> str:
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f'<title>{escape(title)}</title><link rel="icon" href="/static/{version}/icon.svg">'
        f'<link rel="stylesheet" href="/static/{version}/tokens.css">'
        f'<link rel="stylesheet" href="/static/{version}/records.css"></head><body>'
        f'<nav><a href="/">Runs that are on</a> <a href="/records">Records</a></nav>'
        f"<main><h1>{escape(title)}</h1>{body}</main></body></html>"
    )
