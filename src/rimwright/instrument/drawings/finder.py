"""Which lines of a drawing are the outline of the body, and why the others are not.

The rules, in this order: what the maker selects; what is called an outline or a body over
what is not, and both over what is called a mould, a template, bracing or a binding; then
the greatest area. Only shapes that can be a body, or half of one, stand for election.
"""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from rimwright.errors import DrawingError
from rimwright.instrument.design import Drawing
from rimwright.instrument.drawings.finder_report import what_was_left, what_was_taken
from rimwright.instrument.drawings.finder_shape import Shape, without_axis
from rimwright.instrument.drawings.join import Path, boxes_of, join, size_of, without_doubles
from rimwright.instrument.drawings.strokes import Box, Point, Sheet, Stroke
from rimwright.instrument.outline import Finding

_AXIS = re.compile(r"cent(re|er)|axis|axe\b|mittel|symm|\bcl\b")
_OUTLINE = re.compile(r"outline|body|contour|\brims?\b|outside|\bouter|bass|treble|\bsides?\b")
_NOT_OUTLINE = re.compile(
    r"mou?ld|\bforms?\b|\bjig|templat|caul|offset|brac|strut|\bbars?\b|bind|purf|lining|kerf"
    r"|inside|inner|rosette|hole|\bneck|fret|bridge|guard|\bdim|text|title|border|frame"
    r"|construct|hidden|sheet|board|block"
)
#: Smaller than this share of the largest candidate's area is a part, not a body.
_LEAST_AREA = 0.25
#: Smaller than this share of the longest path is not looked at.
_SMALL = 0.08
#: Coordinates beyond this are none: a kilometre in micrometres.
_FARTHEST = 1e9


@dataclass(frozen=True)
class Found:
    """The outline as drawn: one closed path, one open one, half of one, or two halves."""

    paths: tuple[Path, ...]
    strokes: tuple[Stroke, ...]
    #: Whether one half alone is drawn.
    half: bool
    #: Straight lines that may be the centreline, those called so first.
    axes: tuple[tuple[Point, Point, bool], ...]
    findings: tuple[Finding, ...]
    size: float
    #: Other paths shaped like a body.
    rivals: tuple[Path, ...] = ()

    def words(self, path: Path) -> Counter[str]:
        """The words the drawing has for the strokes of a path, by length of line."""
        words: Counter[str] = Counter()
        for segment, number in zip(path.segments, path.origin, strict=True):
            words[self.strokes[number].words] += max(1, round(1e4 * segment.chord / self.size))
        return words


def find_outline(sheet: Sheet, drawing: Drawing) -> Found:
    """The lines that are the outline of the body.

    Raises
    ------
    DrawingError
        If nothing is selected, or no line can be the outline of a body.
    """
    strokes, findings = _wanted(sheet, drawing)
    strokes, boxes, wild = _of_this_world(strokes, drawing)
    findings.extend(wild)
    size = size_of(boxes)
    numbers, doubles = without_doubles(strokes, boxes, size)
    if doubles:
        findings.append(Finding(f"{doubles} lines", False, "they lie on top of others"))
    axes = [n for n in numbers if strokes[n].straight and _is_axis(strokes[n])]
    joined = join(strokes, [n for n in numbers if n not in set(axes)], size)
    shapes = [Shape(part) for path in joined for part in _parts(path)]
    lines = [s.path for s in shapes if len(s.path.segments) == 1 and s.path.segments[0].is_line]
    large = _SMALL * max((shape.extent for shape in shapes), default=0.0)
    bodies = [s for s in shapes if s.extent >= large and s.look in ("body", "half")]
    if not bodies:
        raise _no_outline(shapes, sheet, drawing)
    taken, rule = _elect(bodies, strokes, chosen=bool(drawing.layer or drawing.select))
    paths = [taken.path]
    if taken.look == "half" and (other := _other_half(taken, bodies)):
        paths.append(other.path)
    findings[:0] = what_was_taken(paths, strokes, rule)
    findings.extend(what_was_left(shapes, paths, strokes, taken))
    for n in axes:
        findings.append(Finding(strokes[n].called(), False, "the centreline"))
    findings.extend(Finding("the picture", True, note) for note in sheet.notes)
    findings.extend(
        Finding(f"{count} × {kind}", False, "holds no outline")
        for kind, count in sorted(sheet.others.items())
    )
    called = [(strokes[n].segments[0].start, strokes[n].segments[0].end, True) for n in axes]
    plain = [(p.start, p.end, False) for p in lines if math.dist(p.start, p.end) > taken.extent / 2]
    return Found(
        tuple(paths),
        strokes,
        taken.look == "half" and len(paths) == 1,
        tuple(called + plain),
        tuple(findings),
        taken.extent,
        tuple(s.path for s in bodies if s.look == "body" and s is not taken),
    )


def _of_this_world(
    strokes: tuple[Stroke, ...], drawing: Drawing
) -> tuple[tuple[Stroke, ...], list[Box], list[Finding]]:
    """Strokes whose numbers can be on a sheet, with their boxes."""
    every = boxes_of(strokes)
    kept = [i for i, box in enumerate(every) if all(abs(v) < _FARTHEST for v in box)]
    if not kept:
        raise DrawingError(
            "no line with ordinary coordinates",
            "an outline",
            "export the drawing again as curves",
            where=drawing.path.name,
        )
    lost = len(every) - len(kept)
    wild = [Finding(f"{lost} lines", False, "their numbers are no coordinates")] if lost else []
    return tuple(strokes[i] for i in kept), [every[i] for i in kept], wild


def _is_axis(stroke: Stroke) -> bool:
    return stroke.dashed or bool(_AXIS.search(stroke.words))


def _parts(path: Path) -> Iterable[Path]:
    return without_axis(path) if len(path.segments) > 1 else [path]


def _wanted(sheet: Sheet, drawing: Drawing) -> tuple[tuple[Stroke, ...], list[Finding]]:
    """The strokes the maker wants looked at."""
    strokes, findings = sheet.strokes, []
    where = drawing.path.name
    if not strokes:
        raise DrawingError(
            "no lines at all", "an outline", "export the drawing again as curves", where=where
        )
    if drawing.layer is not None:
        wanted = drawing.layer.lower()
        chosen = tuple(s for s in strokes if s.layer.lower() == wanted)
        if not chosen:
            layers = ", ".join(sorted({f"'{s.layer}'" for s in strokes})[:12])
            raise DrawingError(
                f"nothing on layer '{drawing.layer}'",
                f"one of the layers {layers}",
                "name the layer of the outline",
                where=where,
            )
        findings.append(_count_left(strokes, chosen, "other layers than the one asked for"))
        strokes = chosen
    if drawing.select:
        names = {name.lower() for name in drawing.select}
        chosen = tuple(
            s for s in strokes if s.name.lower() in names or names & set(s.words.split())
        )
        if not chosen:
            some = ", ".join(sorted({f"'{s.name}'" for s in strokes if s.name})[:12])
            raise DrawingError(
                f"nothing named {', '.join(drawing.select)}",
                f"names or handles in the drawing such as {some}",
                "name the pieces of the outline",
                where=where,
            )
        findings.append(_count_left(strokes, chosen, "not among those asked for"))
        strokes = chosen
    return strokes, [finding for finding in findings if not finding.what.startswith("0 ")]


def _count_left(before: tuple[Stroke, ...], after: tuple[Stroke, ...], why: str) -> Finding:
    return Finding(f"{len(before) - len(after)} lines", False, why)


def _label(shape: Shape, strokes: tuple[Stroke, ...]) -> int:
    """+1 where the drawing calls it an outline, -1 where it calls it something else."""
    words = " ".join({strokes[n].words for n in shape.path.origin})
    return bool(_OUTLINE.search(words)) - bool(_NOT_OUTLINE.search(words))


def _elect(bodies: list[Shape], strokes: tuple[Stroke, ...], *, chosen: bool) -> tuple[Shape, str]:
    """The outline among shapes that may be one, and the rule that chose it."""
    largest = max(shape.area for shape in bodies)
    standing = [shape for shape in bodies if shape.area >= _LEAST_AREA * largest]
    labels = [0 if chosen else _label(shape, strokes) for shape in standing]
    best = max(labels)
    named = [shape for shape, label in zip(standing, labels, strict=True) if label == best]
    taken = max(named, key=lambda shape: shape.area)
    if len(standing) == 1 or (taken.look == "half" and len(standing) == 2 and _is_pair(*standing)):
        return taken, "the only line shaped like a body"
    if len(named) < len(standing):
        rule = "of several lines shaped like a body, the drawing calls this one the outline"
        if best <= 0:
            rule = "of several lines shaped like a body, the others are called something else"
    else:
        rule = f"the largest of {len(standing)} lines shaped like a body"
    return taken, f"{rule}; another can be had with --select or --layer"


def _is_pair(one: Shape, other: Shape) -> bool:
    """Two halves of one body: ends near each other, on opposite sides of their chords."""
    if other.look != "half" or one.look != "half":
        return False
    a, b = np.array([one.path.start, one.path.end]), np.array([other.path.start, other.path.end])
    reach = np.array([0.06, 0.3]) * one.extent
    for ends in (b, b[::-1]):
        gaps = np.sort(np.hypot(*(a - ends).T))
        if (gaps <= reach).all():
            chord = a[1] - a[0]
            normal = np.array([-chord[1], chord[0]])
            sides = [float(np.mean((s.points - a[0]) @ normal)) for s in (one, other)]
            return sides[0] * sides[1] < 0.0
    return False


def _other_half(taken: Shape, bodies: list[Shape]) -> Shape | None:
    pairs = [shape for shape in bodies if shape is not taken and _is_pair(taken, shape)]
    near = lambda shape: abs(math.log(shape.area / taken.area))  # noqa: E731
    return min(pairs, key=near, default=None)


def _no_outline(shapes: list[Shape], sheet: Sheet, drawing: Drawing) -> DrawingError:
    looks = Counter(shape.look for shape in shapes)
    seen = ", ".join(f"{count} {look}" for look, count in looks.most_common(4))
    return DrawingError(
        f"no line shaped like a body among {len(sheet.strokes)} ({seen})",
        "a closed outline, or half of one from tail to neck",
        "join the outline's pieces, or name them with --layer or --select",
        where=drawing.path.name,
    )
