"""Cupping against an independent solution and against its published limits.

Sources: G. F. C. Searle, Experimental Elasticity, Cambridge 1908; D. G. Ashwell, J. Royal
Aeronautical Society 54, 1950; both from memory. The profile is solved again here by finite
differences, and the moment by summing stresses, neither of which the code does.
"""

import numpy as np
import pytest

from rimwright.bending.cupping import boundary, edge_lift, plate_share, searle_parameter

METAL = {"poisson": 0.3, "across_over_along": 1.0}
WOOD = {"poisson": 0.45, "across_over_along": 0.1}


def _by_differences(width, kappa, t, *, poisson, across_over_along, n=2001):
    """Edge lift, and moment over a narrow beam's, for stiffness 1 along the grain."""
    r = across_over_along
    plate = t**3 / (12 * (1 - poisson**2 * r))
    y = np.linspace(-width / 2, width / 2, n)
    h = y[1] - y[0]
    # Unknowns w at n points and two ghosts at each side.
    size = n + 4
    a, b = np.zeros((size, size)), np.zeros(size)
    fourth = np.array([1, -4, 6, -4, 1]) / h**4
    for i in range(n):
        a[i, i : i + 5] = r * plate * fourth
        a[i, i + 2] += t * kappa**2
    second, third = np.array([1, -2, 1]) / h**2, np.array([-1, 2, 0, -2, 1]) / (2 * h**3)
    for row, i in ((n, 2), (n + 1, n + 1)):
        a[row, i - 1 : i + 2] = second
        b[row] = poisson * kappa
    for row, i in ((n + 2, 2), (n + 3, n + 1)):
        a[row, i - 2 : i + 3] = third
    scale = np.abs(a).max(axis=1)
    w = np.linalg.solve(a / scale[:, None], b / scale)
    bend_across = (w[1:-3] - 2 * w[2:-2] + w[3:-1]) / h**2
    inner = w[2:-2]
    moment = np.trapezoid(plate * (kappa - poisson * r * bend_across) + t * kappa * inner**2, y)
    return abs(inner[-1] - inner[n // 2]), moment / (t**3 / 12 * kappa * width)


@pytest.mark.parametrize("ratios", [METAL, WOOD])
@pytest.mark.parametrize("kappa", [1.0, 6.0, 45.0])
def test_profile_and_moment_by_finite_differences(held_against, ratios, kappa):
    """Tolerance: the differences converge with h², here a few parts in a thousand."""
    width, t = 0.05, 0.002
    lift, stiff = _by_differences(width, kappa, t, **ratios, n=801)
    kind = "metal" if ratios is METAL else "wood"
    held_against(
        f"lift of the edges of a free strip, {kind}, curvature {kappa:g} per metre",
        source="its differential equation by finite differences (Searle 1908, Ashwell 1950)",
        printed=lift * 1e3,
        ours=edge_lift(width, kappa, t, **ratios) * 1e3,
        tolerance=0.01 * lift * 1e3,
        unit="mm",
        why="the differences converge with h², here a few parts in a thousand",
    )
    share = plate_share(searle_parameter(width, kappa, t), **ratios)
    nu2 = ratios["poisson"] ** 2 * ratios["across_over_along"]
    held_against(
        f"moment over a narrow beam's, {kind}, curvature {kappa:g} per metre",
        source="the same, summed over the section",
        printed=stiff,
        ours=(1 - nu2 * (1 - share)) / (1 - nu2),
        tolerance=5e-4,
        why="the differences converge with h²",
    )


def test_narrow_strip_takes_the_whole_anticlastic_curvature(held_against):
    width, kappa, t = 0.004, 2.0, 0.003
    lift = edge_lift(width, kappa, t, **METAL)
    held_against(
        "edge lift of a narrow strip over ν κ b²/8",
        source="Searle 1908, Experimental Elasticity, from memory",
        printed=1.0,
        ours=lift / (0.3 * kappa * width**2 / 8),
        tolerance=1e-3,
        why="the closed form is the limit of zero width; here Searle's number is 0.01",
    )
    assert plate_share(searle_parameter(width, kappa, t), **METAL) < 1e-3


def test_wide_strip_is_a_plate(held_against):
    share = plate_share(1e8, **METAL)
    held_against(
        "stiffness of a wide strip over a narrow one's, ν = 0.3",
        source="plate theory: 1/(1 - ν²); Ashwell 1950, from memory",
        printed=1 / (1 - 0.09),
        ours=(1 - 0.09 * (1 - share)) / (1 - 0.09),
        tolerance=1e-4,
        why="the limit of endless width; here Searle's number is 1e8",
    )
    held_against(
        "edge lift of a wide strip over its thickness, ν = 0.3",
        source="Ashwell 1950, from memory: ν / sqrt(12 (1 - ν²))",
        printed=0.3 / np.sqrt(12 * (1 - 0.09)),
        ours=edge_lift(1.0, 50.0, 0.001, **METAL) / 0.001,
        tolerance=1e-6,
        why="closed form",
    )


def test_boundary_width_goes_with_the_root_of_thickness_over_curvature(held_against):
    width, kappa, t = 0.1, 40.0, 0.002
    reach = width / boundary(searle_parameter(width, kappa, t), **METAL)
    held_against(
        "length in which the curl of a metal strip's edge dies away",
        source="its differential equation, closed form (Ashwell 1950, from memory)",
        printed=1e3 * np.sqrt(t / kappa) / (3 * (1 - 0.09)) ** 0.25,
        ours=1e3 * reach,
        tolerance=1e-9,
        unit="mm",
        why="rounding",
    )
