"""Rows for tests of the journal: what each sample holds follows from its number."""

from __future__ import annotations

import contextlib
import time
from collections.abc import Callable, Iterator
from typing import Any

from rimwright.journal.engine import Journal
from rimwright.journal.runs import EventRow, NewRun, SampleRow
from rimwright.journal.writer import Writer


def new_run(**changes: object) -> NewRun:
    values: dict[str, object] = {
        "model": "Wren", "plan_code": "WREN-721560", "hand": "treble", "piece": "main",
        "simulated": True, "begun_wall_s": 1_764_000_000.0, "run_plan": {"steps": ["mist", "°C"]},
        "plan_document": {"format": "plan"}, "design_text": 'name = "Wren"\n',
        "model_version": "0.1", "prediction": {"to_target_s": [60.0, 50.0, 80.0]},
        "blanket": "914 × 152 mm, 5.0 W/in²",
        "probe_settings": [{"kind": "serial", "port": "/dev/ttyUSB0"}],
        "probes": [
            {"name": "waist", "place": "between slat and blanket", "kind": "serial"},
            {"name": "horn", "place": "under the wrap", "kind": "model"},
        ],
    }  # fmt: skip
    return NewRun(**{**values, **changes})  # type: ignore[arg-type]


def put(journal: Journal, run: int, samples=(), events=()) -> None:
    writer = Writer(journal)
    writer.put(run, samples, events)
    assert writer.flush(20.0)
    writer.stop()


def sample(seq: int) -> SampleRow:
    """The sample of that number: ten a second, every hundredth a fault."""
    if seq % 100 == 99:
        return SampleRow(seq, 100 * seq, 0, None, "open")
    return SampleRow(seq, 100 * seq, seq % 2, 20.0 + (seq * 7919 % 16_000) / 100.0 + 1e-3)


def event(seq: int) -> EventRow:
    """The event of that number."""
    return EventRow(seq, float(seq), 1.764e9 + seq, "note", {"words": f"mark {seq}"}, f"k{seq}")


def soon(true: Callable[[], object], limit_s: float = 10.0) -> float:
    """How long until something holds; a failure past the limit. [s]"""
    began = time.monotonic()
    while not true():
        assert time.monotonic() - began < limit_s, f"not within {limit_s} s"
        time.sleep(0.01)
    return time.monotonic() - began


@contextlib.contextmanager
def writing(journal: Journal, **options: Any) -> Iterator[Writer]:
    """A writer that ends with the block."""
    writer = Writer(journal, **options)
    try:
        yield writer
    finally:
        writer.stop()
