"""Every kind of drawn curve becomes the curve it is."""

import math

import numpy as np
import pytest
from scipy.interpolate import BSpline

from rimwright.curves.chain import Chain
from rimwright.instrument.drawings.convert import (
    arc_segments,
    bezier_segments,
    ellipse_segments,
    polyline_segments,
    spline_segments,
)


def length(segments):
    return Chain(tuple(s.piece() for s in segments)).length


def test_an_arc_past_half_a_circle_is_cut_in_two():
    segments = list(arc_segments((1.0, 0.0), (0.0, -1.0), 1.5 * math.pi))
    assert len(segments) == 2
    assert length(segments) == pytest.approx(1.5 * math.pi)
    assert segments[1].start == pytest.approx((math.cos(0.75 * math.pi), math.sin(0.75 * math.pi)))


def test_an_elliptical_stretch_lies_on_the_ellipse_and_runs_either_way():
    forward = ellipse_segments((1.0, 2.0), (3.0, 0.0), (0.0, 1.0), 0.2, 4.0)
    back = ellipse_segments((1.0, 2.0), (3.0, 0.0), (0.0, 1.0), 4.0, 0.2)
    assert length(forward) == pytest.approx(length(back), rel=1e-12)
    assert forward[0].start == pytest.approx(back[-1].end)
    for segment in forward:
        x, y = (segment.points(50) - [1.0, 2.0]).T
        assert np.abs(x**2 / 9.0 + y**2 - 1.0).max() < 2e-8
    (first, *_), low = forward, 0.2
    a, b = 3.0, 1.0
    curvature = a * b / (a**2 * math.sin(low) ** 2 + b**2 * math.cos(low) ** 2) ** 1.5
    assert first.piece().at(np.zeros(1)).curvature[0] == pytest.approx(curvature, rel=1e-3)


def test_a_rational_quarter_circle_is_an_exact_arc():
    w = math.sqrt(0.5)
    control = np.array([[2.0, 0.0], [2.0, 2.0], [0.0, 2.0]])
    (segment,) = spline_segments(np.array([0.0, 0, 0, 1, 1, 1]), control, 2, np.array([1, w, 1]))
    assert segment.spline is None
    assert segment.piece().curvature == pytest.approx(0.5, rel=1e-9)
    assert length([segment]) == pytest.approx(math.pi, rel=1e-9)


def test_a_rational_curve_that_is_no_arc_strays_less_than_a_ten_millionth():
    control = np.array([[0.0, 0.0], [0.1, 0.4], [0.5, 0.2], [0.6, 0.0]])
    weights = np.array([1.0, 2.0, 0.7, 1.0])
    (segment,) = spline_segments(np.repeat([0.0, 1.0], 4), control, 3, weights)
    u = np.linspace(0.0, 1.0, 777)[:, None]
    basis = np.hstack([(1 - u) ** 3, 3 * u * (1 - u) ** 2, 3 * u**2 * (1 - u), u**3]) * weights
    exact = basis @ control / basis.sum(axis=1, keepdims=True)
    fitted = BSpline(*segment.spline)(u[:, 0])
    assert np.hypot(*(exact - fitted).T).max() < 1e-7


def test_an_unclamped_spline_is_cut_span_by_span_without_loss():
    rng = np.random.default_rng(4)
    control, knots = rng.uniform(size=(9, 2)), np.arange(13.0)
    segments = spline_segments(knots, control, 3)
    curve = BSpline(knots, control, 3)
    assert len(segments) == 6
    for low, segment in zip(range(3, 9), segments, strict=True):
        assert segment.start == pytest.approx(curve(float(low)))
        assert BSpline(*segment.spline)(low + 0.5) == pytest.approx(curve(low + 0.5))


def test_a_spline_is_cut_where_it_may_have_a_corner():
    control = np.array([[0, 0], [1, 0], [2, 0], [3, 0], [3, 1], [3, 2], [3, 3.5]], dtype=float)
    segments = spline_segments(np.array([0.0] * 4 + [1.0] * 3 + [2.0] * 4), control, 3)
    assert [s.is_line for s in segments] == [True, True]
    assert segments[0].end == (3.0, 0.0)


@pytest.mark.parametrize(
    ("knots", "degree", "weights"),
    [
        ([0, 0, 1, 1], 3, None),
        ([0, 0, 0, 0, 1, 1, 1, 0], 3, None),
        ([0, 0, 0, 0, 0, 0, 0, 0], 3, None),
        ([0, 0, 0, 0, 1, 1, 1, math.nan], 3, None),
        ([0, 0, 0, 0, 1, 1, 1, 1], 3, [1, 0, 1, 2]),
    ],
)
def test_numbers_that_make_no_spline_are_refused(knots, degree, weights):
    control = np.array([[0.0, 0.0], [1.0, 1.0], [2.0, 0.0], [3.0, 1.0]])
    with pytest.raises(ValueError, match="spline"):
        spline_segments(
            np.array(knots, dtype=float), control, degree, weights and np.array(weights, float)
        )


def test_steps_of_no_length_and_no_number_are_dropped():
    points = [(0.0, 0.0), (0.0, 0.0), (1.0, 0.0), (math.nan, 1.0), (2.0, 0.0), (2.0, 1.0)]
    assert [s.start for s in polyline_segments(points)] == [(0.0, 0.0), (2.0, 0.0)]
    assert bezier_segments(np.zeros((4, 2))) == []
