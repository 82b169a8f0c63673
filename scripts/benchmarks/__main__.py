"""Run every benchmark; print a table and write build/bench.json."""

from __future__ import annotations

import json
import platform
import sys
from dataclasses import asdict
from pathlib import Path

from scripts.benchmarks import (
    bend,
    commands,
    compensation,
    curves,
    drawings,
    heat,
    library,
    live,
    odds,
)
from scripts.benchmarks.timing import Figure

ROOT = Path(__file__).resolve().parents[2]
GROUPS = {
    "Commands": commands.figures,
    "Library": library.figures,
    "Curves": curves.figures,
    "Drawings": drawings.figures,
    "Heat": heat.figures,
    "Bend": bend.figures,
    "Compensation": compensation.figures,
    "Odds": odds.figures,
    "Live": live.figures,
}


def row(figure: Figure) -> str:
    """One line of the table."""
    limit = "" if figure.limit is None else f"at most {figure.limit:g}"
    verdict = ""
    if figure.limit is not None:
        verdict = "holds" if figure.value <= figure.limit else "MISSED"
    spread = "" if figure.least is None else f"{figure.least:.1f} to {figure.greatest:.1f}"
    return (
        f"  {figure.name:<58} {figure.value:>9.1f} {figure.unit:<6} {spread:<20} "
        f"{limit:<14} {verdict:<7} {figure.beside}"
    ).rstrip()


def main() -> int:
    """Everything, or the groups named on the command line."""
    wanted = sys.argv[1:] or list(GROUPS)
    measured: dict[str, list[dict[str, object]]] = {}
    missed = 0
    for group in wanted:
        print(group)
        measured[group] = []
        for figure in GROUPS[group]():
            print(row(figure), flush=True)
            measured[group].append(asdict(figure))
            missed += figure.limit is not None and figure.value > figure.limit
    target = ROOT / "build" / "bench.json"
    target.parent.mkdir(exist_ok=True)
    machine = {"python": platform.python_version(), "machine": platform.machine()}
    target.write_text(json.dumps({"machine": machine, "figures": measured}, indent=1))
    print(
        f"\n{'all limits hold' if not missed else f'{missed} limits MISSED'}; {target.name} written"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
