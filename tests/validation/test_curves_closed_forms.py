"""Curves against closed forms.

Sources, cited from memory and computed anew by scipy.special where it has the function:

- M. Abramowitz and I. A. Stegun (eds.), Handbook of Mathematical Functions, NBS, 1964:
  table 17.1 (complete elliptic integrals), table 7.8 (Fresnel integrals).
- NIST Digital Library of Mathematical Functions, 7.2.7-7.2.8 (Fresnel integrals), 19.30.5
  (perimeter of an ellipse, L = 4 a E(k)).
- J. Steiner's formula for parallel curves: length less distance times turn.

Lengths are held to 1e-6 m, what is promised of an outline, on curves of about a metre.
"""

import numpy as np
import pytest
from scipy.interpolate import make_interp_spline
from scipy.special import ellipe, fresnel

from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.curves.clothoid import Clothoid
from rimwright.curves.fair import Waypoint, fair_curve
from rimwright.curves.spline import Spline

#: What is promised of an outline's length. [m]
PROMISED = 1e-6


def ellipse(a: float, b: float, samples: int = 61) -> Spline:
    """A quarter from the end of axis a to that of b, as a quintic through its points."""
    t = np.linspace(0.0, 0.5 * np.pi, samples)
    curve = make_interp_spline(t, np.column_stack([a * np.cos(t), b * np.sin(t)]), k=5)
    return Spline(np.asarray(curve.t), np.asarray(curve.c), 5)


def test_circle_of_two_arcs(held_against):
    half = Arc((0.0, 0.0), -0.5 * np.pi, 5.0, 0.2 * np.pi)
    other = Arc((0.4, 0.0), 0.5 * np.pi, 5.0, 0.2 * np.pi)
    circle = Chain((half, other))
    held_against(
        "circumference of a circle of 200 mm radius",
        source="elementary geometry, 2 pi r",
        printed=2.0 * np.pi * 0.2,
        ours=circle.length,
        tolerance=1e-15,
        unit="m",
        why="rounding",
    )
    assert circle.end().position[0] == pytest.approx([0.0, 0.0], abs=1e-15)
    assert circle.at(np.array([0.1 * np.pi])).position[0] == pytest.approx([0.2, -0.2], abs=1e-15)


def test_ellipse_quarter_of_the_printed_table(held_against):
    # Half axes 1 and sqrt(1/2): the parameter is m = 1/2.
    held_against(
        "quarter of an ellipse with m = 1/2, half axis 1 m",
        source="Abramowitz and Stegun 1964, table 17.1, E(1/2)",
        printed=1.350643881047676,
        ours=ellipse(1.0, np.sqrt(0.5)).length,
        tolerance=PROMISED,
        unit="m",
        why="promised length; the quintic through 61 points strays by 1e-11",
    )


@pytest.mark.parametrize(("a", "b"), [(0.178, 0.118), (0.128, 0.120), (0.2, 0.05)])
def test_ellipse_perimeter_by_the_elliptic_integral(held_against, a, b):
    held_against(
        f"perimeter of an ellipse {2e3 * a:.0f} by {2e3 * b:.0f} mm",
        source="DLMF 19.30.5, L = 4 a E(k)",
        printed=4.0 * a * ellipe(1.0 - (b / a) ** 2),
        ours=4.0 * ellipse(a, b).length,
        tolerance=PROMISED,
        unit="m",
        why="promised length",
    )
    low, high = ellipse(a, b).curvature_range()
    for which, printed, ours in (
        ("smallest", b**2 / a, 1.0 / high),
        ("greatest", a**2 / b, 1.0 / low),
    ):
        held_against(
            f"{which} radius of an ellipse {2e3 * a:.0f} by {2e3 * b:.0f} mm",
            source="closed form, b²/a and a²/b",
            printed=printed,
            ours=ours,
            tolerance=1e-4 * printed,
            unit="m",
            why="the spline's second derivative",
        )


def test_ellipse_length_converges_with_the_points_given():
    exact = 0.178 * ellipe(1.0 - (0.118 / 0.178) ** 2)
    errors = [abs(ellipse(0.178, 0.118, n).length - exact) for n in (8, 15, 29)]
    orders = np.log2(np.array(errors[:-1]) / np.array(errors[1:]))
    # A quintic through points is of order six; its ends cost it a little.
    assert orders.min() > 4.5


def test_clothoid_of_the_printed_table(held_against):
    # Curvature pi s: the Fresnel integrals with pi t² / 2.
    end = Clothoid((0.0, 0.0), 0.0, 0.0, np.pi, 1.0).at(np.array([1.0])).position[0]
    for name, printed, ours in (
        ("C(1)", 0.7798934004, end[0]),
        ("S(1)", 0.4382591474, end[1]),
    ):
        held_against(
            f"Fresnel integral {name}, the end of a clothoid",
            source="Abramowitz and Stegun 1964, table 7.8",
            printed=printed,
            ours=float(ours),
            tolerance=5e-11,
            why="half the last printed digit",
        )


def test_clothoid_along_its_length_and_wound_up_tight(held_against):
    s = np.linspace(0.0, 5.0, 401)
    frame = Clothoid((0.0, 0.0), 0.0, 0.0, 5.0 * np.pi, 5.0).at(s)
    sine, cosine = fresnel(s)
    off = np.abs(frame.position - np.column_stack([cosine, sine]))
    worst = np.unravel_index(np.argmax(off), off.shape)
    held_against(
        "clothoid turned by two full turns and more, the coordinate furthest off",
        source="Fresnel integrals as scipy has them",
        printed=np.column_stack([cosine, sine])[worst],
        ours=frame.position[worst],
        tolerance=1e-12,
        why="rounding of the quadrature",
    )
    assert frame.heading == pytest.approx(0.5 * np.pi * s**2)


def test_clothoid_bricks_end_where_the_fresnel_integrals_do(held_against):
    # The short form with few points, as the fair curve uses it.
    for turn in (0.01, 0.1, 0.29, 0.31, 1.0, 1.49, 1.51):
        rate = 2.0 * turn
        end = Clothoid((0.0, 0.0), 0.0, 0.0, rate, 1.0).at(np.array([1.0])).position[0]
        scale = np.sqrt(np.pi / rate)
        sine, cosine = fresnel(1.0 / scale)
        for axis, printed in enumerate((scale * cosine, scale * sine)):
            held_against(
                f"end of a short clothoid turned by {turn:g} rad, {'xy'[axis]}",
                source="Fresnel integrals as scipy has them",
                printed=printed,
                ours=end[axis],
                tolerance=1e-14,
                why="rounding",
            )


@pytest.mark.parametrize("distance", [0.002, 0.015, -0.02])
def test_parallel_of_an_ellipse_is_shorter_by_distance_times_turn(held_against, distance):
    # The quarter runs counter-clockwise, so its inside lies to the left.
    a, b = 0.178, 0.118
    parallel = Chain((ellipse(a, b),)).offset(distance)
    held_against(
        f"line {1e3 * distance:.0f} mm inside a quarter ellipse",
        source="Steiner's formula with DLMF 19.30.5",
        printed=a * ellipe(1.0 - (b / a) ** 2) - distance * 0.5 * np.pi,
        ours=parallel.length,
        tolerance=PROMISED,
        unit="m",
        why="promised length",
    )
    # The same length again by the points alone.
    points = parallel.at(np.linspace(0.0, parallel.length, 20_001)).position
    assert np.hypot(*np.diff(points, axis=0).T).sum() == pytest.approx(parallel.length, abs=1e-8)


def test_fair_curve_through_points_of_a_circle_is_the_circle(held_against):
    angles = np.radians([-90.0, -20.0, 30.0, 110.0, 180.0])
    waypoints = [
        Waypoint(
            position=(0.2 * np.cos(angle), 0.2 * np.sin(angle)),
            heading=angle + 0.5 * np.pi if i in (0, 4) else None,
        )
        for i, angle in enumerate(angles)
    ]
    curve = fair_curve(waypoints)
    held_against(
        "length of the fair curve through points of a circle of 200 mm radius",
        source="a circle's curvature does not vary, so it is its own fairest curve",
        printed=0.3 * np.pi,
        ours=curve.chain.length,
        tolerance=1e-12,
        unit="m",
        why="landmarks are met to 1e-12 m",
    )
    assert np.array(curve.chain.curvature_range()) == pytest.approx([5.0, 5.0], abs=1e-7)
    assert curve.variation < 1e-12


def test_fair_curve_never_varies_more_than_a_clothoid_that_fits():
    spiral = Clothoid((0.0, 0.0), 0.0, 0.0, 8.0, 0.15)
    end = spiral.at(np.array([0.15]))
    x, y = (float(value) for value in end.position[0])
    curve = fair_curve(
        [
            Waypoint(position=(0.0, 0.0), heading=0.0, curvature=0.0),
            Waypoint(position=(x, y), heading=float(end.heading[0]), curvature=8.0),
        ]
    )
    # The clothoid's is its rate of curvature squared times its length.
    assert 0.0 < curve.variation <= (8.0 / 0.15) ** 2 * 0.15 * (1.0 + 1e-9)
