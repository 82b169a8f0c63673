"""Bodies as a bitmap tracer leaves them: pixel stairs, two edges of one line, halves."""

import math
from pathlib import Path

import ezdxf
import numpy as np
import pytest

from rimwright.curves.chain import Chain
from rimwright.instrument.design import Drawing
from rimwright.instrument.drawings.reading import read_drawing
from rimwright.instrument.drawings.strokes import Segment
from rimwright.instrument.drawings.svg import read_svg

CASES = Path(__file__).parents[1] / "cases"
#: One pixel of a 200 dpi scan. [mm]
PIXEL = 0.127


def side(name, case):
    strokes = read_svg(CASES / f"{case}.svg").strokes
    return list(next(s for s in strokes if s.name == name).segments)


def line(segments):
    return Chain(tuple(s.piece() for s in segments)).points(1e-2)


def stairs(points):
    """The points of a line as the corners of the pixels it passes."""
    s = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    wanted = np.arange(0.0, s[-1], PIXEL)
    even = np.column_stack([np.interp(wanted, s, points[:, k]) for k in (0, 1)])
    pixels = np.round(even / PIXEL)
    keep = np.concatenate([[True], np.any(np.diff(pixels, axis=0) != 0, axis=1)])
    return (pixels[keep] * PIXEL).tolist()


def plover():
    loop = [s.reversed() for s in reversed(side("bass", "plover"))]
    loop += side("treble", "plover") + side("treble-return", "plover")
    return [*loop, Segment(loop[-1].end, loop[0].start)]


def read(folder, lines, closed=True, **says):
    document = ezdxf.new("R2000")
    document.header["$INSUNITS"] = 4
    for points in lines:
        document.modelspace().add_lwpolyline(points, close=closed)
    document.saveas(folder / "trace.dxf")
    drawing = Drawing(path=folder / "trace.dxf", **says)
    return read_drawing(drawing, seen_from=None, player="right")


def check_plover(outline):
    treble = outline.treble
    assert outline.noise_m == pytest.approx(0.02e-3, abs=0.02e-3)
    assert outline.length_m == pytest.approx(0.350, abs=0.2e-3)
    assert outline.bass.main.length == pytest.approx(0.50807, rel=0.0015)
    assert treble.cutaway == "pointed"
    assert treble.main.length == pytest.approx(0.41183, rel=0.0015)
    assert treble.return_piece.length == pytest.approx(0.08389, rel=0.005)
    scoop = outline.radius_ranges["treble", "return", "concave"]
    assert scoop.low_m <= 0.038 <= scoop.high_m
    assert 0.0 < scoop.s_m < treble.return_piece.length
    before = treble.main.chain.end().heading[0]
    after = treble.return_piece.chain.start().heading[0]
    turn = abs((math.degrees(after - before) + 180.0) % 360.0 - 180.0)
    assert turn == pytest.approx(102.2, abs=3.0)


def test_a_traced_pointed_cutaway_keeps_its_corner(tmp_path):
    check_plover(read(tmp_path, [stairs(line(plover()))]))


def test_both_edges_of_a_line_give_its_middle(tmp_path):
    from shapely import Polygon

    body = Polygon(line(plover()))
    rings = [np.asarray(body.buffer(off).exterior.coords) for off in (0.4, -0.4)]
    outline = read(tmp_path, [stairs(ring) for ring in rings])
    check_plover(outline)
    assert any("its middle was taken" in finding.why for finding in outline.findings)


def test_two_traced_halves_and_one(tmp_path):
    bass, treble = (stairs(line(side(name, "wren"))) for name in ("bass", "treble"))
    outline = read(tmp_path, [bass, treble], closed=False)
    assert outline.bass.main.length == pytest.approx(0.69491, rel=0.0015)
    assert outline.treble.main.length == pytest.approx(0.64388, rel=0.0015)
    assert outline.treble.cutaway == "rounded"
    horn = outline.radius_ranges["treble", "main", "convex"]
    assert horn.low_m <= 0.022 <= horn.high_m
    one = read(tmp_path, [bass], closed=False, body_length_m=0.94)
    assert one.length_m == 0.94
    assert one.treble.main.length == pytest.approx(2 * 0.69491, rel=0.0015)
    both = [one.radius_ranges[hand, "main", "convex"] for hand in ("bass", "treble")]
    assert both[0] == both[1]


def test_a_polygon_can_be_kept_as_drawn(tmp_path):
    every = line(side("bass", "wren"))[::3]
    loop = [*every.tolist(), *(every[-2:0:-1] * [1, -1]).tolist()]
    outline = read(tmp_path, [loop], trace=False)
    assert outline.noise_m is None
    straight = np.hypot(*np.diff(every, axis=0).T).sum() * 1e-3
    assert outline.bass.main.length == pytest.approx(straight, abs=1e-6)
