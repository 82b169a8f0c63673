"""The bend check of any body: mirrored it mirrors, scaled it stays, thinner strains less."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from counts import times
from rimwright.bending.check import check_bend
from rimwright.bending.parameters import DEFAULT
from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.instrument.design import Design, Drawing, Ends, OutlineSource, Plate, Plates, Sides
from rimwright.instrument.outline import Half, Outline, RimPiece
from rimwright.sides.develop import develop_sides
from rimwright.wood.catalogue import find

WOOD = find("European ash")
radii = st.tuples(
    st.floats(110, 250),
    st.floats(60, 100),
    st.floats(60, 160),
    st.floats(60, 100),
    st.floats(120, 250),
)


def _half(measures, hand, scale=1.0):
    tail, lower, waist, upper, neck = measures
    steps = ((tail, 60), (lower, 70), (-waist, 60), (upper, 60), (neck, 40))
    pieces, start, heading = [], (0.0, 0.0), -np.pi / 2
    for radius, degrees in steps:
        length = scale * abs(radius) * 1e-3 * np.radians(degrees)
        piece = Arc(start, heading, 1e3 / (scale * radius), length)
        end = piece.at(np.array([length]))
        start = float(end.position[0, 0]), float(end.position[0, 1])
        heading = float(end.heading[0])
        pieces.append(piece)
    chain = Chain(tuple(pieces))
    rim = RimPiece(hand, "main", chain if hand == "bass" else chain.mirrored())
    return Half(hand, rim)


def _check(bass, treble, *, thickness=0.002, scale=1.0):
    end = float(bass.main.chain.end().position[0, 0])
    body = Outline(bass=bass, treble=treble, length_m=end)
    made = Design(
        name="Any",
        outline=OutlineSource(source=Drawing(path=Path("any.svg"))),
        plates=Plates(
            top=Plate(), back=Plate(), depth_tail_m=0.09 * scale, depth_neck_m=0.08 * scale
        ),
        ends=Ends(
            neck_block_width_m=0.03 * scale,
            neck_block_length_m=0.03 * scale,
            neck_block_kind="block",
            tail_block_width_m=0.05 * scale,
        ),
        sides=Sides(thickness_m=thickness * scale),
    )
    return check_bend(body, develop_sides(body, made), made, DEFAULT, WOOD).pieces


@settings(max_examples=times(15), deadline=None)
@given(one=radii, other=radii)
def test_mirrored_bodies_have_mirrored_checks(one, other):
    bass, treble = _check(_half(one, "bass"), _half(other, "treble"))
    swapped_bass, swapped_treble = _check(_half(other, "bass"), _half(one, "treble"))
    for left, right in ((bass, swapped_treble), (treble, swapped_bass)):
        assert np.allclose(left.strain_tension, right.strain_tension, rtol=1e-9)
        assert np.allclose(left.curvature, right.curvature, rtol=1e-9)
        assert [p.name for p in left.tight_places] == [p.name for p in right.tight_places]
        assert left.greatest_thickness_m == right.greatest_thickness_m


@settings(max_examples=times(15), deadline=None)
@given(one=radii, scale=st.floats(0.5, 2.0))
def test_scaled_with_its_thickness_strains_stay(one, scale):
    plain = _check(_half(one, "bass"), _half(one, "treble"))[0]
    scaled = _check(_half(one, "bass", scale), _half(one, "treble", scale), scale=scale)[0]
    assert np.isclose(plain.strain_tension.max(), scaled.strain_tension.max(), rtol=1e-9)
    # The cap on thickness of straight stretches is the only length in the room.
    assert np.isclose(scaled.greatest_thickness_m, scale * plain.greatest_thickness_m, rtol=1e-9)
    assert np.isclose(plain.cupping.searle, scaled.cupping.searle, rtol=1e-2)


@settings(max_examples=times(15), deadline=None)
@given(one=radii, thinner=st.floats(0.3, 0.99))
def test_thinner_never_strains_more(one, thinner):
    halves = _half(one, "bass"), _half(one, "treble")
    thick = _check(*halves)[0]
    thin = _check(*halves, thickness=0.002 * thinner)[0]
    assert np.all(thin.strain_tension <= thick.strain_tension + 1e-15)
