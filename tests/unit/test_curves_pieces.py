"""Pieces of curve in the awkward cases that drawings bring."""

import subprocess
import sys

import numpy as np
import pytest

from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.curves.clothoid import Clothoid
from rimwright.curves.spline import Spline
from rimwright.errors import GeometryError


def numbers(frame):
    return all(np.all(np.isfinite(v)) for v in (frame.position, frame.heading, frame.curvature))


def test_handles_that_lie_on_their_ends_keep_the_direction():
    # As vector editors write a curve whose handle was drawn back: it leaves along its chord
    # to the next control point.
    control = np.array([[0.0, 0.0], [0.0, 0.0], [0.1, 0.1], [0.2, 0.0]])
    spline = Spline.bezier(control)
    frame = spline.at(np.array([0.0, spline.length]))
    assert frame.heading[0] == pytest.approx(np.pi / 4, abs=0.02)
    assert frame.heading[1] == pytest.approx(-np.pi / 4, abs=1e-9)
    # Its bend there is what it is a little further in, not infinite.
    assert spline.curvature_range()[0] > -100.0


@pytest.mark.parametrize("second", [(0.0, 0.0), (0.1, 0.05)])
def test_a_line_written_as_a_curve_is_straight(second):
    control = np.array([[0.0, 0.0], second, [0.2, 0.1], [0.2, 0.1]])
    spline = Spline.bezier(control)
    frame = spline.at(np.linspace(0.0, spline.length, 21))
    assert spline.length == pytest.approx(np.hypot(0.2, 0.1), abs=1e-14)
    assert frame.heading == pytest.approx(np.full(21, np.arctan2(1, 2)), abs=1e-9)
    assert frame.curvature == pytest.approx(np.zeros(21), abs=1e-6)


def test_a_cusp_has_its_length_and_no_nan():
    # The Bezier form of (t³, t²) from t = -1 to 1, with its cusp in the middle.
    control = np.array([[-1.0, 1.0], [1.0, -1.0 / 3.0], [-1.0, -1.0 / 3.0], [1.0, 1.0]])
    spline = Spline.bezier(control)
    exact = 2.0 * (13.0 * np.sqrt(13.0) - 8.0) / 27.0
    assert spline.length == pytest.approx(exact, abs=1e-9)
    assert numbers(spline.at(np.linspace(0.0, spline.length, 101)))


def test_a_spline_that_runs_back_on_itself_has_its_length():
    spline = Spline.bezier(np.array([[0.0, 0.0], [2.0, 0.0], [-1.0, 0.0], [1.0, 0.0]]))
    u = np.linspace(0.0, 1.0, 400_001)
    x = 6 * u * (1 - u) ** 2 - 3 * u**2 * (1 - u) + u**3
    assert spline.length == pytest.approx(np.abs(np.diff(x)).sum(), abs=1e-9)
    assert numbers(spline.at(np.linspace(0.0, spline.length, 101)))


@pytest.mark.parametrize("repeats", [1, 2, 3, 4])
def test_repeated_knots(repeats):
    random = np.random.default_rng(4)
    knots = np.array([0, 0, 0, 0, 0.3, *[0.5] * repeats, 0.8, 1, 1, 1, 1], dtype=float)
    control = random.normal(size=(len(knots) - 4, 2)).cumsum(axis=0)
    if repeats == 4:
        # A full break that the drawing leaves closed.
        control[5] = control[4]
    spline = Spline(knots, control)
    length = spline.length
    assert numbers(spline.at(np.linspace(0.0, length, 101)))
    for share in (0.0, 0.2, 0.55):
        part = spline.between(share * length, 0.9 * length)
        assert part.length == pytest.approx((0.9 - share) * length, rel=1e-11)
        s = np.linspace(0.0, part.length, 11)
        there = spline.at(share * length + s).position
        assert part.at(s).position == pytest.approx(there, abs=1e-10)


@pytest.mark.parametrize(
    ("knots", "control"),
    [
        ([0, 0, 0, 0, 1, 1, 1], np.zeros((4, 2))),
        ([0, 0, 0, 0, 1, 0.5, 1, 1], np.zeros((4, 2))),
        ([0, 0, 0, 0, 0, 0, 0, 0], np.zeros((4, 2))),
        ([0, 0, 0, 0, 1, 1, 1, 1], np.full((4, 2), np.nan)),
        ([0, 0, 0, 0, np.inf, 1, 1, 1], np.zeros((4, 2))),
    ],
)
def test_knots_and_points_that_do_not_belong_together_are_refused(knots, control):
    with pytest.raises(GeometryError, match="do not belong together"):
        Spline(np.array(knots, dtype=float), control)


def test_a_curve_of_no_length_is_refused():
    with pytest.raises(GeometryError, match="no length"):
        _ = Spline.bezier(np.full((4, 2), 0.1)).length


def test_pieces_of_no_length_do_no_harm_in_a_chain():
    chain = Chain(
        (
            Arc((0.0, 0.0), 0.0, 10.0, 0.0),
            Arc.line((0.0, 0.0), (0.1, 0.0)),
            Clothoid((0.1, 0.0), 0.0, 0.0, 5.0, 0.0),
            Clothoid((0.1, 0.0), 0.0, 0.0, 5.0, 0.1),
        )
    )
    assert chain.length == pytest.approx(0.2)
    assert numbers(chain.at(np.linspace(-0.1, 0.3, 41)))
    assert chain.reversed().length == pytest.approx(0.2)
    assert np.all(np.isfinite(chain.points()))


def test_bulges_are_arcs():
    half = Arc.bulge((0.0, 0.0), (0.2, 0.0), 1.0)
    assert half.length == pytest.approx(0.1 * np.pi)
    assert half.at(np.array([half.length])).position[0] == pytest.approx([0.2, 0.0], abs=1e-15)
    # A bulge to the right of the travel is negative, more than a half turn above one.
    wide = Arc.bulge((0.0, 0.0), (0.1, 0.1), -2.5)
    assert wide.curvature < 0
    assert wide.at(np.array([wide.length])).position[0] == pytest.approx([0.1, 0.1], abs=1e-15)
    assert wide.turn < -np.pi
    assert Arc.bulge((0.0, 0.0), (0.1, 0.0), 0.0).curvature == 0.0


def test_headings_continue_over_joints_and_corners_show():
    square = Chain(
        tuple(
            Arc.line(a, b)
            for a, b in [((0, 0), (1, 0)), ((1, 0), (1, 1)), ((1, 1), (0, 1)), ((0, 1), (0, 0))]
        )
    )
    assert square.at(np.array([0.5, 1.5, 2.5, 3.5])).heading == pytest.approx(
        np.arange(4) * np.pi / 2
    )


def test_landmarks_are_drawn_without_scipy():
    # scipy.interpolate alone takes a quarter of a second to load.
    program = (
        "import sys; import rimwright.instrument.measures.landmarks as l;"
        "from rimwright.instrument.design import Landmarks;"
        "l.outline_from_landmarks(Landmarks(body_length_m=0.28, lower_width_m=0.2,"
        "lower_station_m=0.07, waist_width_m=0.13, waist_station_m=0.165,"
        "upper_width_m=0.15, upper_station_m=0.225));"
        "sys.exit(any(name.split('.')[0] == 'scipy' for name in sys.modules))"
    )
    assert subprocess.run([sys.executable, "-c", program], check=False).returncode == 0
