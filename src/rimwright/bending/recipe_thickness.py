"""The first step of the recipe: how thick, and where thinner, on the flat wood."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from rimwright.bending.bench import Bench
from rimwright.bending.results import Step
from rimwright.sides.pattern import SidePattern

#: Evenness asked of a side along its length; common practice, no source. [m]
_EVEN_M = 0.0001


def thickness_step(bench: Bench) -> Step:
    """Bring to thickness: every piece, then the zones to thin, measured on the wood."""
    sizes = {_name(side): bench.length(side.thickness_m, fine=True) for side in bench.sides}
    alike = len(set(sizes.values())) == 1
    told = (
        f"all pieces to {next(iter(sizes.values()))}"
        if alike
        else ", ".join(f"the {name} to {size}" for name, size in sizes.items())
    )
    dust = (
        (f"{bench.wood.sensitiser[:1].upper()}{bench.wood.sensitiser[1:]}.",)
        if bench.wood is not None and bench.wood.sensitiser
        else ()
    )
    return Step(
        key="thickness",
        title="Bring to thickness",
        do=f"Sand {told}.{''.join(_thinned(bench))}",
        watch="callipers at every mark: even within "
        f"{bench.length(_EVEN_M, fine=True)} along the side",
        why="strain at the face grows with thickness; an uneven side bends where it is thin",
        cautions=dust,
    )


def _name(side: SidePattern) -> str:
    return f"{side.rim.hand} {'return' if side.rim.name == 'return' else 'side'}"


def _thinned(bench: Bench) -> Iterator[str]:
    """A sentence for each stretch to thin; the wood lies flat, so its middle line counts."""
    mains = {side.rim.hand: side.rim.length for side in bench.sides if side.rim.name == "main"}
    for zone in bench.design.sides.thinned:
        for side in bench.sides:
            if zone.hand not in (side.rim.hand, "both"):
                continue
            before = mains[side.rim.hand] if side.rim.name == "return" else 0.0
            ends = np.clip([zone.from_m - before, zone.to_m - before], 0.0, side.rim.length)
            if ends[1] <= ends[0]:
                continue
            wood = ends - 0.5 * side.thickness_m * side.rim.turn_to(ends)
            start = "tail seam" if side.rim.name == "main" else "horn tip"
            yield (
                f" Thin the {_name(side)} to {bench.length(zone.thickness_m, fine=True)} from "
                f"{bench.length(float(wood[0]))} to {bench.length(float(wood[1]))} on the wood, "
                f"measured from the {start}, run out gently at both ends."
            )
