"""A DXF being drawn, and what must come back of the Wren: for tests of the drawing reader."""

import math
import random
from pathlib import Path

import ezdxf
import numpy as np
import pytest

from rimwright.instrument.design import Drawing
from rimwright.instrument.drawings.outline_from import outline_from
from rimwright.instrument.drawings.strokes import Segment
from rimwright.instrument.drawings.svg import read_svg

CASES = Path(__file__).parent / "cases"
BASS_M, TREBLE_M = 0.6949073, 0.6438829
#: A body without cutaway: the bass half twice.
NECK, FLANK = (470.0, 0.0), (454.98237, 27.98728)


def half(name, case="wren"):
    strokes = read_svg(CASES / f"{case}.svg").strokes
    return list(next(s for s in strokes if s.name == name).segments)


def flipped(segments):
    return [Segment((a.start[0], -a.start[1]), (a.end[0], -a.end[1]), -a.bulge) for a in segments]


def backwards(segments):
    return [s.reversed() for s in reversed(segments)]


class Plan:
    """A DXF being drawn, everything placed by one similarity."""

    def __init__(self, turn=0.0, shift=(0.0, 0.0), scale=1.0, mirror=False, units=4):
        self.document = ezdxf.new("R2000", setup=True)
        self.document.header["$INSUNITS"] = units
        self.space = self.document.modelspace()
        self.turn, self.shift, self.scale, self.mirror = turn, shift, scale, mirror

    def at(self, point):
        x, y = point[0], -point[1] if self.mirror else point[1]
        c, s = self.scale * math.cos(self.turn), self.scale * math.sin(self.turn)
        return c * x - s * y + self.shift[0], s * x + c * y + self.shift[1]

    def polyline(self, segments, layer="0", closed=False, space=None):
        sign = -1.0 if self.mirror else 1.0
        rows = [(*self.at(s.start), sign * s.bulge) for s in segments]
        if not closed:
            rows.append((*self.at(segments[-1].end), 0.0))
        (self.space if space is None else space).add_lwpolyline(
            rows, format="xyb", close=closed, dxfattribs={"layer": layer}
        )

    def pieces(self, segments, layer="0", shuffle=None, gap=0.0):
        """LINE and ARC entities, in any order and direction."""
        from ezdxf.math import bulge_to_arc

        sign = -1.0 if self.mirror else 1.0
        dice = random.Random(shuffle)
        segments = list(segments)
        if shuffle is not None:
            dice.shuffle(segments)
        for s in segments:
            nudge = [dice.uniform(-gap, gap) / 2 for _ in range(4)]
            a = (s.start[0] + nudge[0], s.start[1] + nudge[1])
            b = (s.end[0] + nudge[2], s.end[1] + nudge[3])
            a, b = self.at(a), self.at(b)
            if s.is_line:
                self.space.add_line(a, b, dxfattribs={"layer": layer})
            else:
                centre, first, last, radius = bulge_to_arc(a, b, sign * s.bulge)
                self.space.add_arc(
                    centre,
                    radius,
                    math.degrees(first),
                    math.degrees(last),
                    dxfattribs={"layer": layer},
                )

    def line(self, a, b, **attributes):
        self.space.add_line(self.at(a), self.at(b), dxfattribs=attributes)

    def read(self, folder, seen_from=None, player="right", reader=outline_from, **says):
        path = folder / "plan.dxf"
        self.document.saveas(path)
        return reader(Drawing(path=path, **says), seen_from=seen_from, player=player)


def check_wren(outline, tolerance=2e-5):
    assert outline.length_m == pytest.approx(0.47, abs=tolerance)
    assert outline.bass.main.length == pytest.approx(BASS_M, abs=tolerance)
    assert outline.treble.main.length == pytest.approx(TREBLE_M, abs=tolerance)
    assert outline.treble.cutaway == "rounded"
    assert outline.bass.cutaway == "none"
    check_frame(outline)


def check_frame(outline):
    """Tail at the origin, treble at positive y, both halves from the tail on."""
    for piece in (outline.bass.main, outline.treble.main):
        assert np.abs(piece.chain.start().position).max() < 3e-4
        middle = piece.at(np.array([piece.length / 2])).position[0, 1]
        assert (middle > 0) == (piece.hand == "treble")


def check_plain(outline, tolerance=2e-5):
    assert outline.length_m == pytest.approx(0.47, abs=tolerance)
    for one in outline.halves:
        assert one.main.length == pytest.approx(BASS_M, abs=tolerance)
        assert one.cutaway == "none"
    check_frame(outline)


def flat_neck(width=40.0):
    """A plain half that runs flat across the block: cut at y = -width/2, then straight."""
    segments = half("bass")
    last = segments[-1].piece()
    s = np.linspace(0, last.length, 20001)
    y = last.at(s).position[:, 1]
    stop = s[np.argmin(np.abs(y + width / 2))]
    part = last.between(0.0, float(stop))
    end = part.at(np.array([part.length])).position[0]
    corner = (float(end[0]), float(end[1]))
    bulge = math.tan(part.turn / 4)
    return [*segments[:-1], Segment(segments[-1].start, corner, bulge)], corner
