"""The traced Curlew and its scan, against what they were drawn from.

Source: tests/cases/truth.json, the arcs the drawings were made from. Lengths within 0.15 %,
widths within 0.4 mm, radii over 20 mm of line within 12 % and inside the stated range, the
range no wider than 35 % of its middle: what a maker needs to bend by. We reach about 0.03 %,
0.1 mm and 5 %; the limits are wider because the figures of one trace are one throw of noise.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import ezdxf
import numpy as np
import pytest

from rimwright.curves.arc import Arc
from rimwright.curves.trace import TracedCurve, fit_trace, radius_range, smallest_radius_over
from rimwright.pictures.lines import read_lines

CASES = Path(__file__).parents[1] / "cases"
TRUTH = json.loads((CASES / "truth.json").read_text())["curlew"]
Held = Callable[..., None]


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


#: How the Curlew came, in the order of the fixture's cases.
NAMES = {"traced": "traced polyline", "scan": "scan of 100 dpi"}


@pytest.fixture
def name(request: pytest.FixtureRequest) -> str:
    return next(words for key, words in NAMES.items() if f"[{key}" in request.node.name)


@pytest.fixture(scope="module", params=[_traced, _scanned], ids=["traced", "scan"])
def curve(request: pytest.FixtureRequest) -> TracedCurve:
    return request.param()


def test_outer_length_is_the_drawn_one(curve: TracedCurve, name: str, held_against: Held) -> None:
    drawn = 2.0 * TRUTH["bass_outer_length_mm"]
    held_against(
        f"curlew, {name}: whole outer length",
        source="tests/cases/truth.json, what the body was drawn from",
        printed=drawn,
        ours=curve.chain.length * 1e3,
        tolerance=0.0015 * drawn,
        unit="mm",
        why="a part of a pixel along 1 m of line",
    )


def test_widths_are_the_drawn_ones(curve: TracedCurve, name: str, held_against: Held) -> None:
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
    found = {"lower": max(left, right), "upper": min(left, right), "waist": width[waist]}
    for place, ours in found.items():
        held_against(
            f"curlew, {name}: width, {place}",
            source="tests/cases/truth.json, what the body was drawn from",
            printed=TRUTH["widths_mm"][place],
            ours=ours * 1e3,
            tolerance=0.4,
            unit="mm",
            why="two pixels of 200 dpi on both edges",
        )


@pytest.mark.parametrize("bend", ["convex", "concave"])
def test_smallest_radius_and_its_range(
    curve: TracedCurve, name: str, bend: str, held_against: Held
) -> None:
    drawn = TRUTH[f"bass_min_{bend}_radius_mm"] * 1e-3
    turn = curve.chain.end().heading[0] - curve.chain.start().heading[0]
    sign = (1 if turn > 0 else -1) * (1 if bend == "convex" else -1)
    radius, _ = smallest_radius_over(curve.chain, sign, closed=True)
    stated = radius_range(curve, sign)
    assert stated is not None
    for how, ours in (("of the curve", radius), ("as told", stated.middle_m)):
        held_against(
            f"curlew, {name}: smallest {bend} radius over 20 mm, {how}",
            source="tests/cases/truth.json, what the body was drawn from",
            printed=drawn * 1e3,
            ours=ours * 1e3,
            tolerance=0.12 * drawn * 1e3,
            unit="mm",
            why="one trace is one throw of noise; what a maker needs to bend by",
        )
    assert stated.low_m <= drawn <= stated.high_m
    assert stated.high_m - stated.low_m <= 0.35 * stated.middle_m


def test_noise_is_a_fraction_of_a_pixel(curve: TracedCurve) -> None:
    assert 0.005e-3 < curve.noise_m < 0.127e-3
    assert curve.corners_m == ()
