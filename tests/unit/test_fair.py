"""The fair curve: exact at its landmarks, least in variation, quick."""

import itertools
import time

import numpy as np
import pytest

from rimwright.curves.fair import Waypoint, Wish, fair_curve
from rimwright.curves.fair_span import BRICKS, LOCAL, spans
from rimwright.errors import GeometryError

WREN = [
    (0.0, 0.0, -0.5 * np.pi),
    (0.118, -0.178, 0.0),
    (0.268, -0.111, 0.0),
    (0.372, -0.134, 0.0),
    (0.470, 0.0, 0.5 * np.pi),
]


def waypoints(rows=WREN):
    return [Waypoint(position=(x, y), heading=heading) for x, y, heading in rows]


def test_derivatives_agree_with_differences():
    random = np.random.default_rng(3)
    place = np.column_stack([random.normal(size=(2, BRICKS + 1)), [1.0, 1.6], [0.3, -1.0]])
    weights = random.normal(size=(2, 4))

    def at(z):
        return spans(z[:, :-2], z[:, -2], z[:, -1])

    here, step = at(place), 1e-5
    hessian = here.curvature_of(weights, with_area=True)
    for j in range(LOCAL):
        move = np.zeros_like(place)
        move[:, j] = step
        ahead, behind = at(place + move), at(place - move)
        slope = (ahead.value - behind.value) / (2.0 * step)
        assert here.gradient[:, :, j] == pytest.approx(slope, abs=1e-8)
        bend = ((ahead.gradient - behind.gradient) * weights[:, :, None]).sum(axis=1)
        assert hessian[:, j] == pytest.approx(bend / (2.0 * step), abs=1e-7)


def test_landmarks_are_met_to_a_picometre():
    curve = fair_curve(waypoints())
    ends = curve.chain.stations[::BRICKS][:5]
    frame = curve.chain.at(ends)
    assert frame.position == pytest.approx(np.array(WREN)[:, :2], abs=1e-12)
    assert frame.heading == pytest.approx(np.array(WREN)[:, 2], abs=1e-12)


def test_bricks_join_without_gap_kink_or_jump_of_curvature():
    pieces = fair_curve(waypoints()).chain.pieces
    for before, after in itertools.pairwise(pieces):
        end, start = before.at(np.array([before.length])), after.at(np.zeros(1))
        assert end.position == pytest.approx(start.position, abs=1e-12)
        assert end.heading == pytest.approx(start.heading, abs=1e-12)
        assert end.curvature == pytest.approx(start.curvature, abs=1e-9)


def test_no_neighbour_that_meets_the_landmarks_varies_less():
    curve = fair_curve(waypoints())
    chain = curve.chain
    fixed = chain.at(np.linspace(0.0, chain.length, 5 * 4 + 1)[[3, 7, 10, 14, 18]])
    for i, s_place in enumerate(fixed.position):
        # Force the curve through a place a little beside it: variation can only grow.
        for aside in (-1e-4, 1e-4):
            x, y = s_place + aside * fixed.normal[i]
            rows = waypoints()
            rows.append(Waypoint(position=(float(x), float(y))))
            rows.sort(key=lambda w: w.position[0])
            assert fair_curve(rows).variation > curve.variation * (1.0 - 2e-2)
    # And much more for a place far beside it.
    x, y = fixed.position[2] + 0.004 * fixed.normal[2]
    rows = sorted(
        [*waypoints(), Waypoint(position=(float(x), float(y)))], key=lambda w: w.position[0]
    )
    assert fair_curve(rows).variation > 1.1 * curve.variation


def test_curvature_ends_level_so_that_the_halves_join_smoothly():
    # At a seam in a mirror a free curvature must arrive without slope; bricks leave a little.
    bends = fair_curve(waypoints()).unknowns[: 4 * BRICKS + 1]
    steps = np.abs(np.diff(bends))
    assert steps[0] < 0.25 * steps.max()
    assert steps[-1] < 0.5 * steps.max()


def test_an_area_is_met():
    wishes = [Wish(area=0.3 * 0.118 * 0.178, least=0.0), Wish(), Wish(), Wish()]
    curve = fair_curve(waypoints(), wishes)
    points = curve.span(0, 1).points(1e-8)
    x, y = points.T
    area = 0.5 * np.sum(x[:-1] * np.diff(y) - y[:-1] * np.diff(x))
    assert area == pytest.approx(0.3 * 0.118 * 0.178, abs=2e-9)


def test_curvature_stays_within_its_bounds():
    free = fair_curve(waypoints()).span(0, 1).curvature_range()
    wishes = [Wish(least=3.5, most=10.5), Wish(), Wish(), Wish()]
    low, high = fair_curve(waypoints(), wishes).span(0, 1).curvature_range()
    assert free[0] < 3.4
    assert free[1] > 10.6
    assert low == pytest.approx(3.5, abs=1e-6)
    assert high == pytest.approx(10.5, abs=1e-6)


def test_an_end_on_a_circle_is_tangent_to_it():
    centre, radius = np.array([0.12, -0.05]), 0.02
    curve = fair_curve(
        [
            Waypoint(position=(0.0, -0.1), heading=0.0, curvature=8.0),
            Waypoint(position=(0.12, -0.05), radius=radius, heading_guess=0.5),
        ]
    )
    end = curve.chain.end()
    assert curve.chain.start().curvature[0] == pytest.approx(8.0)
    assert np.hypot(*(end.position[0] - centre)) == pytest.approx(radius, abs=1e-12)
    # The centre lies on the normal.
    assert end.position[0] + radius * end.normal[0] == pytest.approx(centre, abs=1e-12)


def test_a_warm_start_finds_the_same_curve_in_fewer_steps():
    first = fair_curve(waypoints())
    moved = [*WREN]
    moved[2] = (0.2683, -0.1112, 0.0)
    cold = fair_curve(waypoints(moved))
    warm = fair_curve(waypoints(moved), start=first)
    assert warm.unknowns == pytest.approx(cold.unknowns, abs=1e-9)
    assert warm.steps <= cold.steps


def test_mirrored_landmarks_give_the_mirrored_curve_and_scaled_ones_the_scaled():
    plain = fair_curve(waypoints())
    mirrored = fair_curve(waypoints([(x, -y, -heading) for x, y, heading in WREN]))
    larger = fair_curve(waypoints([(2 * x, 2 * y, heading) for x, y, heading in WREN]))
    s = np.linspace(0.0, plain.chain.length, 50)
    position = plain.chain.at(s).position
    assert mirrored.chain.at(s).position == pytest.approx(position * [1.0, -1.0], abs=1e-10)
    assert larger.chain.at(2.0 * s).position == pytest.approx(2.0 * position, abs=1e-10)


def test_one_solve_is_quick_enough_to_drag():
    times = []
    for _ in range(15):
        begin = time.perf_counter()
        fair_curve(waypoints())
        times.append(time.perf_counter() - begin)
    # 10 ms is promised, about 2 ms usual; the best of many is what the code takes.
    assert min(times) < 0.010


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([(0.0, 0.0, 0.0), (0.0, 0.0, 1.0)], "coincide"),
        ([(0.0, 0.0, 0.0), (np.nan, 0.0, 1.0)], "coincide"),
    ],
)
def test_landmarks_that_cannot_be_are_refused(rows, words):
    with pytest.raises(GeometryError, match=words):
        fair_curve(waypoints(rows))


def test_bounds_that_contradict_the_landmarks_are_refused():
    # A quarter turn to the left that may only bend right.
    ends = [
        Waypoint(position=(0.0, 0.0), heading=0.0),
        Waypoint(position=(0.1, 0.1), heading=0.5 * np.pi),
    ]
    with pytest.raises(GeometryError, match="no smooth curve"):
        fair_curve(ends, [Wish(most=-1.0)])
