"""A body among thousands of other things on the sheet."""

import random
from pathlib import Path

import ezdxf
import pytest

from rimwright.instrument.design import Drawing
from rimwright.instrument.drawings.reading import read_drawing
from rimwright.instrument.drawings.svg import read_svg

CASES = Path(__file__).parents[1] / "cases"


def crowded(path, count):
    """The Wren among lines, arcs, polylines and splines strewn over the sheet."""
    document = ezdxf.new("R2000")
    document.header["$INSUNITS"] = 4
    space = document.modelspace()
    for stroke in read_svg(CASES / "wren.svg").strokes[:2]:
        rows = [(*s.start, s.bulge) for s in stroke.segments]
        space.add_lwpolyline([*rows, (*stroke.segments[-1].end, 0.0)], format="xyb")
    dice = random.Random(2)
    for i in range(count):
        x, y = dice.uniform(-50, 600), dice.uniform(-250, 250)
        steps = [(x + dice.uniform(-9, 9), y + dice.uniform(-9, 9)) for _ in range(5)]
        if i % 4 == 0:
            space.add_line(*steps[:2])
        elif i % 4 == 1:
            space.add_arc((x, y), dice.uniform(1, 6), dice.uniform(0, 300), dice.uniform(0, 300))
        elif i % 4 == 2:
            space.add_lwpolyline(steps)
        else:
            space.add_open_spline([(*p, 0.0) for p in steps])
    document.saveas(path)
    return Drawing(path=path)


@pytest.mark.slow
def test_the_body_is_found_among_five_thousand_entities(tmp_path):
    # How long it takes, and how that grows, is measured by the benchmark.
    outline = read_drawing(crowded(tmp_path / "many.dxf", 5000), seen_from=None, player="right")
    assert outline.bass.main.length == pytest.approx(0.6949073, abs=1e-6)
    assert outline.treble.main.length == pytest.approx(0.6438829, abs=1e-6)


def test_a_changed_drawing_is_read_again(tmp_path):
    cases = Path(__file__).parents[1] / "cases"
    path = tmp_path / "body.svg"
    path.write_bytes((cases / "wren.svg").read_bytes())
    first = read_drawing(Drawing(path=path), seen_from=None, player="right")
    assert read_drawing(Drawing(path=path), seen_from=None, player="right") is first
    path.write_bytes((cases / "plover.svg").read_bytes())
    again = read_drawing(Drawing(path=path), seen_from=None, player="right")
    assert again.length_m == pytest.approx(0.350, abs=1e-6)
