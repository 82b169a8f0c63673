"""An SVG file as a sheet of strokes, by svgelements; repeated use is counted beforehand."""

from __future__ import annotations

import io
import math
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import numpy as np

from rimwright.instrument.drawings.convert import arc_segments, bezier_segments, ellipse_segments
from rimwright.instrument.drawings.limits import (
    DEEPEST_NESTING,
    MOST_ENTITIES,
    MOST_SEGMENTS,
    check_count,
)
from rimwright.instrument.drawings.strokes import Point, Segment, Sheet, Stroke
from rimwright.instrument.drawings.svg_guard import parsed, shapes_drawn, unreadable

_LABEL = "{http://www.inkscape.org/namespaces/inkscape}label"
_MODE = "{http://www.inkscape.org/namespaces/inkscape}groupmode"
_LENGTH = re.compile(
    r"^\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(mm|cm|in|pt|pc|q)\s*$", re.I
)
_METRES = {"mm": 1e-3, "cm": 1e-2, "in": 0.0254, "pt": 0.0254 / 72, "pc": 0.0254 / 6, "q": 2.5e-4}
#: CSS pixels are a 96th of an inch.
_PIXEL_M = 0.0254 / 96


def read_svg(path: Path) -> Sheet:
    """Every line of the picture as strokes, in its user units with y turned up.

    Raises
    ------
    DrawingError
        If the file is no SVG, or its shapes repeat past the limits.
    """
    import svgelements

    root = parsed(path)
    check_count(shapes_drawn(root, path.name), MOST_ENTITIES, "shapes", path.name)
    unit, said = _unit(root)
    for key in ("width", "height", "viewBox", "preserveAspectRatio"):
        root.attrib.pop(key, None)
    try:
        parse: Any = svgelements.SVG.parse
        picture = parse(io.BytesIO(ElementTree.tostring(root)), reify=True)
    except Exception as error:  # damaged numbers raise nearly anything
        raise unreadable(path) from error
    others: Counter[str] = Counter()
    strokes: list[Stroke] = []
    total = 0
    for node, layer, words in _walk(picture, "", "", 0):
        for run in _runs(node, others):
            total += len(run)
            check_count(total, MOST_SEGMENTS, "lines, arcs and splines", path.name)
            strokes.append(
                Stroke(
                    segments=tuple(run),
                    kind=type(node).__name__.lower(),
                    layer=layer,
                    name=str(node.id or ""),
                    words=f"{words} {_named(node)}".lower(),
                    dashed=node.values.get("stroke-dasharray", "none") not in ("none", "", "0"),
                )
            )
    guess = None if unit else (_PIXEL_M, "CSS pixels, 96 to the inch")
    return Sheet(
        strokes=tuple(strokes), unit_m=unit, unit_said=said, others=others, unit_guess=guess
    )


def _unit(root: ElementTree.Element) -> tuple[float | None, str]:
    """Metres of one user unit, and what the file says."""
    sizes = [_LENGTH.match(root.get(key, "")) for key in ("width", "height")]
    metres = [float(m[1]) * _METRES[m[2].lower()] if m else None for m in sizes]
    view = [float(v) for v in re.findall(r"[-+.\deE]+", root.get("viewBox", "")) if _is_number(v)]
    scales = []
    if len(view) == 4:
        scales = [m / v for m, v in zip(metres, view[2:], strict=True) if m and m > 0 and v > 0]
    elif any(metres):
        return _PIXEL_M, "CSS pixels on a sheet of known size"
    if scales:
        return min(scales), f"{root.get('width')} wide"
    return None, "the file has no width or height in mm, cm or in"


def _is_number(text: str) -> bool:
    try:
        return math.isfinite(float(text))
    except ValueError:
        return False


def _named(node: Any) -> str:
    own = (
        node.id,
        node.values.get(_LABEL) if _LABEL in _own(node) else None,
        node.values.get("class"),
    )
    return " ".join(str(word) for word in own if word)


def _own(node: Any) -> dict[str, Any]:
    """Attributes the element carries itself, without those of its groups."""
    own = node.values.get("attributes")
    return own if isinstance(own, dict) else {}


def _walk(node: Any, layer: str, words: str, depth: int) -> Iterator[tuple[Any, str, str]]:
    """Every shape with its layer (the nearest named group) and the words around it."""
    check_count(depth, 10 * DEEPEST_NESTING, "groups within groups", "")
    if isinstance(node, list):
        group: Any = node
        own = _named(group)
        name = str(_own(group).get(_LABEL) or group.id or "")
        for child in node:
            yield from _walk(child, name or layer, f"{words} {own}", depth + 1)
    else:
        yield node, layer, words


def _runs(node: Any, others: Counter[str]) -> Iterator[list[Segment]]:
    """The unbroken stretches of one shape."""
    import svgelements

    SvgPath: Any = svgelements.Path
    if not isinstance(node, svgelements.Shape):
        others[type(node).__name__.lower()] += 1
        return
    values: dict[str, Any] = node.values or {}
    if values.get("display") == "none" or values.get("visibility") in ("hidden", "collapse"):
        others["hidden " + type(node).__name__.lower()] += 1
        return
    try:
        path = abs(node) if isinstance(node, SvgPath) else abs(SvgPath(node))
        runs = list(_stretches(path))
    except (ValueError, TypeError, ZeroDivisionError, AttributeError, IndexError, OverflowError):
        others["damaged " + type(node).__name__.lower()] += 1
        return
    yield from (run for run in runs if run)


def _stretches(path: Any) -> Iterator[list[Segment]]:
    from svgelements import Arc, CubicBezier, Move, QuadraticBezier

    run: list[Segment] = []
    for part in path:
        if isinstance(part, Move):
            yield run
            run = []
            continue
        if part.start is None or part.end is None:
            continue
        start, end = _up(part.start), _up(part.end)
        if not all(map(math.isfinite, (*start, *end))):
            raise ValueError("a coordinate that is no number")
        if isinstance(part, Arc):
            run.extend(_arc(part, start, end))
        elif isinstance(part, CubicBezier):
            run.extend(_bezier(part.start, part.control1, part.control2, part.end))
        elif isinstance(part, QuadraticBezier):
            run.extend(_bezier(part.start, part.control, part.end))
        elif start != end:  # Line and Close
            run.append(Segment(start, end))
    yield run


def _up(point: Any) -> Point:
    return float(point.x), -float(point.y)


def _bezier(*points: Any) -> list[Segment]:
    control = np.array([_up(point) for point in points])
    if not np.isfinite(control).all():
        raise ValueError("a coordinate that is no number")
    return bezier_segments(control)


def _arc(part: Any, start: Point, end: Point) -> list[Segment]:
    """An elliptical arc; equal radii keep the file's ends and turn exactly."""
    rx, ry = float(part.rx), float(part.ry)
    # The eye sees y up, so a turn clockwise in the file is one counter-clockwise here.
    turn = -float(part.sweep)
    centre = _up(part.center)
    if not all(map(math.isfinite, (rx, ry, turn, *centre))):
        raise ValueError("an arc without numbers")
    if abs(rx - ry) <= 1e-9 * max(rx, ry):
        return list(arc_segments(start, end, turn, centre))
    tilt = float(part.get_rotation())
    major = (rx * math.cos(tilt), -rx * math.sin(tilt))
    minor = (-ry * math.sin(tilt), -ry * math.cos(tilt))
    first = float(part.get_start_t())
    return ellipse_segments(centre, major, minor, first, first - turn)
