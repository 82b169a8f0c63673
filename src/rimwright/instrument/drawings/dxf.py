"""A DXF file as a sheet of strokes, by ezdxf; blocks are laid out within limits."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from rimwright.errors import DrawingError
from rimwright.instrument.drawings.convert import (
    arc_segments,
    ellipse_segments,
    polyline_segments,
    spline_segments,
)
from rimwright.instrument.drawings.dxf_file import DASHED, dashed_layers, open_dxf, unit_of
from rimwright.instrument.drawings.limits import (
    DEEPEST_NESTING,
    MOST_CONTROL_POINTS,
    MOST_ENTITIES,
    MOST_SEGMENTS,
    check_count,
)
from rimwright.instrument.drawings.strokes import Point, Segment, Sheet, Stroke

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document


def read_dxf(path: Path) -> Sheet:
    """Every line of the model space as strokes, blocks laid out.

    Raises
    ------
    DrawingError
        If the file is no DXF, is damaged past repair or passes a limit.
    """
    document = open_dxf(path)
    space = document.modelspace()
    counts = _counts(document, path.name)
    laid_out = sum(counts.get(name, 0) * times for name, times in _inserts(space))
    check_count(len(space) + laid_out, MOST_ENTITIES, "entities", path.name)
    hidden = {layer.dxf.name for layer in document.layers if layer.is_off() or layer.is_frozen()}
    dashed = dashed_layers(document)
    strokes: list[Stroke] = []
    others: Counter[str] = Counter()
    total = 0
    for entity, layer, words in _laid_out(space, 0, "", ""):
        convert = _CONVERTERS.get(entity.dxftype())
        if convert is None:
            others[entity.dxftype()] += 1
            continue
        if layer in hidden or entity.dxf.get("invisible", 0):
            others["hidden " + entity.dxftype()] += 1
            continue
        try:
            segments = tuple(convert(entity))
        except (ValueError, TypeError, ZeroDivisionError, AttributeError, IndexError):
            others["damaged " + entity.dxftype()] += 1
            continue
        total += len(segments)
        check_count(total, MOST_SEGMENTS, "lines, arcs and splines", path.name)
        if segments:
            name = entity.dxf.get("handle") or ""
            linetype = str(entity.dxf.get("linetype", "BYLAYER")).upper()
            strokes.append(
                Stroke(
                    segments=segments,
                    kind=entity.dxftype(),
                    layer=layer,
                    name=name,
                    words=f"{layer} {words}".lower(),
                    dashed=layer in dashed
                    if linetype == "BYLAYER"
                    else any(word in linetype for word in DASHED),
                )
            )
    if not strokes:
        _refuse_empty(document, path.name)
    unit, said = unit_of(document)
    return Sheet(strokes=tuple(strokes), unit_m=unit, unit_said=said, others=others)


def _refuse_empty(document: Document, where: str) -> None:
    """Refuse a drawing whose lines all lie on its sheets, where they may be at any scale."""
    for layout in document.layouts:
        lines = sum(e.dxftype() in _CONVERTERS for e in layout) if not layout.is_modelspace else 0
        if lines:
            raise DrawingError(
                f"no line in the model, but {lines} in paper space on the sheet '{layout.name}'",
                "the outline at full size in model space",
                "copy it into the model at full size and save again",
                where=where,
            )


def _inserts(entities: Any) -> list[tuple[str, int]]:
    """Names of the blocks inserted, and how often each insert repeats in rows and columns."""
    return [(str(e.dxf.name), max(1, int(e.mcount))) for e in entities.query("INSERT")]


def _counts(document: Document, where: str) -> dict[str, int]:
    """How many entities each block lays out, blocks within it included."""
    inside: dict[str, tuple[int, list[tuple[str, int]]]] = {}
    for block in document.blocks:
        inserts = _inserts(block)
        inside[block.name] = (len(block), inserts)
    counts: dict[str, int] = {}

    def count(name: str, above: tuple[str, ...]) -> int:
        if name in above:
            raise DrawingError(
                f"block '{name}' that holds itself",
                "blocks within blocks, none within itself",
                "explode the blocks and save again",
                where=where,
            )
        check_count(len(above), DEEPEST_NESTING, "blocks within blocks", where)
        if name not in counts:
            own, inserts = inside.get(name, (0, []))
            counts[name] = 1 + own + sum(n * count(child, (*above, name)) for child, n in inserts)
        return counts[name]

    for name in inside:
        count(name, ())
    return counts


def _laid_out(entities: Any, depth: int, layer: str, words: str) -> Iterator[tuple[Any, str, str]]:
    """Every entity with its layer and the names of the blocks it lies in."""
    for entity in entities:
        # What lies on layer 0 of a block takes the layer the block is inserted on.
        own = str(entity.dxf.get("layer", "0")) if entity.dxf.is_supported("layer") else "0"
        own = layer if own == "0" and depth else own
        if entity.dxftype() != "INSERT":
            yield entity, own, words
            continue
        check_count(depth, DEEPEST_NESTING, "blocks within blocks", "")
        named = f"{words} {entity.dxf.name}"
        for single in entity.multi_insert() if entity.mcount > 1 else [entity]:
            yield from _laid_out(single.virtual_entities(), depth + 1, own, named)


def _flips(entity: Any) -> bool:
    """Whether the entity is drawn on the paper's underside (extrusion downwards)."""
    return bool(entity.dxf.hasattr("extrusion") and entity.dxf.extrusion.z < 0.0)


def _line(entity: Any) -> list[Segment]:
    start, end = entity.dxf.start, entity.dxf.end
    return polyline_segments([(start.x, start.y), (end.x, end.y)])


def _arc(entity: Any) -> list[Segment]:
    if entity.dxftype() == "CIRCLE":
        first, sweep = 0.0, 2.0 * math.pi
    else:
        first = math.radians(entity.dxf.start_angle)
        sweep = math.radians((entity.dxf.end_angle - entity.dxf.start_angle) % 360.0)
        sweep = sweep or 2.0 * math.pi
    x, y, r = entity.dxf.center.x, entity.dxf.center.y, abs(entity.dxf.radius)
    if not r > 0.0 or not all(map(math.isfinite, (x, y, r, first, sweep))):
        return []
    ends = [(x + r * math.cos(a), y + r * math.sin(a)) for a in (first, first + sweep)]
    segments = list(arc_segments(ends[0], ends[1], sweep, (x, y)))
    return [_mirrored(segment) for segment in segments] if _flips(entity) else segments


def _mirrored(segment: Segment) -> Segment:
    """A flat segment seen from the underside: x turned to -x."""
    (x0, y0), (x1, y1) = segment.start, segment.end
    return Segment((-x0, y0), (-x1, y1), -segment.bulge)


def _ellipse(entity: Any) -> list[Segment]:
    tool = entity.construction_tool()
    first, last = tool.start_param, tool.end_param
    last = first + ((last - first) % (2.0 * math.pi) or 2.0 * math.pi)
    centre, major, minor = tool.center, tool.major_axis, tool.minor_axis
    return ellipse_segments(
        (centre.x, centre.y), (major.x, major.y), (minor.x, minor.y), first, last
    )


def _light_polyline(entity: Any) -> list[Segment]:
    rows = [(x, y, bulge) for x, y, _, _, bulge in entity.get_points()]
    return _bulged(rows, bool(entity.closed), _flips(entity))


def _polyline(entity: Any) -> list[Segment]:
    if not (entity.is_2d_polyline or entity.is_3d_polyline):
        raise ValueError("a mesh")
    # Flag 16 marks the frame of a spline-fitted polyline, which is not on the curve.
    vertices = [v for v in entity.vertices if not v.dxf.get("flags", 0) & 16]
    rows = [(v.dxf.location.x, v.dxf.location.y, v.dxf.get("bulge", 0.0)) for v in vertices]
    return _bulged(rows, bool(entity.is_closed), entity.is_2d_polyline and _flips(entity))


def _bulged(rows: list[tuple[float, float, float]], closed: bool, flips: bool) -> list[Segment]:
    sign = -1.0 if flips else 1.0
    points: list[Point] = [(sign * float(x), float(y)) for x, y, _ in rows]
    return polyline_segments(points, [sign * float(b) for _, _, b in rows], closed=closed)


def _spline(entity: Any) -> list[Segment]:
    count = max(len(entity.control_points), len(entity.fit_points))
    if count > MOST_CONTROL_POINTS:
        raise ValueError("too many control points")
    tool = entity.construction_tool()
    control = np.array([(p.x, p.y) for p in tool.control_points], dtype=np.float64)
    weights = np.array(tool.weights(), dtype=np.float64) if tool.is_rational else None
    return spline_segments(np.array(tool.knots()), control, tool.degree, weights)


_CONVERTERS: dict[str, Callable[[Any], list[Segment]]] = {
    "LINE": _line,
    "ARC": _arc,
    "CIRCLE": _arc,
    "ELLIPSE": _ellipse,
    "LWPOLYLINE": _light_polyline,
    "POLYLINE": _polyline,
    "SPLINE": _spline,
}
