"""A trace moved, turned, scaled, mirrored or begun elsewhere gives the same curve so moved."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from counts import times
from rimwright.curves.trace import TracedCurve, fit_trace, radius_range

TURN = np.linspace(0.0, 2.0 * np.pi, 1500, endpoint=False)
BODY = np.column_stack(
    [
        0.2 * np.cos(TURN),
        0.13 * np.sin(TURN) * (1.0 - 0.15 * np.cos(TURN) + 0.22 * np.cos(2 * TURN)),
    ]
)
POINTS = BODY + np.random.default_rng(3).normal(scale=5e-5, size=BODY.shape)
PLAIN = fit_trace(POINTS, closed=True)


def tightest(curve: TracedCurve, sign: int, window_m: float = 0.02) -> float:
    found = radius_range(curve, sign, window_m)
    assert found is not None
    assert found.low_m < found.middle_m < found.high_m
    return found.middle_m


@settings(max_examples=times(12), deadline=None)
@given(
    scale=st.floats(0.3, 3.0),
    turn=st.floats(-3.0, 3.0),
    shift=st.tuples(st.floats(-2.0, 2.0), st.floats(-2.0, 2.0)),
)
def test_similar_points_give_a_similar_curve(
    scale: float, turn: float, shift: tuple[float, float]
) -> None:
    c, s = np.cos(turn), np.sin(turn)
    moved = scale * POINTS @ np.array([[c, s], [-s, c]]) + shift
    curve = fit_trace(moved, closed=True)
    assert curve.chain.length == pytest.approx(scale * PLAIN.chain.length, rel=1e-6)
    assert curve.noise_m == pytest.approx(scale * PLAIN.noise_m, rel=1e-3)
    assert tightest(curve, 1, 0.02 * scale) == pytest.approx(scale * tightest(PLAIN, 1), rel=1e-3)


def test_mirrored_points_give_the_mirrored_curve() -> None:
    curve = fit_trace(POINTS * [1.0, -1.0], closed=True)
    assert curve.chain.length == pytest.approx(PLAIN.chain.length, rel=1e-9)
    assert tightest(curve, -1) == pytest.approx(tightest(PLAIN, 1), rel=1e-6)
    s = np.linspace(0.0, PLAIN.chain.length, 50)
    there, here = curve.chain.at(s), PLAIN.chain.at(s)
    assert there.position == pytest.approx(here.position * [1.0, -1.0], abs=1e-9)
    assert there.curvature == pytest.approx(-here.curvature, abs=1e-5)


def test_points_read_backwards_give_the_curve_backwards() -> None:
    curve = fit_trace(POINTS[::-1], closed=True)
    assert curve.chain.length == pytest.approx(PLAIN.chain.length, rel=1e-5)
    assert tightest(curve, -1) == pytest.approx(tightest(PLAIN, 1), rel=0.02)


@settings(max_examples=times(8), deadline=None)
@given(first=st.integers(0, len(POINTS) - 1))
def test_where_a_loop_begins_matters_little(first: int) -> None:
    # Knots and bins fall elsewhere, so that radii differ by a part of their own range.
    curve = fit_trace(np.roll(POINTS, -first, axis=0), closed=True)
    assert curve.chain.length == pytest.approx(PLAIN.chain.length, rel=2e-4)
    assert tightest(curve, 1) == pytest.approx(tightest(PLAIN, 1), rel=0.04)
    start = curve.chain.start().position[0]
    assert np.hypot(*(start - POINTS[first])) < 3e-4


def test_a_closed_curve_closes_smoothly() -> None:
    start, end = PLAIN.chain.start(), PLAIN.chain.end()
    assert end.position == pytest.approx(start.position, abs=1e-12)
    assert end.heading[0] - start.heading[0] == pytest.approx(2.0 * np.pi, abs=1e-9)
    assert end.curvature == pytest.approx(start.curvature, abs=1e-6)
