"""What must hold of the section, the capacity and cupping for any numbers."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from counts import times
from rimwright.bending.capacity import lowered
from rimwright.bending.cupping import edge_lift, plate_share
from rimwright.bending.parameters import DEFAULT
from rimwright.bending.section import Section, middle_curvature, thickness_for

bends = st.floats(1e-6, 0.3)
sections = st.builds(Section, yield_strain=st.floats(1e-5, 0.02), hardening=st.floats(0.0, 1.0))


@given(section=sections, bend=bends)
def test_there_and_back(section, bend):
    strain = section.tension_strain(np.array([bend]))
    assert np.isclose(section.bend_for(strain)[0], bend, rtol=1e-6)


@given(section=sections, bend=bends, more=st.floats(1.0001, 3.0))
def test_strain_grows_with_the_bend_and_stays_under_half(section, bend, more):
    low, high = section.tension_strain(np.array([bend, bend * more]))
    assert 0.0 < low <= high
    assert low <= 0.5 * bend * (1 + 1e-12)


@given(section=sections, bend=bends, scale=st.floats(0.1, 10.0))
def test_only_the_ratio_of_bend_to_yield_counts(section, bend, scale):
    scaled = Section(section.yield_strain * scale, section.hardening)
    one = section.tension_strain(np.array([bend]))[0]
    other = scaled.tension_strain(np.array([bend * scale]))[0]
    assert np.isclose(other, one * scale, rtol=1e-9)


@given(
    bend=st.floats(1e-3, 0.5),
    radius=st.floats(0.005, 10.0),
    convex=st.booleans(),
)
def test_thickness_makes_the_bend(bend, radius, convex):
    line = np.array([1.0 / radius if convex else -1.0 / radius])
    thickness = thickness_for(bend, line)
    assert np.isclose(thickness[0] * middle_curvature(line, thickness)[0], bend, rtol=1e-9)


@given(angle=st.floats(0.0, 1.4), figure=st.sampled_from([None, "plain", "some", "strong"]))
def test_figure_and_grain_never_raise_the_capacity(angle, figure):
    left, _ = lowered(DEFAULT, figure=figure, grain_angle_rad=angle)
    assert 0.0 < left <= 1.0


@settings(max_examples=times(50))
@given(
    searle=st.floats(1e-6, 1e10),
    poisson=st.floats(0.05, 0.5),
    ratio=st.floats(0.03, 1.0),
)
def test_between_beam_and_plate(searle, poisson, ratio):
    share = plate_share(searle, poisson=poisson, across_over_along=ratio)
    assert -1e-9 <= share <= 1.0
    lift = edge_lift(0.1, searle * 0.002 / 0.01, 0.002, poisson=poisson, across_over_along=ratio)
    assert 0.0 <= lift < 0.002
