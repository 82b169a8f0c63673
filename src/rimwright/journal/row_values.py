"""What a sample or an event becomes in its table: whatever it holds, it can be kept.

A row that a database refuses would hold up all that wait behind it, so anything it could
refuse is put right here: no number that is none, no letter that no text has, nothing longer
than its column.
"""

from __future__ import annotations

import math
from typing import Any

from rimwright.journal.rows import EventRow, SampleRow
from rimwright.journal.sums import FAULT_LETTERS, HOTTEST_C, event_sum, sample_sum

#: Nested deeper than this, data are kept as text.
_DEEPEST = 20


def sample_values(run: int, row: SampleRow) -> dict[str, Any]:
    """Columns of one sample, with its sum.

    Examples
    --------
    >>> sample_values(3, SampleRow(1, 100, 0, float("nan"), None))["fault"]
    'out of range'
    """
    celsius, fault = row.celsius, row.fault
    if celsius is not None:
        celsius = float(celsius)
        if not math.isfinite(celsius) or abs(celsius) >= HOTTEST_C:
            # A hole is honest; a number that cannot be is not.
            celsius, fault = None, fault or "out of range"
    if fault is not None:
        fault = text(fault, FAULT_LETTERS)
    return {
        "run_id": run,
        "seq": row.seq,
        "at_ms": row.at_ms,
        "probe": row.probe,
        "celsius": celsius,
        "fault": fault,
        "check_sum": sample_sum(row.seq, row.at_ms, row.probe, celsius, fault),
    }


def event_values(run: int, row: EventRow) -> dict[str, Any]:
    """Columns of one event, with its sum.

    Examples
    --------
    >>> event_values(3, EventRow(1, 0.0, 0.0, "held", {"since": float("inf")}))["data"]
    {'since': None}
    """
    data = plain(dict(row.data))
    at_s, wall_s = plain(float(row.at_s)) or 0.0, plain(float(row.wall_s)) or 0.0
    key, kind = text(row.key, 64) or None, text(row.kind, 20)
    return {
        "run_id": run,
        "seq": row.seq,
        "at_s": at_s,
        "wall_s": wall_s,
        "kind": kind,
        "data": data,
        "key": key,
        "device": text(row.device, 200),
        "check_sum": event_sum(row.seq, at_s, wall_s, kind=kind, data=data, key=key),
    }


def text(words: object, most: int | None = None) -> str:
    """Words that every database takes: no zeros, no halves of letters."""
    clean = str(words).replace("\0", "").encode("utf-8", "replace").decode("utf-8")
    return clean if most is None else clean[:most]


def plain(value: Any, depth: int = 0) -> Any:
    """Any value as JSON can hold it; a number that is none becomes None."""
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, int):
        return int(value)
    if isinstance(value, float):
        return float(value) if math.isfinite(value) else None
    if depth < _DEEPEST:
        if isinstance(value, dict):
            return {text(name): plain(one, depth + 1) for name, one in value.items()}
        if isinstance(value, list | tuple):
            return [plain(one, depth + 1) for one in value]
    return text(value)
