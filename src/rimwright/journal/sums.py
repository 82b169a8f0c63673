"""Sums over rows, so that what a damaged disk altered is never taken for a measured value.

A database notices a torn page; it does not notice a flipped bit within a number. The sum of
a sample is plain arithmetic that the database itself can do, so that a day of them is looked
through in a fraction of a second. A run's number is left out: an imported run gets another.
"""

from __future__ import annotations

import json
import math
import zlib
from typing import Any

#: The largest prime below 2²⁴: a flipped bit always changes the sum, and it takes 3 bytes.
_PRIME = 16_777_213

#: Finer than any probe, and a hundred degrees still fit a whole number exactly.
_PARTS_OF_A_KELVIN = 1e12

#: Beyond this a reading is no temperature, and the sum's whole numbers would overflow. [degC]
HOTTEST_C = 1e6

#: Letters of a fault that are summed; the column is as wide.
FAULT_LETTERS = 12


def sample_sum(seq: int, at_ms: int, probe: int, celsius: float | None, fault: str | None) -> int:
    """Sum of one sample; `SAMPLE_SUM` is the same in SQL.

    Parameters
    ----------
    seq, at_ms, probe : int
        As in the table. [-], [ms], [-]
    celsius : float or None
        Finite and under `HOTTEST_C`. [degC]
    fault : str or None
        Up to `FAULT_LETTERS` letters.

    Examples
    --------
    >>> sample_sum(1, 100, 0, 21.5, None) == sample_sum(1, 100, 0, 21.5000001, None)
    False
    """
    total = 3 * seq + 5 * at_ms + 7 * probe
    if celsius is None:
        total += 1
    else:
        parts = int(celsius * _PARTS_OF_A_KELVIN)
        total += 11 * int(math.copysign(abs(parts) % _PRIME, parts))
    if fault is not None:
        total += sum(ord(letter) * (13 + place) for place, letter in enumerate(fault))
    return total % _PRIME


_FAULT_SUM = " + ".join(
    f"coalesce(unicode(substr(fault, {place + 1}, 1)), 0) * {13 + place}"
    for place in range(FAULT_LETTERS)
)

#: `sample_sum` of a row of `samples`, for SQLite.
SAMPLE_SUM = (
    "((3 * seq + 5 * at_ms + 7 * probe"
    " + CASE WHEN celsius IS NULL THEN 1"
    f" ELSE 11 * (CAST(celsius * 1e12 AS INTEGER) % {_PRIME}) END"
    f" + CASE WHEN fault IS NULL THEN 0 ELSE {_FAULT_SUM} END"
    f") % {_PRIME} + {_PRIME}) % {_PRIME}"
)


def event_sum(
    seq: int, at_s: float, wall_s: float, *, kind: str, data: Any, key: str | None
) -> int:
    """Sum of one event, of its data as they read, not as they were spelled.

    Examples
    --------
    >>> event_sum(1, 0.0, 0.0, kind="held", data={"words": "glue"}, key=None)
    885663588
    """
    text = json.dumps([seq, float(at_s), float(wall_s), kind, data, key or ""], sort_keys=True)
    return zlib.crc32(text.encode())
