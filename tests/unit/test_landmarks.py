"""Bodies from their measures: exact, without loops or lumps, and refused in words."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from measured import WREN
from rimwright.errors import GeometryError
from rimwright.instrument.design import Cutaway, Landmarks
from rimwright.instrument.measures.landmarks import outline_from_landmarks, plain_half

ROUNDED = Cutaway(
    kind="rounded",
    depth_m=0.0407,
    horn_radius_m=0.022,
    scoop_radius_m=0.034,
    neck_half_width_m=0.028,
)
POINTED = Cutaway(
    kind="pointed",
    depth_m=0.045,
    horn_radius_m=None,
    scoop_radius_m=0.045,
    neck_half_width_m=0.028,
)


def random_body(random):
    """A guitar, ukulele or mandola body within what is built."""
    u = random.uniform
    length = u(0.230, 0.520)
    lower = length * u(0.68, 0.80)
    upper = lower * u(0.68, 0.86)
    cutaway = None
    kind = random.choice(["none", "rounded", "pointed"])
    depth, neck = length * u(0.06, 0.15), upper * u(0.10, 0.125)
    if kind == "rounded":
        cutaway = Cutaway(
            kind="rounded",
            depth_m=depth,
            horn_radius_m=upper * u(0.06, 0.11),
            scoop_radius_m=upper * u(0.10, 0.16),
            neck_half_width_m=neck,
        )
    elif kind == "pointed":
        cutaway = Cutaway(
            kind="pointed",
            depth_m=depth,
            horn_radius_m=None,
            scoop_radius_m=upper * u(0.13, 0.22),
            neck_half_width_m=neck,
        )
    full = random.random() < 0.3
    return Landmarks(
        body_length_m=length,
        lower_width_m=lower,
        lower_station_m=length * u(0.22, 0.31),
        waist_width_m=upper * u(0.75, 0.92),
        waist_station_m=length * u(0.55, 0.63),
        upper_width_m=upper,
        upper_station_m=length * u(0.76, 0.84),
        tail_fullness=u(0.77, 0.83) if full else None,
        shoulder_fullness=u(0.77, 0.83) if full else None,
        cutaway=cutaway,
    )


def check_body(body, outline):
    """Widths at their stations, no crossing, no inflection that does not belong."""
    main = outline.bass.main
    places = [
        (body.lower_station_m, body.lower_width_m),
        (body.waist_station_m, body.waist_width_m),
        (body.upper_station_m, body.upper_width_m),
    ]
    reached = main.chain.stations[[8, 16, 24]]
    frame = main.at(reached)
    expected = np.array([[station, -0.5 * width] for station, width in places])
    assert frame.position == pytest.approx(expected, abs=1e-9)
    assert frame.heading == pytest.approx(np.zeros(3), abs=1e-9)
    # True extremes: convex at the bouts, concave at the waist.
    assert frame.curvature[0] > 0 > frame.curvature[1]
    assert frame.curvature[2] > 0
    points = main.chain.points(1e-5)
    assert -points[:, 1].min() == pytest.approx(
        0.5 * max(body.lower_width_m, body.upper_width_m), abs=1e-5
    )
    for half in outline.halves:
        line = np.vstack([piece.chain.points(2e-5) for piece in half.pieces])
        rounded = line.round(8)
        kept = rounded[np.append(True, np.any(np.diff(rounded, axis=0) != 0.0, axis=1))]
        assert shapely.LineString(kept).is_simple
        sign = 1.0 if half.hand == "treble" else -1.0
        assert (sign * line[:, 1]).min() > -1e-9
        bend = half.main.at(np.linspace(0.0, half.main.length, 1500)).curvature
        turns = np.count_nonzero(np.diff(np.sign(bend[np.abs(bend) > 1e-6])))
        assert turns == (3 if half.cutaway == "rounded" else 2)
    assert main.chain.end().position[0] == pytest.approx([body.body_length_m, 0.0], abs=1e-9)


def test_random_bodies_come_out_clean():
    random = np.random.default_rng(20)
    for _ in range(60):
        body = random_body(random)
        check_body(body, outline_from_landmarks(body))


@pytest.mark.soak
def test_a_thousand_random_bodies_come_out_clean():
    random = np.random.default_rng(2)
    for _ in range(1000):
        body = random_body(random)
        check_body(body, outline_from_landmarks(body))


def test_both_halves_are_mirrored_without_a_cutaway():
    outline = outline_from_landmarks(WREN)
    s = np.linspace(0.0, outline.bass.main.length, 60)
    bass, treble = outline.bass.main.at(s), outline.treble.main.at(s)
    assert treble.position == pytest.approx(bass.position * [1.0, -1.0], abs=1e-12)
    assert treble.curvature == pytest.approx(bass.curvature, abs=1e-9)
    # Smooth over the tail seam: both set out straight across.
    assert bass.heading[0] == pytest.approx(-0.5 * np.pi, abs=1e-12)
    assert outline.length_m == 0.470


def test_scaling_the_measures_scales_the_body():
    half = outline_from_landmarks(WREN)
    scaled = {
        name: 0.5 * getattr(WREN, name)
        for name in WREN.__slots__
        if name.endswith("_m") and getattr(WREN, name) is not None
    }
    small = outline_from_landmarks(replace(WREN, **scaled))
    assert small.bass.main.length == pytest.approx(0.5 * half.bass.main.length, rel=1e-12)


def test_near_the_length_of_a_like_body_drawn_by_compass():
    # tests/cases/wren.svg has the same landmarks in eight arcs and is 694.9 mm long.
    length = outline_from_landmarks(WREN).bass.main.length
    assert length * 1e3 == pytest.approx(694.9, abs=5.0)


def test_fullness_is_the_share_of_its_rectangle():
    body = replace(WREN, tail_fullness=0.82, shoulder_fullness=0.80)
    points = outline_from_landmarks(body).bass.main.chain.points(1e-7)
    x, y = points[:, 0], -points[:, 1]
    tail = x <= 0.118 + 1e-9
    area = np.trapezoid(y[tail], x[tail])
    assert area / (0.118 * 0.178) == pytest.approx(0.82, abs=1e-5)
    shoulder = x >= 0.372 - 1e-9
    area = np.trapezoid(y[shoulder], x[shoulder])
    assert area / ((0.470 - 0.372) * 0.134) == pytest.approx(0.80, abs=1e-5)


def test_a_rounded_cutaway_has_true_arcs_where_they_were_asked():
    outline = outline_from_landmarks(replace(WREN, cutaway=ROUNDED))
    treble = outline.treble.main
    horn, scoop = treble.chain.pieces[-2:]
    assert 1.0 / abs(horn.curvature) == pytest.approx(0.022)
    assert 1.0 / abs(scoop.curvature) == pytest.approx(0.034)
    assert treble.tightest(convex=True)[0] == pytest.approx(0.022)
    assert treble.tightest(convex=False)[0] == pytest.approx(0.034)
    # The tip stops short of the neck end by the depth; the scoop ends on the neck's flank.
    horn_x = treble.at(np.linspace(*treble.chain.stations[[-3, -2]], 400)).position[:, 0].max()
    assert horn_x == pytest.approx(0.470 - 0.0407, abs=1e-6)
    assert treble.chain.end().position[0, 1] == pytest.approx(0.028, abs=1e-12)
    # Tangent at every joint.
    for before, after in zip(treble.chain.pieces, treble.chain.pieces[1:], strict=False):
        end, start = before.at(np.array([before.length])), after.at(np.zeros(1))
        assert end.position == pytest.approx(start.position, abs=1e-10)
        assert np.cos(end.heading - start.heading)[0] == pytest.approx(1.0, abs=1e-15)
    # The plain side up to the widest upper bout.
    kept = treble.chain.stations[24]
    s = np.linspace(0.0, kept, 50)
    bass = outline.bass.main.at(s).position
    assert treble.at(s).position == pytest.approx(bass * [1.0, -1.0], abs=1e-12)
    assert not outline.assumptions


def test_a_pointed_cutaway_has_a_corner_and_a_return_piece():
    outline = outline_from_landmarks(replace(WREN, cutaway=POINTED))
    main, back = outline.treble.pieces
    assert outline.treble.cutaway == "pointed"
    tip, start = main.chain.end(), back.chain.start()
    assert tip.position == pytest.approx(start.position, abs=1e-10)
    assert tip.position[0, 0] == pytest.approx(0.470 - 0.045, abs=1e-9)
    # The treble side turns clockwise.
    corner = np.degrees((tip.heading - start.heading)[0]) % 360.0
    assert 40.0 < corner < 140.0
    assert back.tightest(convex=False)[0] == pytest.approx(0.045)
    assert back.chain.end().position[0, 1] == pytest.approx(0.028, abs=1e-12)


def test_a_deep_cutaway_frees_the_upper_bout_and_says_so():
    deep = replace(ROUNDED, depth_m=0.090)
    outline = outline_from_landmarks(replace(WREN, cutaway=deep))
    check_body(WREN, outline)
    assert "upper bout of the cutaway half" in outline.assumptions[0]


def test_a_small_change_of_measures_makes_a_small_change_of_shape():
    for cutaway in (None, ROUNDED, POINTED):
        body = replace(WREN, cutaway=cutaway)
        nudged = replace(body, waist_width_m=body.waist_width_m + 1e-5)
        before, after = outline_from_landmarks(body), outline_from_landmarks(nudged)
        for one, other in zip(before.pieces, after.pieces, strict=True):
            s = np.linspace(0.0, 1.0, 80)
            gap = one.at(s * one.length).position - other.at(s * other.length).position
            assert np.hypot(*gap.T).max() < 2e-4


def test_a_start_from_a_like_body_gives_the_same_outline():
    start = plain_half(WREN)
    nudged = replace(WREN, waist_width_m=0.2225)
    warm, cold = plain_half(nudged, start=start), plain_half(nudged)
    assert warm.chain.length == pytest.approx(cold.chain.length, abs=1e-10)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"waist_width_m": 0.300}, r"waist width 300\.0 mm; expected less than .* 268\.0 mm"),
        ({"waist_station_m": 0.100}, r"waist station 100\.0 mm; expected more than lower.*118\.0"),
        ({"upper_station_m": 0.480}, r"upper bout station 480\.0 mm.*body length 470\.0 mm"),
        ({"lower_station_m": -0.1}, "lower bout station -100.0 mm; expected 1 mm to 10 m"),
        ({"body_length_m": float("nan")}, "body length nan mm"),
        ({"body_length_m": 470.0}, "body length 470000.0 mm; expected 1 mm to 10 m"),
        ({"tail_fullness": 0.3}, "tail fullness 0.300; expected a share above 0.5"),
        ({"tail_fullness": 0.998}, r"tail fullness 0\.998.*expected about 0\.\d+ to 0\.\d+"),
        ({"waist_station_m": 0.125}, r"waist station 125\.0 mm; expected 188\.5 mm to 347\.8 mm"),
        ({"waist_width_m": 0.02}, r"waist width 20\.0 mm; expected 70\.7 mm or more"),
        ({"upper_station_m": 0.465}, r"upper bout station 465\.0 mm; expected .* 443\.2 mm"),
        (
            {"cutaway": replace(ROUNDED, depth_m=0.200)},
            r"cutaway depth 200\.0 mm.*about \d+\.\d mm",
        ),
        ({"cutaway": replace(ROUNDED, horn_radius_m=None)}, "without a horn radius"),
        ({"cutaway": replace(ROUNDED, scoop_radius_m=0.1)}, r"scoop radius 100\.0 mm.*less than"),
        ({"cutaway": replace(ROUNDED, neck_half_width_m=0.2)}, "neck half width 200.0 mm"),
        ({"cutaway": replace(POINTED, depth_m=-0.01)}, "cutaway depth -10.0 mm"),
    ],
)
def test_measures_that_cannot_be_are_named_with_what_would_work(change, words):
    with pytest.raises(GeometryError, match=words) as refused:
        outline_from_landmarks(replace(WREN, **change))
    assert str(refused.value).startswith("outline by landmarks: found ")
    assert "\n" not in str(refused.value)
