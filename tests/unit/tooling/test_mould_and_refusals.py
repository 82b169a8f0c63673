"""Mould and spreaders, what a design changes in the tooling, and what is refused."""

from dataclasses import replace

import numpy as np
import pytest
from shapely import Point as ShapelyPoint
from shapely import Polygon

from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.equipment.stack import Equipment, Layer
from rimwright.errors import FoldedOffsetError, UnknownNameError
from rimwright.instrument.design import (
    Sides,
    Strip,
    ThinnedZone,
)
from rimwright.instrument.outline import Half, Outline, RimPiece
from rimwright.tooling.design_tooling import design_tooling
from sawn import BETWEEN, OUTSIDE, SIZE, design, outline_of, polygon, tooling, without_cutaway


@pytest.mark.parametrize("body", ["wren", "plover", "curlew"])
def test_the_mould_halves_hold_the_outline_and_meet_on_the_centreline(body, request):
    made = request.getfixturevalue(body)
    outline = without_cutaway("wren") if body == "curlew" else outline_of(body)
    halves = {hand: polygon(made.part(f"mould-{hand}")) for hand in ("bass", "treble")}
    for half in outline.halves:
        for rim in half.pieces:
            for point in rim.chain.points(1e-4)[::5]:
                assert halves[half.hand].exterior.distance(ShapelyPoint(point)) < 2e-5
    bass, treble = halves["bass"], halves["treble"]
    assert bass.intersection(treble).area < 1e-8
    assert bass.bounds[3] == pytest.approx(0.0, abs=1e-9)
    assert treble.bounds[1] == pytest.approx(0.0, abs=1e-9)
    # Both halves have the same outside, so they stand on edge and the plates fit.
    assert bass.bounds[0] == treble.bounds[0]
    assert bass.bounds[2] == treble.bounds[2]
    assert -bass.bounds[1] == pytest.approx(treble.bounds[3])
    plate = polygon(made.part("mould-joint"))
    wood = bass.union(treble)
    for hole in made.part("mould-joint").holes:
        centre = hole.points(1e-4).mean(axis=0)
        assert any(
            np.allclose(other.points(1e-4).mean(axis=0), centre, atol=1e-4)
            for hand in halves
            for other in made.part(f"mould-{hand}").holes
        )
    assert plate.difference(wood.buffer(1e-3)).area < 1.2e-4  # only the bolt holes


def test_the_mould_has_a_wall_all_round(plover):
    outline = outline_of("plover")
    for half in outline.halves:
        shape = polygon(plover.part(f"mould-{half.hand}"))
        box = shape.convex_hull.exterior
        for rim in half.pieces:
            for point in rim.chain.points(1e-3):
                along_joint = abs(point[1]) < 0.0451
                least = box.distance(ShapelyPoint(point))
                assert least > 0.0449 or along_joint


def test_a_mould_with_clearance_keeps_the_pointed_corner():
    source = replace(design().outline, mould_clearance_m=0.001)
    outline = outline_of("plover")
    sizes = {(rim.hand, rim.name): SIZE for rim in outline.pieces}
    made = design_tooling(outline, replace(design(), outline=source), sizes)
    shape = polygon(made.part("mould-treble"))
    assert shape.is_valid
    for rim in outline.treble.pieces:
        for point in rim.chain.points(1e-3)[1:-1]:
            assert shape.distance(ShapelyPoint(point)) == pytest.approx(0.001, abs=2e-5)


def test_spreaders_fill_the_rim_up_to_the_wedges(wren):
    for name in ("lower-bout", "waist", "upper-bout"):
        pair = [polygon(wren.part(f"spreader-{name}-{hand}")) for hand in ("bass", "treble")]
        assert pair[0].distance(pair[1]) == pytest.approx(0.016)
        for shape, hand in zip(pair, ("bass", "treble"), strict=True):
            mould = polygon(wren.part(f"mould-{hand}"))
            assert shape.distance(mould) == pytest.approx(0.0021, abs=2e-5)


def test_an_assumed_stack_says_so_with_its_thickness(wren):
    part = wren.part("form-bass")
    assert part.assumed
    assert "ASSUMED stack: 0.35 mm between form and side." in part.notes
    assert "ASSUMED stack: 2.20 mm between side and ram." in wren.part("ram-waist-bass").notes
    known = tooling(outline_of("wren"), equipment=Equipment(assumed=False))
    assert not known.part("form-bass").assumed
    assert not any("ASSUMED" in note for part in known.parts for note in part.notes)
    assert not wren.part("mould-bass").assumed


def test_bindings_bundled_with_the_side_move_form_or_ram(wren):
    strips = (
        Strip(name="binding", wood=None, thickness_m=0.0015, height_m=0.006, place="inside"),
        Strip(name="purfling", wood=None, thickness_m=0.0006, height_m=0.006, count=2),
        Strip(name="spare", wood=None, thickness_m=0.0015, height_m=0.006, place="beside"),
    )
    made = tooling(outline_of("wren"), strips=strips)
    assert made.part("form-bass").stack_m == pytest.approx(BETWEEN + 0.0015)
    assert made.part("ram-waist-bass").stack_m == pytest.approx(OUTSIDE + 0.0012)
    assert made.part("form-bass").depth_m == pytest.approx(0.110 + 0.006 + 0.010)


def test_a_mirrored_body_gives_mirrored_parts(curlew):
    for part in curlew.parts:
        if "treble" in part.name:
            twin = curlew.part(part.name.replace("treble", "bass"))
            flipped = twin.outline.points(1e-4) * [1.0, -1.0]
            np.testing.assert_allclose(part.outline.points(1e-4), flipped, atol=1e-9)


def test_a_thinned_zone_is_packed_not_stepped():
    zone = ThinnedZone(hand="treble", from_m=0.55, to_m=0.64, thickness_m=0.0019)
    made = tooling(outline_of("wren"), sides=Sides(thinned=(zone,)))
    assert any("pack 0.20 mm" in note for note in made.part("form-treble").notes)
    assert not any("pack" in note for note in made.part("form-bass").notes)


def _horn(radius: float) -> Outline:
    """The wren with a horn of another radius, its neighbours left as they are."""
    outline = outline_of("wren")
    pieces = list(outline.treble.main.chain.pieces)
    horn = pieces[-2]
    tight = Arc(horn.start, horn.heading, np.sign(horn.curvature) / radius, radius * abs(horn.turn))
    end = tight.at(np.array([tight.length]))
    scoop = pieces[-1]
    moved = Arc(tuple(end.position[0]), float(end.heading[0]), scoop.curvature, scoop.arc_length)
    chain = Chain((*pieces[:-2], tight, moved))
    treble = Half("treble", RimPiece("treble", "main", chain), None, "rounded")
    return replace(outline, treble=treble)


def test_a_horn_too_tight_for_side_and_stack_is_refused_with_the_smallest_radius():
    with pytest.raises(FoldedOffsetError) as refused:
        tooling(_horn(0.002))
    assert str(refused.value) == (
        "form, treble side: found a bend of 2.00 mm radius at the horn; expected more than "
        "2.45 mm, the smallest possible with this side and stack; next: make the bend rounder, "
        "or side or stack thinner"
    )
    assert tooling(_horn(0.004)).part("form-treble").least_radius_m == pytest.approx(0.00155)


def test_a_waist_too_tight_for_what_lies_outside_is_refused():
    thick = Equipment(
        layers=(*Equipment().layers, Layer(kind="blanket", material="silicone", thickness_m=0.04))
    )
    with pytest.raises(
        FoldedOffsetError,
        match=r"treble side: found a bend of 34\.00 mm radius at the scoop.*42\.20 mm",
    ):
        tooling(outline_of("wren"), equipment=thick)


def test_an_unknown_slat_is_refused():
    odd = Equipment(layers=(Layer(kind="slat", material="unobtainium", thickness_m=0.0003),
                            *Equipment().layers[2:]))  # fmt: skip
    with pytest.raises(UnknownNameError, match="unobtainium"):
        tooling(outline_of("wren"), equipment=odd)


def test_a_body_without_waist_or_blanket_still_gets_its_form():
    # A round banjo-like rim: no concave bend, so no rams.
    ring = Chain((Arc((0.0, 0.0), -np.pi / 2, 1 / 0.14, 0.14 * np.pi),))
    outline = Outline(
        bass=Half("bass", RimPiece("bass", "main", ring)),
        treble=Half("treble", RimPiece("treble", "main", ring.mirrored())),
        length_m=0.28,
    )
    bare = Equipment(layers=(Layer(kind="side", material="wood", thickness_m=0.0),))
    made = tooling(outline, equipment=bare)
    assert made.rams == ()
    assert made.slats == ()
    assert made.part("form-bass").stack_m == 0.0
    assert polygon(made.part("form-bass")).is_valid


def test_what_is_sanded_off_after_bending_stands_outside_the_finished_rim():
    made = tooling(outline_of("wren"), sides=Sides(finished_thickness_m=0.0019))
    form, ram = made.part("form-bass"), made.part("ram-waist-bass")
    rim = Polygon(outline_of("wren").bass.main.chain.points(1e-5)).exterior
    mid = form.working.at(np.array([0.3 * form.working.length])).position[0]
    # The form lies on the finished inside less the stack; the ram leaves room for the rest.
    assert rim.distance(ShapelyPoint(mid)) == pytest.approx(0.0019 + BETWEEN, abs=2e-5)
    assert polygon(ram).distance(polygon(form)) == pytest.approx(
        0.0021 + BETWEEN + OUTSIDE, abs=2e-5
    )
    assert any("0.20 mm of it to sand" in note for note in form.notes)
