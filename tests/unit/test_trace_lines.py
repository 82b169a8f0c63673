"""Corners, open lines, stretches and refusals of the trace fit."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.curves.trace import fit_trace, radius_range, smallest_radius_over
from rimwright.errors import GeometryError


def bends(*spec: tuple[float, float], corner_after: int | None = None, jump: float = 0.0) -> Chain:
    """Arcs of (signed radius, length), with one corner if asked."""
    pieces: list[Arc] = []
    start, heading = (0.0, 0.0), 0.3
    for number, (radius, length) in enumerate(spec):
        pieces.append(Arc(start, heading, 1.0 / radius, length))
        end = pieces[-1].at(np.array([length]))
        start = (float(end.position[0, 0]), float(end.position[0, 1]))
        heading = float(end.heading[0]) + (jump if number == corner_after else 0.0)
    return Chain(tuple(pieces))


def on_grid(chain: Chain, pixel: float, shake: float = 0.0) -> np.ndarray:
    """The chain's points drawn to a grid, in order, as a bitmap tracer sees them."""
    points = chain.at(np.arange(0.0, chain.length, 0.3 * pixel)).position
    points = points + shake * np.random.default_rng(1).normal(size=points.shape)
    points = np.round(points / pixel) * pixel
    return points[np.concatenate([[True], np.any(np.diff(points, axis=0) != 0.0, axis=1)])]


WREN_LIKE = bends((0.09, 0.15), (-0.125, 0.12), (0.11, 0.1), (0.022, 0.026), (-0.034, 0.05))
POINTED = bends((0.07, 0.18), (-0.1, 0.15), (0.12, 0.08), (-0.038, 0.084), corner_after=2, jump=1.7)


def test_a_rounded_horn_is_no_corner_and_keeps_its_radius() -> None:
    curve = fit_trace(on_grid(WREN_LIKE, 0.0254 / 200), closed=False)
    assert curve.corners_m == ()
    # The ends are known to a pixel.
    assert curve.chain.length == pytest.approx(WREN_LIKE.length, abs=3e-4)
    for sign, radius in ((1, 0.022), (-1, 0.034)):
        stated = radius_range(curve, sign)
        assert stated is not None
        assert stated.middle_m == pytest.approx(radius, rel=0.12)
        assert stated.low_m <= radius <= stated.high_m


def test_a_pointed_horn_is_a_corner_and_both_pieces_keep_their_radii() -> None:
    curve = fit_trace(on_grid(POINTED, 0.0254 / 200), closed=False)
    (tip,) = curve.corners_m
    assert tip == pytest.approx(0.41, abs=4e-4)
    before, after = curve.chain.pieces
    turn = after.at(np.zeros(1)).heading[0] - before.at(np.array([before.length])).heading[0]
    assert turn % (2.0 * np.pi) == pytest.approx(1.7, abs=np.radians(1.5))
    # The pieces share the corner to rounding.
    assert after.at(np.zeros(1)).position[0] == pytest.approx(
        before.at(np.array([before.length])).position[0], abs=1e-9
    )
    inner = radius_range(curve, -1, start_m=tip)
    assert inner is not None
    assert inner.low_m <= 0.038 <= inner.high_m
    assert inner.s_m > tip
    main = radius_range(curve, -1, end_m=tip)
    assert main is not None
    assert main.low_m <= 0.1 <= main.high_m


def test_a_named_corner_is_taken_where_it_is_named() -> None:
    points = on_grid(POINTED, 0.0254 / 150)
    named = int(np.argmin(np.hypot(*(points - POINTED.at(np.array([0.41])).position[0]).T)))
    assert len(fit_trace(points, closed=False, corners=[named]).corners_m) == 1
    assert fit_trace(points, closed=False, corners=[]).corners_m == ()


def test_a_square_has_four_corners_and_straight_sides() -> None:
    corners = 0.1 * np.array([[0, 0], [1, 0], [1, 1], [0, 1], [0, 0]])
    square = np.vstack(
        [a + (b - a) * np.linspace(0, 1, 300)[:-1, None] for a, b in pairwise(corners)]
    )
    square = square + 2e-5 * np.random.default_rng(0).normal(size=square.shape)
    curve = fit_trace(square, closed=True)
    assert len(curve.corners_m) == 4
    assert curve.chain.length == pytest.approx(0.4, rel=1e-3)
    assert radius_range(curve, 1) is None or radius_range(curve, 1).middle_m > 0.5


def test_the_smallest_radius_is_read_within_the_stretch_asked_for() -> None:
    chain = bends((0.05, 0.1), (0.02, 0.06), (0.08, 0.1))
    assert smallest_radius_over(chain, 1)[0] == pytest.approx(0.02, rel=1e-9)
    assert 0.1 < smallest_radius_over(chain, 1)[1] < 0.16
    assert smallest_radius_over(chain, 1, end_m=0.1)[0] == pytest.approx(0.05, rel=1e-6)
    assert smallest_radius_over(chain, 1, start_m=0.16)[0] == pytest.approx(0.08, rel=1e-6)
    radius, where = smallest_radius_over(chain, -1)
    assert np.isinf(radius)
    assert np.isnan(where)


def test_an_overshoot_shorter_than_the_stretch_does_not_count() -> None:
    chain = bends((0.05, 0.1), (0.01, 0.002), (0.05, 0.1))
    # 18 mm at 50 mm and 2 mm at 10 mm: a mean of 28 per metre.
    assert smallest_radius_over(chain, 1)[0] == pytest.approx(1.0 / 28.0, rel=1e-6)


def test_a_stretch_over_the_start_of_a_loop() -> None:
    ring = Chain((Arc((0.0, 0.0), 0.0, 20.0, 0.1 * np.pi),))
    radius, _ = smallest_radius_over(ring, 1, start_m=0.3, end_m=0.02, closed=True)
    assert radius == pytest.approx(0.05, rel=1e-9)
    turn = np.linspace(0.0, 2.0 * np.pi, 700, endpoint=False)
    points = 0.05 * np.column_stack([np.cos(turn), np.sin(turn)])
    points += 1e-5 * np.random.default_rng(0).normal(size=points.shape)
    stated = radius_range(fit_trace(points, closed=True), 1, start_m=0.3, end_m=0.02)
    assert stated is not None
    assert stated.low_m <= 0.05 <= stated.high_m


@pytest.mark.parametrize(
    "points",
    [
        np.zeros((0, 2)),
        np.zeros((50, 2)),
        np.full((50, 2), np.nan),
        np.arange(12.0).reshape(6, 2),
        np.zeros((50, 3)),
    ],
    ids=["none", "one place", "no numbers", "too few", "not a plane"],
)
def test_what_is_no_trace_is_refused_in_one_line(points: np.ndarray) -> None:
    with pytest.raises(GeometryError, match="next:") as refused:
        fit_trace(points, closed=True)
    assert "\n" not in str(refused.value)


def test_a_figure_of_eight_is_refused() -> None:
    turn = np.linspace(0.0, 2.0 * np.pi, 900, endpoint=False)
    with pytest.raises(GeometryError, match="crosses itself"):
        fit_trace(np.column_stack([np.sin(turn), np.sin(2 * turn)]) * 0.1, closed=True)
