"""`held_against`: one row of the validation table for each figure compared."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Protocol

import pytest

#: Where the rows of this run are left for `scripts/validation-table`.
ROWS = Path(__file__).parents[2] / "build" / "validation"


class HeldAgainst(Protocol):
    def __call__(
        self,
        quantity: str,
        *,
        source: str,
        printed: float,
        ours: float,
        tolerance: float,
        why: str,
        unit: str = "",
    ) -> None: ...


@pytest.fixture
def held_against(request: pytest.FixtureRequest) -> HeldAgainst:
    """Assert that `ours` is within `tolerance` of `printed`, and keep the row for the docs.

    `source` names the published text, or says *common practice, no source*; `why` says where
    the tolerance comes from.
    """
    rows: list[dict[str, object]] = []

    def check(
        quantity: str,
        *,
        source: str,
        printed: float,
        ours: float,
        tolerance: float,
        why: str,
        unit: str = "",
    ) -> None:
        rows.append(
            {
                "quantity": quantity,
                "source": source,
                "printed": float(printed),
                "ours": float(ours),
                "tolerance": float(tolerance),
                "unit": unit,
                "why": why,
            }
        )
        assert abs(ours - printed) <= tolerance, (
            f"{quantity}: {source} has {printed} {unit}, ours is {ours}, tolerance {tolerance}"
        )

    yield check  # type: ignore[misc]  # pytest understands a generator fixture
    if rows:
        ROWS.mkdir(parents=True, exist_ok=True)
        name = re.sub(r"\W+", "-", request.node.nodeid.rpartition("/")[2])
        (ROWS / f"{name}.json").write_text(json.dumps(rows, ensure_ascii=False), encoding="utf-8")
