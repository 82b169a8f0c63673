"""What holds of every fibre section: balance, mirror, scale, and nothing gained at release."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from counts import times
from rimwright.bending.history import FibreHistory
from rimwright.bending.law import DEFAULT_LAW, LAW_NAMES
from rimwright.bending.virtual_many import Timetable, bend_many, conditions

TIME = np.concatenate([np.linspace(0.0, 60.0, 61), [300.0, 3000.0, 9e4, 9e4, 1e5]])
TABLE = Timetable(TIME, np.minimum(TIME / 60.0, 1.0)[:, None], 64)


@st.composite
def laws(draw):
    law = DEFAULT_LAW.vector()
    for name in LAW_NAMES:
        value = getattr(DEFAULT_LAW, name)
        if name != "grip_pa" and value.low < value.high:
            law[LAW_NAMES.index(name)] = draw(st.floats(value.low, value.high))
    return law


histories = st.tuples(
    st.floats(20.0, 170.0), st.floats(20.0, 170.0), st.floats(0.02, 0.28), st.floats(0.02, 0.28)
)
curvatures = st.floats(-45.0, 45.0).filter(lambda value: abs(value) > 0.1)


def bend(law, heat, thickness, inside, mirrored=False, fibres=11):
    in_c, out_c, in_m, out_m = heat
    if mirrored:
        in_c, out_c, in_m, out_m = out_c, in_c, out_m, in_m
    across = np.linspace(0.0, 1.0, 7)
    hot = np.array([in_c + across * (out_c - in_c)] * 2 + [np.full(7, 21.0)] * 2)
    wet = np.array([in_m + across * (out_m - in_m)] * 2 + [np.full(7, 0.085)] * 2)
    history = FibreHistory(np.array([0.0, 200.0, 2000.0, 2e5]), hot, wet)
    return bend_many(
        law,
        thickness_m=np.array([thickness]),
        inside_curvature=np.array([inside]),
        timetable=TABLE,
        conditions=conditions([history], TIME, fibres),
        record=True,
    )


def inside_of(middle, thickness):
    return middle / (1.0 - 0.5 * thickness * middle)


@settings(max_examples=times(60), deadline=None)
@given(laws(), histories, st.floats(0.0008, 0.004), curvatures)
def test_released_between_flat_and_home(law, heat, thickness, middle):
    done = bend(law, heat, thickness, inside_of(middle, thickness))
    kept = done.released[0, 0] / middle
    assert -1e-6 <= kept <= 1.0 + 1e-6
    assert np.all(np.isfinite(done.record))
    # Let go, no moment is left, then or later.
    held = np.abs(done.record[0, :64, 2, 0]).max()
    assert np.abs(done.record[0, 64:, 2, 0]).max() <= 1e-6 * held


@settings(max_examples=times(40), deadline=None)
@given(laws(), histories, st.floats(0.0008, 0.004), curvatures)
def test_bent_the_other_way_the_faces_change_places(law, heat, thickness, middle):
    one = bend(law, heat, thickness, inside_of(middle, thickness))
    other = bend(law, heat, thickness, inside_of(-middle, thickness), mirrored=True)
    assert np.isclose(one.released[0, 0], -other.released[0, 0], rtol=1e-6, atol=1e-9)
    assert np.allclose(one.stretch[0, 0], other.stretch[0, 1], rtol=1e-6, atol=1e-9)
    assert np.allclose(one.stretch[0, 1], other.stretch[0, 0], rtol=1e-6, atol=1e-9)


@settings(max_examples=times(40), deadline=None)
@given(laws(), histories, st.floats(0.0008, 0.004), curvatures, st.floats(0.3, 3.0))
def test_only_thickness_times_curvature_counts(law, heat, thickness, middle, scale):
    one = bend(law, heat, thickness, inside_of(middle, thickness))
    other = bend(law, heat, thickness * scale, inside_of(middle / scale, thickness * scale))
    assert np.isclose(one.released[0, 0], scale * other.released[0, 0], rtol=1e-6, atol=1e-8)
    assert np.allclose(one.stretch, other.stretch, rtol=1e-6, atol=1e-9)


@settings(max_examples=times(40), deadline=None)
@given(laws(), histories, st.floats(1.0, 45.0))
def test_the_outside_face_stretches_less_than_the_whole_bend(law, heat, middle):
    """Nothing pulls the side: the tension face takes a part of t κ, the other the rest."""
    thickness = 0.0021
    done = bend(law, heat, thickness, inside_of(middle, thickness))
    strain, bent = done.record[0, 60, 0, 0], done.record[0, 60, 1, 0]
    outside = strain + 0.5 * thickness * bent
    assert 0.0 < outside < thickness * middle
