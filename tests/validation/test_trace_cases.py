"""The traced Curlew and its scan, against what they were drawn from.

Source: tests/cases/truth.json, the arcs the drawings were made from. Lengths within 0.15 %,
widths within 0.4 mm, radii over 20 mm of line within 12 % and inside the stated range, the
range no wider than 35 % of its middle: what a maker needs to bend by. We reach about 0.03 %,
0.1 mm and 5 %; the limits are wider because the figures of one trace are one throw of noise.
"""

from __future__ import annotations

import json
from pathlib import Path

import ezdxf
import numpy as np
import pytest

from rimwright.curves.arc import Arc
from rimwright.curves.trace import TracedCurve, fit_trace, radius_range, smallest_radius_over
from rimwright.pictures.lines import read_lines

CASES = Path(__file__).parents[1] / "cases"
TRUTH = json.loads((CASES / "truth.json").read_text())["curlew"]


def _traced() -> TracedCurve:
    document = ezdxf.readfile(CASES / "curlew-traced.dxf")
    rows = [
        (v.dxf.location.x, v.dxf.location.y, v.dxf.bulge)
        for polyline in document.modelspace().query("POLYLINE")
        for v in polyline.vertices
    ]
    points = []
    for (x, y, bulge), (x2, y2, _) in zip(rows, rows[1:] + rows[:1], strict=True):
        arc = Arc.bulge((x, y), (x2, y2), bulge)
        points.append(arc.at(np.linspace(0.0, arc.length, 5)[:-1]).position)
    outline = np.vstack(points)
    rough = fit_trace(outline * 0.127e-3, closed=True)
    length = np.ptp(rough.chain.at(np.linspace(0.0, rough.chain.length, 4000)).position[:, 0])
    scale = 0.127e-3 * TRUTH["body_length_mm"] * 1e-3 / length  # the maker's known length
    return fit_trace(outline * scale, closed=True)


def _scanned() -> TracedCurve:
    picture = read_lines(CASES / "curlew.png")
    assert picture.dots_per_inch == pytest.approx(100.0, rel=1e-4)
    assert picture.closed[0]
    return fit_trace(picture.lines[0] * 0.0254 / picture.dots_per_inch, closed=True)


@pytest.fixture(scope="module", params=[_traced, _scanned], ids=["traced", "scan"])
def curve(request: pytest.FixtureRequest) -> TracedCurve:
    return request.param()


def test_outer_length_is_the_drawn_one(curve: TracedCurve) -> None:
    drawn = 2.0 * TRUTH["bass_outer_length_mm"] * 1e-3
    assert curve.chain.length == pytest.approx(drawn, rel=0.0015)


def test_widths_are_the_drawn_ones(curve: TracedCurve) -> None:
    points = curve.chain.at(np.linspace(0.0, curve.chain.length, 20000)).position
    x, y = points.T
    middle = 0.5 * (y.max() + y.min())
    upper, lower = points[y > middle], points[y < middle]
    stations = np.linspace(x.min() + 0.02, x.max() - 0.02, 600)

    def edge(side: np.ndarray) -> np.ndarray:
        order = np.argsort(side[:, 0])
        return np.interp(stations, side[order, 0], side[order, 1])

    width = edge(upper) - edge(lower)
    waist = int(np.argmin(np.where(np.abs(stations - stations.mean()) < 0.06, width, np.inf)))
    left, right = width[:waist].max(), width[waist:].max()
    found = [max(left, right), min(left, right), width[waist]]
    drawn = [TRUTH["widths_mm"][name] * 1e-3 for name in ("lower", "upper", "waist")]
    assert found == pytest.approx(drawn, abs=0.0004)


@pytest.mark.parametrize("bend", ["convex", "concave"])
def test_smallest_radius_and_its_range(curve: TracedCurve, bend: str) -> None:
    drawn = TRUTH[f"bass_min_{bend}_radius_mm"] * 1e-3
    turn = curve.chain.end().heading[0] - curve.chain.start().heading[0]
    sign = (1 if turn > 0 else -1) * (1 if bend == "convex" else -1)
    radius, _ = smallest_radius_over(curve.chain, sign, closed=True)
    assert radius == pytest.approx(drawn, rel=0.12)
    stated = radius_range(curve, sign)
    assert stated is not None
    assert stated.middle_m == pytest.approx(drawn, rel=0.12)
    assert stated.low_m <= drawn <= stated.high_m
    assert stated.high_m - stated.low_m <= 0.35 * stated.middle_m


def test_noise_is_a_fraction_of_a_pixel(curve: TracedCurve) -> None:
    assert 0.005e-3 < curve.noise_m < 0.127e-3
    assert curve.corners_m == ()
