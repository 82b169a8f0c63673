"""Compensation of any side: wood that keeps all of its bend, or an even share of it."""

from itertools import pairwise

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from counts import times
from rimwright.bending.compensation_line import compensated_rim
from rimwright.bending.compensation_solve import eased, form_curvature
from rimwright.bending.release import released_outline
from rimwright.curves.chain import Chain
from rimwright.curves.clothoid import Clothoid
from rimwright.instrument.outline import RimPiece

curvatures = st.lists(st.floats(-30.0, 45.0), min_size=3, max_size=9)


def rim_of(values: list[float], hand: str) -> RimPiece:
    """A line whose curvature runs evenly from each value to the next over 40 mm."""
    sign = 1.0 if hand == "bass" else -1.0
    at, heading, pieces = (0.0, 0.0), -0.5 * np.pi * sign, []
    for first, last in pairwise(values):
        piece = Clothoid(at, heading, sign * first, sign * last, 0.040)
        end = piece.at(np.array([piece.length]))
        at, heading = (float(end.position[0, 0]), float(end.position[0, 1])), float(end.heading[0])
        pieces.append(piece)
    return RimPiece(hand, "main", Chain(tuple(pieces)))


def read(rim: RimPiece, thickness: float) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    s = np.linspace(0.0, rim.length, int(rim.length / 0.001) + 1)
    outer = rim.at(s).curvature
    thick = np.full_like(s, thickness)
    return s, thick, outer / (1.0 - thick * outer), outer / (1.0 - 0.5 * thick * outer)


WIDE = 1e6


@settings(max_examples=times(40), deadline=None)
@given(curvatures, st.sampled_from(["bass", "treble"]), st.floats(0.001, 0.004))
def test_wood_that_keeps_its_bend_needs_the_outline_itself(values, hand, thickness):
    rim = rim_of(values, hand)
    s, thick, inside, middle = read(rim, thickness)

    def set_for_good(k):
        return k / (1.0 + 0.5 * thick * k), np.abs(k)

    found, _ = form_curvature(
        set_for_good, inside, middle, np.full_like(s, -WIDE), np.full_like(s, WIDE)
    )
    np.testing.assert_allclose(found, inside, rtol=0.0, atol=1e-9)
    line, at = compensated_rim(rim, s, thickness_m=thick, inside_curvature=found)
    assert line is rim
    np.testing.assert_array_equal(at, s)


@settings(max_examples=times(40), deadline=None)
@given(
    curvatures,
    st.sampled_from(["bass", "treble"]),
    st.floats(0.001, 0.003),
    st.floats(0.55, 0.97),
)
def test_wood_that_keeps_a_share_comes_off_on_the_outline(values, hand, thickness, kept):
    rim = rim_of(values, hand)
    s, thick, inside, middle = read(rim, thickness)

    def released(k):
        return kept * k / (1.0 + 0.5 * thick * k), np.abs(k)

    found, _ = form_curvature(
        released, inside, middle, np.full_like(s, -WIDE), np.full_like(s, WIDE)
    )
    back = released_outline(rim, s, thickness_m=thick, middle_curvature=released(found)[0])
    assert np.hypot(*(back - rim.at(s).position).T).max() < 0.02e-3
    # Bent back, the drawn line of the form is as long in its middle.
    line, at = compensated_rim(rim, s, thickness_m=thick, inside_curvature=found)
    ends = [
        one.length - 0.5 * thickness * float(one.turn_to(np.array([one.length]))[0])
        for one in (rim, line)
    ]
    assert abs(ends[1] - ends[0]) < 2e-5
    on_form = released_outline(
        rim, s, thickness_m=thick, middle_curvature=found / (1.0 + 0.5 * thick * found)
    )
    assert np.hypot(*(on_form - line.at(at).position).T).max() < 0.1e-3


@settings(max_examples=times(60), deadline=None)
@given(
    st.lists(st.floats(1.0, 40.0), min_size=1, max_size=20),
    st.floats(1.01, 1.6),
    st.floats(0.001, 0.05),
)
def test_a_ceiling_is_never_passed_and_never_eases_below_the_drawing(values, more, ceiling):
    drawn = np.array(values)

    def bend(k):
        return 0.9 * k, 0.0008 * np.abs(k) ** 1.2

    eased_to, acts = eased(bend, drawn, more * drawn, ceiling)
    allowed = np.maximum(ceiling, bend(drawn)[1])
    assert np.all(bend(eased_to)[1] <= allowed * (1.0 + 1e-9))
    assert np.all(eased_to >= drawn - 1e-12)
    np.testing.assert_array_equal(eased_to[~acts], (more * drawn)[~acts])
    # What could go further did.
    near = acts & (bend(drawn)[1] < 0.99 * ceiling)
    assert np.all(bend(eased_to)[1][near] > 0.99 * ceiling)
