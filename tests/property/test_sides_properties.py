"""Properties of developed sides: mirrored input mirrors, scaling scales, lengths agree."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from counts import times
from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.curves.piece import Similarity
from rimwright.instrument.design import Design, Drawing, Ends, OutlineSource, Plate, Plates, Sides
from rimwright.instrument.outline import Half, Outline, RimPiece
from rimwright.instrument.stations import features
from rimwright.sides.develop import develop_sides

#: A waisted bass side by radii and degrees, the neck left where it falls.
BODIES = st.tuples(
    st.tuples(st.floats(0.12, 0.25), st.floats(50, 65)),
    st.tuples(st.floats(0.06, 0.1), st.floats(55, 80)),
    st.tuples(st.floats(-0.2, -0.09), st.floats(45, 60)),
    st.tuples(st.floats(0.05, 0.09), st.floats(50, 70)),
)
RADII = st.floats(3.0, 12.0)
THICKNESSES = st.floats(0.001, 0.004)


def _half(steps: tuple[tuple[float, float], ...], hand: str) -> Half:
    place, heading, arcs = (0.0, 0.0), -np.pi / 2, []
    for radius, degrees in steps:
        arc = Arc(place, heading, 1.0 / radius, abs(radius) * np.radians(degrees))
        end = arc.at(np.array([arc.length]))
        place = (float(end.position[0, 0]), float(end.position[0, 1]))
        heading = float(end.heading[0])
        arcs.append(arc)
    chain = Chain(tuple(arcs))
    chain = chain.mirrored() if hand == "treble" else chain
    return Half(hand, RimPiece(hand, "main", chain))  # type: ignore[arg-type]


def _outline(bass: tuple[tuple[float, float], ...], treble: object = None) -> Outline:
    other = _half(treble or bass, "treble")  # type: ignore[arg-type]
    half = _half(bass, "bass")
    return Outline(bass=half, treble=other, length_m=float(half.main.chain.end().position[0, 0]))


def _design(radius: float) -> Design:
    dome = Plate(shape="dome", radius_m=radius)
    return Design(
        name="Trial",
        outline=OutlineSource(source=Drawing(path=Path("trial.svg"))),
        plates=Plates(top=dome, back=dome, depth_tail_m=0.11, depth_neck_m=0.09),
        ends=Ends(
            neck_block_width_m=0.06,
            neck_block_length_m=0.05,
            neck_block_kind="bolt-on",
            tail_block_width_m=0.08,
        ),
        sides=Sides(),
    )


@settings(max_examples=times(40), deadline=None)
@given(BODIES, BODIES, RADII, THICKNESSES)
def test_mirrored_body_gives_the_other_side(
    one: tuple[tuple[float, float], ...],
    other: tuple[tuple[float, float], ...],
    radius: float,
    thickness: float,
) -> None:
    """The bass half as treble develops to the same pattern, to the last digit it can."""
    outline = _outline(one, other)
    mirrored = Outline(
        bass=_half(other, "bass"), treble=_half(one, "treble"), length_m=outline.length_m
    )
    design = _design(radius)
    bass = develop_sides(outline, design, thickness)[0]
    treble = develop_sides(mirrored, design, thickness)[1]
    assert treble.edge_top == pytest.approx(bass.edge_top, abs=1e-12)
    assert treble.edge_back == pytest.approx(bass.edge_back, abs=1e-12)
    assert [mark.name for mark in treble.marks] == [mark.name for mark in bass.marks]
    for mine, theirs in zip(treble.marks, bass.marks, strict=True):
        assert mine.s_middle_m == pytest.approx(theirs.s_middle_m, abs=1e-9)


@settings(max_examples=times(40), deadline=None)
@given(BODIES, RADII, THICKNESSES, st.floats(0.5, 2.0))
def test_scaling_everything_scales_the_pattern(
    body: tuple[tuple[float, float], ...], radius: float, thickness: float, scale: float
) -> None:
    outline, design = _outline(body), _design(radius)
    plates = design.plates
    dome = Plate(shape="dome", radius_m=radius * scale)
    larger = dataclasses.replace(
        plates,
        top=dome,
        back=dome,
        depth_tail_m=plates.depth_tail_m * scale,
        depth_neck_m=plates.depth_neck_m * scale,
    )
    halves = [
        Half(half.hand, RimPiece(half.hand, "main", half.main.chain.transformed(Similarity(scale))))
        for half in outline.halves
    ]
    big = Outline(bass=halves[0], treble=halves[1], length_m=outline.length_m * scale)
    for small, large in zip(
        develop_sides(outline, design, thickness),
        develop_sides(big, dataclasses.replace(design, plates=larger), thickness * scale),
        strict=True,
    ):
        assert large.length_inner_m == pytest.approx(scale * small.length_inner_m, rel=1e-12)
        assert large.blank.width_m == pytest.approx(scale * small.blank.width_m, rel=2e-4)
        for mine, theirs in zip(large.marks, small.marks, strict=True):
            assert mine.name == theirs.name
            assert mine.s_outer_m == pytest.approx(scale * theirs.s_outer_m, abs=1e-8)
            assert mine.height_m == pytest.approx(scale * theirs.height_m, abs=1e-9)


@settings(max_examples=times(40), deadline=None)
@given(BODIES, RADII, THICKNESSES)
def test_lengths_are_those_of_the_parallel_lines(
    body: tuple[tuple[float, float], ...], radius: float, thickness: float
) -> None:
    for side in develop_sides(_outline(body), _design(radius), thickness):
        assert side.length_inner_m == pytest.approx(side.rim.inside(thickness).length, rel=1e-12)
        # The edge points' middle stations are where the middle line has come by then.
        i = len(side.edge_top) // 2
        part = side.rim.chain.between(0.0, float(side.edge_top[i, 0]))
        half = RimPiece(side.rim.hand, "main", part).inside(0.5 * thickness).length
        assert side.edge_top[i, 1] == pytest.approx(half, abs=1e-12)


@settings(max_examples=times(60), deadline=None)
@given(BODIES)
def test_every_waisted_body_shows_its_places_in_order(
    body: tuple[tuple[float, float], ...],
) -> None:
    names = [place.name for place in features(_half(body, "treble"))]
    # The four arcs always turn far enough for both bouts; the waist is left out only where
    # the second bout is no wider than the hollow before it.
    assert names[:2] == ["tail seam", "lower bout"]
    assert names[-1] == "neck end"
    assert names[2:-1] in ([], ["waist", "upper bout"])
