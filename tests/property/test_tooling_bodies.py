"""Tooling of bodies nobody drew: parts that can be sawn, or one clear line."""

from dataclasses import replace
from pathlib import Path

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import Polygon

from counts import times
from rimwright.curves.piece import Similarity
from rimwright.errors import RimwrightError
from rimwright.instrument.design import (
    Cutaway,
    Design,
    Drawing,
    Ends,
    Landmarks,
    OutlineSource,
    Plate,
    Plates,
)
from rimwright.instrument.measures.landmarks import outline_from_landmarks
from rimwright.instrument.outline import Outline
from rimwright.tooling.bundle import SideSize
from rimwright.tooling.design_tooling import design_tooling
from rimwright.tooling.parts import Tooling

SIZE = SideSize(thickness_m=0.0021, width_m=0.110)


def design() -> Design:
    return Design(
        name="body",
        outline=OutlineSource(source=Drawing(path=Path("body.svg"))),
        plates=Plates(top=Plate(), back=Plate(), depth_tail_m=0.1, depth_neck_m=0.09),
        ends=Ends(
            neck_block_width_m=0.05,
            neck_block_length_m=0.05,
            neck_block_kind="plain",
            tail_block_width_m=0.05,
        ),
    )


def tooling(outline: Outline, size: SideSize = SIZE) -> Tooling:
    sizes = {(rim.hand, rim.name): size for rim in outline.pieces}
    return design_tooling(outline, design(), sizes)


@st.composite
def bodies(draw: st.DrawFn) -> Landmarks:
    length = draw(st.floats(0.25, 0.55))
    lower = length * draw(st.floats(0.65, 0.85))
    upper = lower * draw(st.floats(0.68, 0.9))
    waist = upper * draw(st.floats(0.75, 0.92))
    kind = draw(st.sampled_from(["none", "rounded", "pointed"]))
    cutaway = None
    if kind != "none":
        cutaway = Cutaway(
            kind=kind,  # type: ignore[arg-type]
            depth_m=length * draw(st.floats(0.08, 0.15)),
            horn_radius_m=draw(st.floats(0.012, 0.025)) if kind == "rounded" else None,
            scoop_radius_m=draw(st.floats(0.025, 0.045)),
            neck_half_width_m=0.028,
        )
    return Landmarks(
        body_length_m=length,
        lower_width_m=lower,
        lower_station_m=length * draw(st.floats(0.22, 0.30)),
        waist_width_m=waist,
        waist_station_m=length * draw(st.floats(0.53, 0.60)),
        upper_width_m=upper,
        upper_station_m=length * draw(st.floats(0.75, 0.82)),
        cutaway=cutaway,
    )


@given(bodies())
@settings(max_examples=times(40), deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_plausible_body_gives_parts_to_saw_or_one_clear_line(body):
    line = ""
    try:
        made = tooling(outline_from_landmarks(body))
    except RimwrightError as error:
        line = str(error)
    if line:
        assert "\n" not in line
        assert "next:" in line
        return
    for part in made.parts:
        shape = Polygon(part.outline.points(1e-4)[:-1])
        assert shape.is_valid, part.name
        assert shape.buffer(-0.002).geom_type == "Polygon", part.name
        assert part.depth_m > 0.01
    for ram in made.rams:
        assert 0.0 < ram.travel_m < 0.5 * body.body_length_m
        assert ram.nose_radius_m > 0.005


@given(bodies(), st.floats(0.7, 1.4))
@settings(max_examples=times(10), deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_mirrored_halves_mirror_and_a_larger_body_has_the_larger_form(body, scale):
    body = replace(body, cutaway=None)
    try:
        outline = outline_from_landmarks(body)
        made = tooling(outline)
    except RimwrightError:
        return
    for part in made.parts:
        if not part.name.endswith("bass"):
            continue
        twin = made.part(part.name.removesuffix("bass") + "treble")
        np.testing.assert_allclose(
            twin.outline.points(1e-4), part.outline.points(1e-4) * [1.0, -1.0], atol=1e-7
        )
    # The working line of a larger body with a larger bundle is the larger working line.
    larger = [rim.chain.transformed(Similarity(scale=scale)) for rim in outline.pieces]
    bass, treble = (
        replace(half, main=replace(half.main, chain=chain))
        for half, chain in zip(outline.halves, larger, strict=True)
    )
    scaled = replace(outline, bass=bass, treble=treble, length_m=outline.length_m * scale)
    between = design().equipment.between_form_and_side_m
    thickness = (SIZE.thickness_m + between) * scale - between
    other = tooling(scaled, replace(SIZE, thickness_m=thickness))
    ours, theirs = other.part("form-bass").working, made.part("form-bass").working
    assert ours is not None
    assert theirs is not None
    share = np.linspace(0.0, 1.0, 21)
    np.testing.assert_allclose(
        ours.at(share * ours.length).position,
        scale * theirs.at(share * theirs.length).position,
        atol=1e-8,
    )
