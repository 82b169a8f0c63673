"""Drawings of many entities: time, and how it grows."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

import ezdxf
import numpy as np

from rimwright.instrument.design import Drawing
from rimwright.instrument.drawings import reading
from scripts.benchmarks.timing import Figure, timed


def crowded(path: Path, entities: int) -> None:
    """The Wren's drawing in a crowd of lines, circles and text, `entities` in all."""
    document = ezdxf.readfile("tests/cases/wren-drawn.dxf")
    space = document.modelspace()
    random = np.random.default_rng(20261125)
    for i in range(entities - len(space)):
        x, y = random.uniform(-0.6, 0.6, 2) * 1e3
        if i % 3 == 0:
            space.add_circle((x, y), random.uniform(0.5, 4.0))
        elif i % 3 == 1:
            space.add_line((x, y), (x + random.uniform(-20, 20), y + random.uniform(-20, 20)))
        else:
            space.add_arc((x, y), random.uniform(1, 8), 0, random.uniform(20, 300))
    document.saveas(path)


def figures() -> Iterator[Figure]:
    """1,250 to 10,000 entities; beside the DXF library reading the same file alone."""
    times: dict[int, float] = {}
    with tempfile.TemporaryDirectory() as folder:
        for entities in (1250, 2500, 5000, 10000):
            path = Path(folder) / f"{entities}.dxf"
            crowded(path, entities)

            def read(path: Path = path) -> object:
                # A drawing that has not changed is not read again; here it is meant to be.
                reading._read.cache_clear()
                return reading.read_drawing(Drawing(path=path), seen_from="back", player="right")

            figure = timed(
                f"DXF of {entities} entities to outline",
                read,
                runs=3,
                limit_ms=1500 if entities == 5000 else None,
            )
            times[entities] = figure.value
            yield figure
            if entities == 5000:
                yield timed(
                    "  the same file parsed by ezdxf alone",
                    lambda path=path: ezdxf.readfile(path),
                    runs=3,
                    beside="general tool",
                )
    sizes = np.log(list(times))
    slope = float(np.polyfit(sizes, np.log(list(times.values())), 1)[0])
    yield Figure(name="growth with entities (1 is linear)", value=slope, unit="power", limit=1.2)
