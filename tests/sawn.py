"""The given bodies and what is sawn for them: for tests of the tooling."""

import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
from shapely import Polygon

from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.instrument.design import (
    Design,
    Drawing,
    Ends,
    OutlineSource,
    Plate,
    Plates,
)
from rimwright.instrument.outline import Half, Outline, RimPiece
from rimwright.tooling.bundle import SideSize
from rimwright.tooling.design_tooling import design_tooling

CASES = Path(__file__).parent / "cases"
SIZE = SideSize(thickness_m=0.0021, width_m=0.110)
#: Half of the default stack that lies between form and side, and side and ram. [m]
BETWEEN, OUTSIDE = 0.00035, 0.0022


def chain_of(path: str) -> Chain:
    """Arcs of an SVG path in millimetres, with the drawing's treble side turned to +y."""
    numbers = [float(text) for text in re.findall(r"-?\d+\.?\d*", path)]
    at, arcs = (numbers[0] / 1e3, numbers[1] / 1e3), []
    for i in range(2, len(numbers), 7):
        radius, _, _, _, sweep, x, y = numbers[i : i + 7]
        end = (x / 1e3, y / 1e3)
        half = np.arcsin(np.hypot(end[0] - at[0], end[1] - at[1]) * 500.0 / radius)
        arcs.append(Arc.bulge(at, end, np.tan(half / 2.0) * (1 if sweep else -1)))
        at = end
    return Chain(tuple(arcs)).mirrored()


def outline_of(name: str) -> Outline:
    text = (CASES / f"{name}.svg").read_text()
    found = re.findall(r'<path id="([\w-]+)"[^>]* d="([^"]+)"', text)
    lines = {key: chain_of(path) for key, path in found if "A" in path}
    bass, treble = (RimPiece(h, "main", lines[h]) for h in ("bass", "treble"))
    back = None
    if "treble-return" in lines:
        back = RimPiece("treble", "return", lines["treble-return"])
    kind = "rounded" if back is None else "pointed"
    return Outline(
        bass=Half("bass", bass),
        treble=Half("treble", treble, back, kind),
        length_m=float(lines["bass"].end().position[0, 0]),
    )


def without_cutaway(name: str) -> Outline:
    outline = outline_of(name)
    line = outline.bass.main.chain
    treble = RimPiece("treble", "main", line.mirrored())
    return replace(outline, treble=Half("treble", treble))


def design(**changes) -> Design:
    return Design(
        name="Wren",
        outline=OutlineSource(source=Drawing(path=Path("wren.svg"))),
        plates=Plates(top=Plate(), back=Plate(), depth_tail_m=0.100, depth_neck_m=0.085),
        ends=Ends(
            neck_block_width_m=0.056,
            neck_block_length_m=0.05,
            neck_block_kind="plain",
            tail_block_width_m=0.08,
        ),
        **changes,
    )


def tooling(outline: Outline, size: SideSize = SIZE, **changes):
    sizes = {(rim.hand, rim.name): size for rim in outline.pieces}
    return design_tooling(outline, design(**changes), sizes)


def polygon(part) -> Polygon:
    # The last point is the first again within rounding; shapely closes the ring itself.
    return Polygon(part.outline.points(2e-5)[:-1], [hole.points(1e-4)[:-1] for hole in part.holes])


def sharpest(loop: Chain) -> float:
    """Smallest angle inside the wood at a joint of the loop. [rad]"""
    pieces = (*loop.pieces, loop.pieces[0])
    area = Polygon(loop.points(1e-4)).exterior.is_ccw
    angles = []
    for before, after in pairwise(pieces):
        a = before.at(np.array([before.length])).heading[0]
        b = after.at(np.zeros(1)).heading[0]
        turn = (b - a + np.pi) % (2.0 * np.pi) - np.pi
        angles.append(np.pi - (turn if area else -turn))
    return min(angles)
