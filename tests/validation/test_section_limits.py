"""The hot, wet section against closed forms and against our own trial figures.

The table of trial figures is this project's own sketch (tension 4 GPa, compression yield
15 MPa, 2 % hardening, 2.1 mm, R to the concave face), computed before this code: it holds the
arithmetic, not nature.
"""

import numpy as np
import pytest

from rimwright.bending.parameters import DEFAULT
from rimwright.bending.section import Section

TRIAL = Section(yield_strain=15 / 4000, hardening=0.02)


@pytest.mark.parametrize(
    ("radius_mm", "middle_percent", "tension_percent", "share"),
    [
        (22, 4.6, 2.4, 0.26),
        (34, 3.0, 1.8, 0.30),
        (60, 1.7, 1.25, 0.36),
        (90, 1.15, 0.95, 0.41),
        (250, 0.42, 0.42, 0.50),
    ],
)
def test_our_own_trial_figures(held_against, radius_mm, middle_percent, tension_percent, share):
    bend = np.array([2.1 / (radius_mm + 1.05)])
    strain = float(TRIAL.tension_strain(bend)[0])
    digit = 0.05 if tension_percent in (2.4, 1.8) else 0.005
    held_against(
        f"tensile face strain, 2.1 mm round {radius_mm} mm",
        source="this project's own trial figures, not a publication",
        printed=tension_percent,
        ours=100 * strain,
        tolerance=digit,
        unit="%",
        why="half the last printed digit",
    )
    assert 50 * bend[0] == pytest.approx(middle_percent, abs=0.05)
    assert strain / bend[0] == pytest.approx(share, abs=0.005)


def test_the_defaults_are_the_trial_figures():
    assert Section.of(DEFAULT) == TRIAL


def test_elastic_bends_keep_the_neutral_axis_in_the_middle():
    bend = np.linspace(0.0, 2 * TRIAL.yield_strain, 9)
    assert np.array_equal(TRIAL.tension_strain(bend), bend / 2)


def test_perfectly_plastic_limit(held_against):
    """Without hardening equilibrium is ε² = 2 e w - e², so ε = sqrt(2 e b) - e, exactly."""
    e = 0.00375
    soft = Section(yield_strain=e, hardening=0.0)
    bend = np.linspace(2 * e, 0.2, 50)
    closed, ours = np.sqrt(2 * e * bend) - e, soft.tension_strain(bend)
    worst = int(np.argmax(np.abs(ours / closed - 1)))
    held_against(
        "face strain without hardening, the bend furthest off",
        source="equilibrium of a plastic section, closed form",
        printed=closed[worst],
        ours=ours[worst],
        tolerance=1e-12 * closed[worst],
        why="rounding",
    )


def test_full_hardening_is_elastic(held_against):
    hard = Section(yield_strain=0.001, hardening=1.0)
    bend = np.linspace(0.0, 0.2, 20)
    ours = hard.tension_strain(bend)
    worst = int(np.argmax(np.abs(ours - bend / 2)))
    held_against(
        "face strain with full hardening, the bend furthest off",
        source="elementary bending, t κ/2",
        printed=bend[worst] / 2,
        ours=ours[worst],
        tolerance=1e-13,
        why="rounding",
    )


def test_yield_without_stiffness_limit(held_against):
    """With next to no yield stress, ε = w sqrt(h): the slopes' two-modulus beam, closed form."""
    h = 0.04
    limp = Section(yield_strain=1e-12, hardening=h)
    root = np.sqrt(h)
    held_against(
        "face strain with next to no yield stress, t κ of 0.1",
        source="a beam of two moduli, closed form",
        printed=0.1 * root / (1 + root),
        ours=float(limp.tension_strain(np.array([0.1]))[0]),
        tolerance=1e-7,
        why="the yield stress left is not quite none",
    )


def test_force_vanishes_on_a_fine_section():
    """The stresses of 200,000 fibres add up to nothing: independent of the quadratic."""
    modulus, flow, h = 4e9, 15e6, 0.02
    for bend in (0.004, 0.02, 0.05, 0.1):
        face = float(TRIAL.tension_strain(np.array([bend]))[0])
        strain = face - bend * (np.arange(200_000) + 0.5) / 200_000
        elastic = modulus * strain
        flowing = -flow + h * modulus * (strain + flow / modulus)
        stress = np.where(strain < -flow / modulus, flowing, elastic)
        assert abs(stress.mean()) < 1e-6 * flow
