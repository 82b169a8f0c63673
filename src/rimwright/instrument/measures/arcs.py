"""An outline from tangent arcs, the way of compass and straightedge."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from rimwright.curves.chain import Chain
from rimwright.errors import GeometryError
from rimwright.instrument.design import ArcList, ArcStep
from rimwright.instrument.measures.closing import CLOSABLE, CLOSED, DrawnHalf, laid, turned
from rimwright.instrument.measures.limits import millimetres
from rimwright.instrument.outline import Half, Hand, Outline, RimPiece


def outline_from_arcs(arc_list: ArcList) -> Outline:
    """The outline drawn by tangent arcs from the tail seam, each half for itself.

    The first arc sets out from the tail seam straight across the body. A half without
    cutaway must end on the centreline: where it misses by less than 2 mm it is closed by
    the least change of its sweeps, which is said in the assumptions.

    Raises
    ------
    GeometryError
        If an arc lacks its measures, a half crosses itself or ends off the centreline.

    Examples
    --------
    A drum of 200 mm across.

    >>> import math
    >>> half = (ArcStep(radius_m=0.1, sweep_rad=math.pi),)
    >>> round(outline_from_arcs(ArcList(bass=half)).length_m, 9)
    0.2
    """
    assumptions: list[str] = []
    bass = _closed(_drawn("bass", arc_list.bass), None, assumptions)
    if arc_list.treble is None:
        treble = replace(bass, hand="treble")
    else:
        across = None if bass.cutaway else bass.end[0]
        treble = _closed(_drawn("treble", arc_list.treble), across, assumptions)
        if bass.cutaway and not treble.cutaway:
            # The half that reaches the centreline says where the body ends.
            assumptions.clear()
            bass = _closed(_drawn("bass", arc_list.bass), treble.end[0], assumptions)
            treble = _closed(_drawn("treble", arc_list.treble), None, assumptions)
    ends = [half.end[0] for half in (bass, treble) if not half.cutaway]
    length = ends[0] if ends else max(bass.end[0], treble.end[0])
    return Outline(
        bass=_half(bass), treble=_half(treble), length_m=length, assumptions=tuple(assumptions)
    )


def _drawn(hand: Hand, steps: tuple[ArcStep, ...]) -> DrawnHalf:
    """The arcs of a half, laid end to end on the bass side."""
    if not steps:
        raise _refuse(hand, "no arcs", "one at least", "list the arcs from the tail seam on")
    curvatures, lengths, corners = [], [], []
    for number, step in enumerate(steps, start=1):
        curvature, length = _measures(hand, number, step)
        curvatures.append(curvature)
        lengths.append(length)
        corners.append(step.corner_rad or 0.0)
    if corners[0] or sum(corner != 0.0 for corner in corners) > 1:
        raise _refuse(
            hand,
            "a corner at the tail seam" if corners[0] else "more than one corner",
            "one corner at most, at the tip of a pointed cutaway",
            "take corner_rad from the other arcs",
        )
    return laid(DrawnHalf(hand, (), tuple(corners)), curvatures, lengths)


def _measures(hand: Hand, number: int, step: ArcStep) -> tuple[float, float]:
    """Curvature and length of one step."""
    given = [m for m in (step.radius_m, step.sweep_rad, step.length_m, step.corner_rad) if m]
    if not all(np.isfinite(given)) or step.radius_m == 0.0:
        raise _refuse(
            hand,
            f"arc {number} with radius 0 or a measure that is no number",
            "a radius in mm or inches, or none for a straight",
            f"mend arc {number}",
        )
    if step.radius_m is None:
        if step.length_m is None or step.length_m <= 0.0 or step.sweep_rad is not None:
            raise _refuse(
                hand,
                f"straight {number} without a length of its own",
                "a length above 0 and no sweep",
                f"give straight {number} a length",
            )
        return 0.0, step.length_m
    sweep = step.sweep_rad
    if step.length_m is not None and sweep is None:
        sweep = step.length_m / abs(step.radius_m)
    elif step.length_m is not None:
        sweep = None
    if sweep is None or not 0.0 < sweep < 2.0 * np.pi:
        raise _refuse(
            hand,
            f"arc {number} without a sweep that can be",
            "either a sweep or a length, above 0 and less than a full turn",
            f"give arc {number} one of them",
        )
    return 1.0 / step.radius_m, abs(step.radius_m) * sweep


def _closed(half: DrawnHalf, across: float | None, assumptions: list[str]) -> DrawnHalf:
    """The half ended on the centreline, at station `across` if that is known already."""
    _check_crossing(half)
    x, y = half.end
    if half.cutaway:
        if y > 0.0:
            raise _refuse(
                half.hand,
                f"a cutaway that ends {millimetres(y)} across the centreline",
                "its own side of it",
                "make the last arcs shorter",
            )
        return half
    miss_x = 0.0 if across is None else x - across
    miss = float(np.hypot(miss_x, y))
    where = f"at x = {millimetres(x)}, after {len(half.arcs)} arcs"
    if miss <= CLOSED:
        return half
    far = (
        f"{millimetres(abs(y))} {'short of' if y < 0 else 'across'} the centreline"
        if across is None or abs(y) > abs(miss_x)
        else f"{millimetres(abs(miss_x))} {'beyond' if miss_x > 0 else 'short of'} the other half"
    )
    refused = _refuse(
        half.hand,
        f"an end {far}, {where}",
        f"an end on the centreline within {millimetres(CLOSABLE)}",
        "check the sweeps, which should turn by 180° in all",
    )
    if miss > CLOSABLE:
        raise refused
    closed, most = turned(half, across)
    if closed is None:
        raise refused
    assumptions.append(
        f"the {half.hand} half ended {far} and was closed by changing its sweeps by "
        f"{np.degrees(most):.3f}° at most"
    )
    return closed


def _check_crossing(half: DrawnHalf) -> None:
    """Refuse a half that crosses itself."""
    import shapely

    points = np.round(Chain(half.arcs).points(1e-4), 9)
    line = shapely.LineString(points)
    if not (line.is_simple or line.is_ring):
        raise _refuse(
            half.hand,
            "arcs that cross each other",
            "an outline that never crosses itself",
            "check radii and sweeps",
        )


def _half(drawn: DrawnHalf) -> Half:
    """The half in body coordinates."""
    corner = next((i for i, turn in enumerate(drawn.corners) if turn), None)
    parts = [drawn.arcs] if corner is None else [drawn.arcs[:corner], drawn.arcs[corner:]]
    chains = [Chain(part) for part in parts]
    if drawn.hand == "treble":
        chains = [chain.mirrored() for chain in chains]
    return Half(
        drawn.hand,
        RimPiece(drawn.hand, "main", chains[0]),
        RimPiece(drawn.hand, "return", chains[1]) if corner is not None else None,
        cutaway="pointed" if corner is not None else "rounded" if drawn.cutaway else "none",
    )


def _refuse(hand: Hand, found: str, expected: str, step: str) -> GeometryError:
    return GeometryError(found, expected, step, where=f"outline by arcs, {hand} half")
