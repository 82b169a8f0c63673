"""Bodies that a program took apart into straight lines, and bodies without a waist."""

import math
from itertools import pairwise

import ezdxf
import numpy as np
import pytest

from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.desk.opening import DrawingAnswers, open_design
from rimwright.errors import DesignError, DrawingError
from rimwright.instrument.design import Drawing
from rimwright.instrument.drawings.join import Path
from rimwright.instrument.drawings.reading import read_drawing
from rimwright.instrument.drawings.strokes import Segment
from rimwright.instrument.drawings.trace import trace_points

#: Half a body from tail to neck: radius (left positive) and turn of each arc. [mm, deg]
#: Its bouts, waist and shoulders meet in tangents.
ARCS = ((240.0, 22.0), (90.0, 62.0), (-110.0, 44.0), (80.0, 50.0))


def waisted():
    """The upper half of a body of tangent arcs, closed to the centreline by a last arc."""
    pieces, at, heading = [], (0.0, 0.0), math.pi / 2
    for radius, turn in ARCS:
        length = abs(radius) * math.radians(turn)
        pieces.append(Arc(at, heading, -1.0 / radius, length))
        end = pieces[-1].at(np.array([length]))
        at, heading = tuple(end.position[0].tolist()), float(end.heading[0])
    # The last bend comes square to the centreline.
    turn = heading + math.pi / 2
    radius = at[1] / math.cos(heading)
    pieces.append(Arc(at, heading, -1.0 / radius, radius * turn))
    return Chain(tuple(pieces))


def corners(chain, count):
    """Corners of straight lines, `count` of them to each arc."""
    starts = chain.stations
    s = [np.linspace(a, b, count, endpoint=False) for a, b in pairwise(starts)]
    return chain.at(np.append(np.concatenate(s), chain.length)).position


def loop(half):
    return [*half.tolist(), *(half[-2:0:-1] * [1.0, -1.0]).tolist()]


def read(folder, points, **says):
    document = ezdxf.new("R2000", units=4)
    document.modelspace().add_lwpolyline(points, close=True)
    document.saveas(folder / "drawn.dxf")
    drawing = Drawing(path=folder / "drawn.dxf", **says)
    return read_drawing(drawing, seen_from=None, player="right")


@pytest.mark.parametrize("count", [7, 16, 32])
def test_arcs_taken_apart_into_lines_are_the_arcs_again(tmp_path, count):
    truth = waisted()
    outline = read(tmp_path, loop(corners(truth, count)))
    for half in outline.halves:
        assert half.main.length == pytest.approx(truth.length * 1e-3, rel=5e-4)
        convex = outline.smallest_radius(half.main, convex=True)
        concave = outline.smallest_radius(half.main, convex=False)
        assert convex.middle_m == pytest.approx(0.080, rel=0.1)
        assert concave.middle_m == pytest.approx(0.110, rel=0.1)
        # No sliver of a spline where the loop meets its start, with a bend of its own.
        curvature = half.main.chain.at(np.linspace(0.0, half.main.length, 999)).curvature
        assert np.abs(curvature).max() < 1.0 / 0.05


def test_too_few_lines_to_tell_the_curve_are_refused(tmp_path):
    with pytest.raises(DrawingError, match="most of them straight, that turns up to"):
        read(tmp_path, loop(corners(waisted(), 2)))


def test_a_line_between_corners_on_a_circle_is_filled_up_along_the_circle():
    turn = np.linspace(0.0, 2.0 * math.pi, 60)
    points = 100.0 * np.column_stack([np.cos(turn), np.sin(turn)])
    points[-1] = points[0]
    rows = points.tolist()
    segments = tuple(Segment(tuple(a), tuple(b)) for a, b in pairwise(rows))
    filled = trace_points(Path(segments, (0,) * len(segments), True), 1.0)
    assert len(filled) > 600
    assert np.hypot(*filled.T) == pytest.approx(np.full(len(filled), 100.0), abs=1e-6)


def teardrop():
    """Half a body without waist that comes to the flank of the block, 26 mm from the middle."""
    bout = Arc((0.0, 0.0), math.pi / 2, -1.0 / 126.0, 126.0 * math.radians(140.0))
    end = bout.at(np.array([bout.length]))
    at, heading = tuple(end.position[0].tolist()), float(end.heading[0])
    flank = Arc(at, heading, 1.0 / 200.0, 1.0)
    s = np.linspace(0.0, 200.0, 200_001)
    y = Arc(at, heading, 1.0 / 200.0, 200.0).at(s).position[:, 1]
    flank = Arc(at, heading, 1.0 / 200.0, float(s[np.argmax(y <= 26.0)]))
    return Chain((bout, flank))


@pytest.mark.parametrize("across", [True, False])
def test_a_teardrop_ends_at_the_flanks_of_its_block(tmp_path, across):
    truth = teardrop()
    end = truth.end().position[0]
    document = ezdxf.new("R2000", units=4)
    for sign in (1.0, -1.0):
        rows = [
            (*(piece.at(np.zeros(1)).position[0] * [1.0, sign]), sign * math.tan(piece.turn / 4))
            for piece in truth.pieces
        ]
        rows.append((end[0], sign * end[1], 0.0))
        document.modelspace().add_lwpolyline(rows, format="xyb")
    if across:
        document.modelspace().add_line((end[0], end[1]), (end[0], -end[1]))
    document.saveas(tmp_path / "drop.dxf")
    outline = read_drawing(Drawing(path=tmp_path / "drop.dxf"), seen_from=None, player="right")
    assert outline.length_m == pytest.approx(end[0] * 1e-3, abs=1e-6)
    for half in outline.halves:
        assert half.cutaway == "none"
        assert half.main.length == pytest.approx(truth.length * 1e-3, abs=1e-6)
        assert abs(half.main.chain.end().position[0, 1]) == pytest.approx(0.026, abs=1e-5)


def test_the_units_named_in_a_refusal_can_be_given(tmp_path):
    drawing = tmp_path / "plain.svg"
    drawing.write_text("<svg xmlns='http://www.w3.org/2000/svg'><path d='M0 0H9'/></svg>")
    for unit, metres in (("pt", 0.0254 / 72), ("px", 0.0254 / 96), ("mm", 1e-3)):
        source = open_design(drawing, DrawingAnswers(drawing_units=unit)).outline
        assert source.source.unit_m == pytest.approx(metres)
    with pytest.raises(DesignError, match="--drawing-units 'blurb'; expected one of mm, cm"):
        open_design(drawing, DrawingAnswers(drawing_units="blurb"))


def test_a_half_mould_in_one_line_with_its_box_is_half_a_body(tmp_path):
    truth = waisted()
    rows = [
        (*piece.at(np.zeros(1)).position[0].tolist(), math.tan(piece.turn / 4))
        for piece in truth.pieces
    ]
    end = float(truth.end().position[0, 0])
    box = [(end, 0.0), (end + 60.0, 0.0), (end + 60.0, 240.0), (-60.0, 240.0), (-60.0, 0.0)]
    rows += [(*corner, 0.0) for corner in box]
    document = ezdxf.new("R2000", units=4)
    document.modelspace().add_lwpolyline(rows, format="xyb", close=True)
    document.saveas(tmp_path / "mould.dxf")
    outline = read_drawing(Drawing(path=tmp_path / "mould.dxf"), seen_from=None, player="right")
    assert outline.length_m == pytest.approx(end * 1e-3, abs=1e-6)
    assert outline.bass.main.length == pytest.approx(truth.length * 1e-3, abs=1e-6)
