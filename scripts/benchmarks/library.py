"""The warm library: a plan from a design, and its stages."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

from rimwright.instrument.design_files.load import load_design
from rimwright.instrument.drawings import reading
from rimwright.instrument.outlining import outline_of
from rimwright.plan import make_plan
from rimwright.sheets.write import write_sheets
from rimwright.sides.develop import develop_sides
from scripts.benchmarks.timing import Figure, timed

TERN_LANE = Path("examples/tern-lane")


def figures() -> Iterator[Figure]:
    """Design to plan for the three models; sheets apart."""
    for model in ("wren", "curlew", "plover"):
        path = TERN_LANE / f"{model}.rim.toml"
        limit = 100 if model == "wren" else None
        yield timed(
            f"{model.capitalize()}: design file to plan, warm, without sheets",
            lambda path=path: make_plan(load_design(path)),
            limit_ms=limit,
        )
    design = load_design(TERN_LANE / "wren.rim.toml")

    def anew() -> object:
        reading._read.cache_clear()
        return make_plan(design)

    yield timed("Wren: the same, its drawing read anew", anew)

    def read() -> object:
        reading._read.cache_clear()
        return outline_of(design)

    yield timed("Wren: drawing to outline, through the guarded reader", read)
    outline = outline_of(design)
    yield timed("Wren: both sides developed", lambda: develop_sides(outline, design, 0.0021))
    plan = make_plan(design)
    with tempfile.TemporaryDirectory() as folder:
        yield timed("Wren: all sheets", lambda: write_sheets(plan, Path(folder)), runs=3)
