"""Whole commands, as a maker waits for them."""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from scripts.benchmarks.timing import Figure, commanded

RIMWRIGHT = str(Path(sys.executable).parent / "rimwright")
WREN = "examples/tern-lane/wren.rim.toml"


def figures() -> Iterator[Figure]:
    """Start-up, a cold plan, a cold plan with every sheet."""
    python = sys.executable
    yield commanded("python alone (for comparison)", [python, "-c", "pass"])
    yield commanded("import rimwright", [python, "-c", "import rimwright"], limit_ms=200)
    yield commanded("rimwright --help", [RIMWRIGHT, "--help"], limit_ms=400)
    with tempfile.TemporaryDirectory() as folder:
        yield commanded(
            "rimwright plan Wren, JSON only, cold",
            [RIMWRIGHT, "plan", WREN, "--json-only", "--no-odds", "-o", folder],
            limit_ms=1500,
        )
        yield commanded(
            "rimwright plan Wren with its odds, JSON only, cold",
            [RIMWRIGHT, "plan", WREN, "--json-only", "-o", folder],
            limit_ms=3000,
        )
        yield commanded(
            "rimwright plan Wren, all sheets, cold",
            [RIMWRIGHT, "plan", WREN, "--no-odds", "-o", folder],
            limit_ms=4000,
        )
