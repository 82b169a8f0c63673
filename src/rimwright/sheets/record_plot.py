"""A run's curve as a drawing: for paper, where patterns, weights and words stand for colour."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rimwright.sheets.drawing import Drawing, Path, Point, Shape, Text, circle, line, polygon
from rimwright.sheets.fonts import width
from rimwright.sheets.record_axes import Axes, spread, ticks_in, time_unit
from rimwright.sheets.record_curve import Curve, Panel
from rimwright.sheets.record_pens import (
    AXIS,
    BAND,
    BAND_EDGE,
    LIMIT,
    LINE,
    MEASURED,
    OTHER,
    PREDICTED,
    WORD,
)
from rimwright.sheets.record_plot_marks import marks_of, steps_of

#: Between strokes of the band's hatching. [mm]
_HATCH = 1.3


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """How large a plot is drawn. [mm]"""

    width: float
    height: float
    #: Height of a capital.
    letter: float = 2.2
    #: A narrow plot, as for a telephone: words within it, steps by their numbers in the list.
    narrow: bool = False


def plot(curve: Curve, size: Size) -> Drawing:
    """The heat, and the rest below it where there was one.

    Parameters
    ----------
    curve : Curve
        As `record_curve.curve_of` gives it.
    size : Size
        Of all panels together.
    """
    letter = size.letter
    left, right = 5.0 * letter, size.width - _right_room(curve, size)
    below = 5.2 * letter
    tall = size.height - 2.5 * letter - below
    rest_tall = 0.22 * tall if curve.rest else 0.0
    floor = below if curve.rest is None else 2.0 * below + 2.4 * letter + rest_tall
    main = Axes(
        left=left, right=right, bottom=floor, top=size.height - 2.5 * letter,
        x=(curve.main.begin_s, curve.main.end_s), y=_range(curve),
    )  # fmt: skip
    shapes = list(_main(curve, main, size))
    if curve.rest is not None:
        rest = Axes(
            left=left, right=right, bottom=below, top=below + rest_tall,
            x=(curve.rest.begin_s, curve.rest.end_s), y=_rest_range(curve.rest),
        )  # fmt: skip
        shapes += _rest(curve, curve.rest, rest, size)
    return Drawing("curve", tuple(shapes))


def _right_room(curve: Curve, size: Size) -> float:
    if size.narrow:
        return 2.0
    names = [words for words, _ in curve.lines] + [one.name for one in curve.main.curves]
    return 3.0 + max((width(name, size.letter, bold=True) for name in names), default=0.0)


def _range(curve: Curve) -> tuple[float, float]:
    values = [celsius for one in curve.main.curves for piece in one.pieces for _, celsius in piece]
    values += [celsius for _, celsius in curve.lines] + [high for *_, high in curve.band]
    return min([20.0, *values]) - 3.0, max([40.0, *values]) + 6.0


def _rest_range(panel: Panel) -> tuple[float, float]:
    values = [celsius for one in panel.curves for piece in one.pieces for _, celsius in piece]
    return min([20.0, *values]) - 3.0, max([40.0, *values]) + 3.0


def _main(curve: Curve, axes: Axes, size: Size) -> Iterator[Shape]:
    if curve.heated:
        yield from _band(curve, axes)
    yield from _frame(curve, axes, size, "since the heat came on" if curve.heated else
                      "since the run was begun")  # fmt: skip
    for words, celsius in curve.lines:
        y = axes.y_of(celsius)
        yield line((axes.left, y), (axes.right, y), LIMIT if _is_limit(words) else LINE)
    yield from _curves(curve.main, axes)
    yield from (_within if size.narrow else _beside)(curve, axes, size)
    yield from marks_of(curve.main, axes, size.letter)
    lowest_c = min((celsius for _, celsius in curve.lines), default=0.5 * sum(axes.y))
    under = None if size.narrow else axes.y_of(lowest_c)
    yield from steps_of(curve.main, axes, size.letter, under)


def _is_limit(words: str) -> bool:
    return words.startswith("limit")


def _beside(curve: Curve, axes: Axes, size: Size) -> Iterator[Shape]:
    """The name of every line where it ends."""
    ends = [(axes.y_of(celsius), words, _is_limit(words)) for words, celsius in curve.lines]
    ends += [
        (axes.y_of(one.pieces[-1][-1][1]), one.name, not number)
        for number, one in enumerate(curve.main.curves)
        if one.pieces
    ]
    ends.sort()
    places = spread([y for y, *_ in ends], 1.5 * size.letter)
    for y, (_, words, bold) in zip(places, ends, strict=True):
        at = (axes.right + 2.0, y - 0.5 * size.letter)
        yield Text(at, words, size.letter, bold=bold, pen=WORD)


def _within(curve: Curve, axes: Axes, size: Size) -> Iterator[Shape]:
    """The same within the axes, the lowest and the limit under their lines."""
    for number, (words, celsius) in enumerate(curve.lines):
        under = _is_limit(words) or (number == 0 and len(curve.lines) > 1)
        rise = -1.5 * size.letter if under else 0.7 * size.letter
        y = axes.y_of(celsius) + rise
        if _is_limit(words):  # on the left, where a curve begins and is never near it
            yield Text((axes.left + 2.0, y), words, size.letter, bold=True, pen=WORD)
        else:
            yield Text((axes.right, y), words, size.letter, "end", pen=WORD)


def _rest(curve: Curve, panel: Panel, axes: Axes, size: Size) -> Iterator[Shape]:
    yield from _frame(curve, axes, size, "since the heat came on", title="The rest, ")
    yield from _curves(panel, axes)
    yield from marks_of(panel, axes, size.letter)


def _frame(curve: Curve, axes: Axes, size: Size, words: str, *, title: str = "") -> Iterator[Shape]:
    """Two bare axes with ticks and their units."""
    letter = size.letter
    yield line((axes.left, axes.bottom), (axes.right, axes.bottom), AXIS)
    yield line((axes.left, axes.bottom), (axes.left, axes.top), AXIS)
    inch = curve.show == "inch"
    low, high = ((1.8 * one + 32.0 if inch else one) for one in axes.y)
    step_room = 3.0 * letter / (axes.top - axes.bottom)
    for value in ticks_in(low, high, step_room):
        y = axes.y_of((value - 32.0) / 1.8 if inch else value)
        yield line((axes.left - 1.0, y), (axes.left, y), AXIS)
        at = (axes.left - 1.6, y - 0.5 * letter)
        yield Text(at, f"{value:g}", letter, "end", pen=WORD)
    at = (0.0, axes.top + 0.9 * letter)
    yield Text(at, f"{title}{'°F' if inch else '°C'} at the probe", letter, pen=WORD)
    unit, name = time_unit(axes.x[1] - axes.x[0])
    wide = width(f"{axes.x[1] / unit:.0f}", letter) + 2.5 * letter
    room = wide / (axes.right - axes.left)
    for value in ticks_in(axes.x[0] / unit, axes.x[1] / unit, room):
        x = axes.x_of(value * unit)
        yield line((x, axes.bottom - 1.0), (x, axes.bottom), AXIS)
        at = (x, axes.bottom - 1.8 - letter)
        yield Text(at, f"{value:g}", letter, "middle", pen=WORD)
    at = (axes.right, axes.bottom - 2.6 - 2.2 * letter)
    yield Text(at, f"{name} {words}", letter, "end", pen=WORD)


def _band(curve: Curve, axes: Axes) -> Iterator[Shape]:
    """What was predicted: hatched between its low and its high, its middle chain-dashed."""
    rows = [one for one in curve.band if axes.x[0] <= one[0] <= axes.x[1]]
    if len(rows) < 2:
        return
    low, middle, high = (
        tuple((axes.x_of(row[0]), axes.y_of(row[column])) for row in rows) for column in (1, 2, 3)
    )
    yield polygon((*low, *reversed(high)), BAND)
    yield from _hatched(low, high)
    yield Path(low, BAND_EDGE)
    yield Path(high, BAND_EDGE)
    yield Path(middle, PREDICTED)


def _hatched(low: Sequence[Point], high: Sequence[Point]) -> Iterator[Shape]:
    from bisect import bisect_right

    xs = [x for x, _ in low]
    x = xs[0] + _HATCH
    while x < xs[-1]:
        right = bisect_right(xs, x)
        share = (x - xs[right - 1]) / (xs[right] - xs[right - 1])
        ends = [edge[right - 1][1] + share * (edge[right][1] - edge[right - 1][1])
                for edge in (low, high)]  # fmt: skip
        yield line((x, ends[0]), (x, ends[1]), BAND)
        x += _HATCH


def _curves(panel: Panel, axes: Axes) -> Iterator[Shape]:
    """What was read, the first probe last and heaviest; a gap stays open."""
    for number, one in reversed(list(enumerate(panel.curves))):
        pen = OTHER if number else MEASURED
        for piece in one.pieces:
            points = tuple((axes.x_of(at_s), axes.y_of(celsius)) for at_s, celsius in piece)
            if len(points) == 1:
                yield circle(points[0], 0.25, pen, fill="black")
            else:
                yield Path(points, pen)
