"""Properties of curves that hold whatever the curve."""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from counts import times
from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.curves.clothoid import Clothoid
from rimwright.curves.piece import Similarity
from rimwright.curves.spline import Spline
from rimwright.errors import FoldedOffsetError

BEND = st.floats(-20.0, 20.0)
LENGTH = st.floats(0.01, 0.3)
HEADING = st.floats(-3.0, 3.0)
SHARE = st.floats(0.0, 1.0)


@st.composite
def pieces(draw):
    """An arc, a clothoid or a Bezier curve from the origin."""
    kind = draw(st.sampled_from(["arc", "clothoid", "bezier"]))
    heading, length = draw(HEADING), draw(LENGTH)
    if kind == "arc":
        return Arc((0.0, 0.0), heading, draw(BEND), length)
    if kind == "clothoid":
        return Clothoid((0.0, 0.0), heading, draw(BEND), draw(BEND), length)
    # Handles that lead forwards: a curve as drawn, without a cusp.
    rise = [draw(st.floats(-0.3, 0.3)) for _ in range(3)]
    run = [0.0, draw(st.floats(0.2, 0.45)), draw(st.floats(0.55, 0.8)), 1.0]
    points = length * np.column_stack([run, [0.0, *rise]])
    turn = Similarity(rotation=heading)
    return Spline.bezier(turn.points(points))


@st.composite
def chains(draw):
    """Up to four pieces end to start, each going on in the direction of the one before."""
    at, heading, parts = (0.0, 0.0), draw(HEADING), []
    for piece in draw(st.lists(pieces(), min_size=1, max_size=4)):
        first = float(piece.at(np.zeros(1)).heading[0])
        placed = piece.transformed(Similarity(rotation=heading - first, shift=at))
        end = placed.at(np.array([placed.length]))
        at = (float(end.position[0, 0]), float(end.position[0, 1]))
        heading = float(end.heading[0])
        parts.append(placed)
    return Chain(tuple(parts))


def grid(chain, count=41):
    return np.linspace(0.0, chain.length, count)


#: Places between the joints, where the reading does not depend on which piece a joint is.
def inner(chain, count=41):
    s = grid(chain, count)
    near = np.abs(s[:, None] - chain.stations[None, :]).min(axis=1)
    return s[near > 1e-6]


@given(chains())
def test_mirrored_input_gives_mirrored_output(chain):
    s = inner(chain)
    plain, mirrored = chain.at(s), chain.mirrored().at(s)
    assert chain.mirrored().length == pytest.approx(chain.length, abs=1e-13)
    assert mirrored.position == pytest.approx(plain.position * [1.0, -1.0], abs=1e-11)
    assert mirrored.curvature == pytest.approx(-plain.curvature, rel=1e-6, abs=1e-6)
    turned = mirrored.heading + plain.heading
    assert np.cos(turned) == pytest.approx(np.ones(s.size), abs=1e-9)


@given(chains(), st.floats(0.1, 10.0), HEADING)
def test_scaling_scales_and_turning_turns(chain, scale, rotation):
    move = Similarity(scale=scale, rotation=rotation, shift=(0.3, -0.2))
    moved = chain.transformed(move)
    assert moved.length == pytest.approx(scale * chain.length, rel=1e-12)
    s = inner(chain)
    plain, there = chain.at(s), moved.at(s * moved.length / chain.length)
    assert there.position == pytest.approx(move.points(plain.position), abs=1e-10 * max(scale, 1))
    assert scale * there.curvature == pytest.approx(plain.curvature, rel=1e-6, abs=1e-6)


@given(chains(), SHARE, SHARE)
def test_arc_length_is_additive_and_a_stretch_lies_on_its_curve(chain, one, other):
    low, high = sorted((one * chain.length, other * chain.length))
    assume(low > 1e-4 and high - low > 1e-4 and chain.length - high > 1e-4)
    first, middle, last = (
        chain.between(0.0, low),
        chain.between(low, high),
        chain.between(high, chain.length),
    )
    assert first.length + middle.length + last.length == pytest.approx(chain.length, abs=1e-11)
    s = grid(middle)
    assert middle.at(s).position == pytest.approx(chain.at(low + s).position, abs=1e-10)


@given(chains())
def test_reversed_runs_back_over_the_same_points(chain):
    back = chain.reversed()
    s = inner(chain)
    plain, again = chain.at(s), back.at(chain.length - s)
    assert back.length == pytest.approx(chain.length, abs=1e-13)
    assert again.position == pytest.approx(plain.position, abs=1e-11)
    assert again.curvature == pytest.approx(-plain.curvature, rel=1e-6, abs=1e-6)
    assert np.cos(again.heading - plain.heading) == pytest.approx(-np.ones(s.size), abs=1e-9)


@given(chains(), st.floats(-0.03, 0.03))
def test_offset_there_and_back_returns(chain, distance):
    low, high = chain.curvature_range()
    assume(abs(distance) > 1e-6 and distance * high < 0.9 and distance * low < 0.9)
    there = chain.offset(distance)
    turn = sum(piece.turn for piece in chain.pieces)
    assert there.length == pytest.approx(chain.length - distance * turn, abs=1e-11)
    back = there.offset(-distance)
    s = grid(chain)
    assert back.length == pytest.approx(chain.length, abs=1e-11)
    assert back.at(s).position == pytest.approx(chain.at(s).position, abs=1e-10)


@given(chains(), st.floats(-0.03, 0.03))
@settings(max_examples=times(50))
def test_every_point_of_a_parallel_is_at_its_distance(chain, distance):
    low, high = chain.curvature_range()
    assume(abs(distance) > 1e-6 and distance * high < 0.9 and distance * low < 0.9)
    there = chain.offset(distance)
    # s on the parallel belongs to s less distance times turn.
    for piece, other in zip(chain.pieces, there.pieces, strict=True):
        s = np.linspace(0.0, piece.length, 9)
        base = piece.at(s)
        along = np.clip(s - distance * (base.heading - base.heading[0]), 0.0, other.length)
        moved = other.at(along)
        assert moved.position == pytest.approx(base.position + distance * base.normal, abs=1e-10)


@given(chains(), st.floats(1.01, 3.0), st.sampled_from([-1.0, 1.0]))
def test_a_fold_is_refused_with_the_smallest_radius_it_would_take(chain, factor, side):
    low, high = chain.curvature_range()
    tightest = high if side > 0 else -low
    assume(tightest > 1.0)
    distance = side * factor / tightest
    with pytest.raises(FoldedOffsetError, match=f"above {1e3 * abs(distance):.1f} mm") as refused:
        chain.offset(distance)
    assert f"{1e3 / tightest:.1f} mm radius" in str(refused.value)


@given(chains(), st.sampled_from([1e-5, 1e-4, 1e-3]))
@settings(max_examples=times(50))
def test_points_keep_their_tolerance(chain, tolerance):
    import shapely

    line = shapely.LineString(chain.points(tolerance))
    strays = shapely.distance(line, shapely.points(chain.at(grid(chain, 999)).position))
    assert strays.max() <= tolerance * 1.05


CONTROL = st.tuples(st.floats(-0.3, 0.3), st.floats(-0.3, 0.3))


@given(st.lists(CONTROL, min_size=4, max_size=4), st.sets(st.integers(0, 2)))
def test_any_bezier_gives_numbers(control, doubled):
    # Cusps, loops, and handles that lie on their ends.
    points = np.array(control)
    for i in doubled:
        points[i + 1] = points[i]
    assume(np.hypot(*np.diff(points, axis=0).T).sum() > 1e-3)
    spline = Spline.bezier(points)
    frame = spline.at(np.linspace(0.0, spline.length, 57))
    for values in (frame.position, frame.heading, frame.curvature):
        assert np.all(np.isfinite(values))
    # Arc length is arc length: no chord is longer than the stretch it spans.
    chords = np.hypot(*np.diff(frame.position, axis=0).T)
    assert chords.max() <= spline.length / 56 * (1.0 + 1e-9) + 1e-12
    assert all(np.isfinite(spline.curvature_range()))
