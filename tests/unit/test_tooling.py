"""Forms, rams, cauls and mould of the given bodies: would a maker saw exactly this?"""

import re
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from shapely import Point as ShapelyPoint
from shapely import Polygon
from shapely.affinity import translate

from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.equipment.stack import Equipment, Layer
from rimwright.errors import FoldedOffsetError, UnknownNameError
from rimwright.instrument.design import (
    Cutaway,
    Design,
    Drawing,
    Ends,
    Landmarks,
    OutlineSource,
    Plate,
    Plates,
    Sides,
    Strip,
    ThinnedZone,
)
from rimwright.instrument.measures.landmarks import outline_from_landmarks
from rimwright.instrument.outline import Half, Outline, RimPiece
from rimwright.tooling.bundle import SideSize
from rimwright.tooling.design_tooling import design_tooling

CASES = Path(__file__).parents[1] / "cases"
SIZE = SideSize(thickness_m=0.0021, width_m=0.110)
#: Half of the default stack that lies between form and side, and side and ram. [m]
BETWEEN, OUTSIDE = 0.00035, 0.0022


def _chain(path: str) -> Chain:
    """Arcs of an SVG path in millimetres, with the drawing's treble side turned to +y."""
    numbers = [float(text) for text in re.findall(r"-?\d+\.?\d*", path)]
    at, arcs = (numbers[0] / 1e3, numbers[1] / 1e3), []
    for i in range(2, len(numbers), 7):
        radius, _, _, _, sweep, x, y = numbers[i : i + 7]
        end = (x / 1e3, y / 1e3)
        half = np.arcsin(np.hypot(end[0] - at[0], end[1] - at[1]) * 500.0 / radius)
        arcs.append(Arc.bulge(at, end, np.tan(half / 2.0) * (1 if sweep else -1)))
        at = end
    return Chain(tuple(arcs)).mirrored()


def outline_of(name: str) -> Outline:
    text = (CASES / f"{name}.svg").read_text()
    found = re.findall(r'<path id="([\w-]+)"[^>]* d="([^"]+)"', text)
    lines = {key: _chain(path) for key, path in found if "A" in path}
    bass, treble = (RimPiece(h, "main", lines[h]) for h in ("bass", "treble"))
    back = None
    if "treble-return" in lines:
        back = RimPiece("treble", "return", lines["treble-return"])
    kind = "rounded" if back is None else "pointed"
    return Outline(
        bass=Half("bass", bass),
        treble=Half("treble", treble, back, kind),
        length_m=float(lines["bass"].end().position[0, 0]),
    )


def without_cutaway(name: str) -> Outline:
    outline = outline_of(name)
    line = outline.bass.main.chain
    treble = RimPiece("treble", "main", line.mirrored())
    return replace(outline, treble=Half("treble", treble))


def design(**changes) -> Design:
    return Design(
        name="Wren",
        outline=OutlineSource(source=Drawing(path=Path("wren.svg"))),
        plates=Plates(top=Plate(), back=Plate(), depth_tail_m=0.100, depth_neck_m=0.085),
        ends=Ends(
            neck_block_width_m=0.056,
            neck_block_length_m=0.05,
            neck_block_kind="plain",
            tail_block_width_m=0.08,
        ),
        **changes,
    )


def tooling(outline: Outline, size: SideSize = SIZE, **changes):
    sizes = {(rim.hand, rim.name): size for rim in outline.pieces}
    return design_tooling(outline, design(**changes), sizes)


@pytest.fixture(scope="module")
def wren():
    return tooling(outline_of("wren"))


@pytest.fixture(scope="module")
def plover():
    return tooling(outline_of("plover"))


@pytest.fixture(scope="module")
def curlew():
    return tooling(without_cutaway("wren"))


def polygon(part) -> Polygon:
    # The last point is the first again within rounding; shapely closes the ring itself.
    return Polygon(part.outline.points(2e-5)[:-1], [hole.points(1e-4)[:-1] for hole in part.holes])


@pytest.mark.parametrize("body", ["wren", "plover", "curlew"])
def test_every_part_is_a_closed_loop_that_can_be_sawn(body, request):
    for part in request.getfixturevalue(body).parts:
        shape = polygon(part)
        assert shape.is_valid, part.name
        # Strong: what is left after 4 mm are taken off all round is still one piece.
        core = shape.buffer(-0.004)
        assert core.geom_type == "Polygon", part.name
        assert core.area > 0.4 * shape.area, part.name
        # Not spiky: no corner sharper than 55 degrees.
        assert _sharpest(part.outline) > np.radians(55.0), part.name
        ends = part.outline.start().position, part.outline.end().position
        assert np.allclose(*ends, atol=1e-9), part.name


def _sharpest(loop: Chain) -> float:
    """Smallest angle inside the wood at a joint of the loop. [rad]"""
    pieces = (*loop.pieces, loop.pieces[0])
    area = Polygon(loop.points(1e-4)).exterior.is_ccw
    angles = []
    for before, after in pairwise(pieces):
        a = before.at(np.array([before.length])).heading[0]
        b = after.at(np.zeros(1)).heading[0]
        turn = (b - a + np.pi) % (2.0 * np.pi) - np.pi
        angles.append(np.pi - (turn if area else -turn))
    return min(angles)


def test_parts_that_belong_together_are_all_there(wren, plover, curlew):
    names = {part.name for part in wren.parts}
    assert names >= {"form-bass", "form-treble", "ram-waist-bass", "ram-waist-treble",
                     "ram-scoop-treble", "caul-horn-treble", "caul-lower-bout-bass",
                     "caul-upper-bout-bass", "mould-bass", "mould-treble", "mould-joint",
                     "spreader-waist-bass", "spreader-lower-bout-treble"}  # fmt: skip
    names = {part.name for part in plover.parts}
    assert {"form-treble", "form-treble-return", "ram-scoop-treble-return"} <= names
    assert not any("scoop" in part.name or "horn" in part.name for part in curlew.parts)
    for made in (wren, plover, curlew):
        names = [part.name for part in made.parts]
        assert len(set(names)) == len(names)


def test_the_form_lies_inside_the_rim_by_side_and_stack_and_keeps_its_arcs(wren):
    outline = outline_of("wren")
    for half in outline.halves:
        part = wren.part(f"form-{half.hand}")
        s = np.linspace(0.0, half.main.length, 61)
        frame = half.main.chain.at(s)
        inside = -1.0 if half.hand == "treble" else 1.0
        expected = frame.position + inside * (0.0021 + BETWEEN) * frame.normal
        turned = half.main.turn_to(s)
        found = part.working.at(s - (0.0021 + BETWEEN) * turned)
        # A thousandth of a micrometre: the offset is exact, only rounding is left.
        np.testing.assert_allclose(found.position, expected, atol=1e-9)
        assert all(isinstance(piece, Arc) for piece in part.outline.pieces)
        assert part.stack_m == pytest.approx(BETWEEN)
    assert wren.part("form-treble").least_radius_m == pytest.approx(0.022 - 0.0021 - BETWEEN)


def test_a_main_piece_that_ends_aslant_has_no_spike_at_its_base():
    tip = Cutaway(kind="pointed", depth_m=0.035, horn_radius_m=None, scoop_radius_m=0.038,
                  neck_half_width_m=0.024)  # fmt: skip
    body = Landmarks(
        body_length_m=0.35, lower_width_m=0.256, lower_station_m=0.09, waist_width_m=0.166,
        waist_station_m=0.206, upper_width_m=0.196, upper_station_m=0.276, cutaway=tip,
    )  # fmt: skip
    made = tooling(outline_from_landmarks(body))
    for part in made.parts:
        assert _sharpest(part.outline) > np.radians(55.0), part.name


def test_the_form_runs_straight_on_for_trim_and_clamp(wren):
    part = wren.part("form-bass")
    low, high = part.outline.points(1e-4).min(axis=0), part.outline.points(1e-4).max(axis=0)
    assert high[1] == pytest.approx(0.045)  # 20 mm of trim and 25 mm of clamp past the tail
    assert low[1] == pytest.approx(-0.178 + 0.0021 + BETWEEN)
    kinds = [piece.curvature == 0.0 for piece in part.outline.pieces]
    assert kinds[0]
    assert sum(kinds) == 3  # both ends and the base
    longer = tooling(outline_of("wren"), replace(SIZE, neck_end_m=0.028))
    neck = longer.part("form-bass").outline.points(1e-4)[:, 1].max()
    assert neck == pytest.approx(0.045 + 0.028)


def test_the_waist_ram_and_the_form_leave_exactly_the_bundle_between(wren):
    outline = outline_of("wren")
    for hand, place in (("bass", "waist"), ("treble", "waist"), ("treble", "scoop")):
        ram = wren.part(f"ram-{place}-{hand}")
        form = polygon(wren.part(f"form-{hand}"))
        gap = 0.0021 + BETWEEN + OUTSIDE
        assert polygon(ram).distance(form) == pytest.approx(gap, abs=2e-5)
        for point in ram.working.points(1e-4)[::7]:
            assert form.distance(ShapelyPoint(point)) == pytest.approx(gap, abs=5e-5)
    assert wren.part("ram-scoop-treble").least_radius_m == pytest.approx(0.034 - OUTSIDE)
    assert outline.treble.main.tightest(convex=False)[0] == pytest.approx(0.034, rel=1e-6)


@pytest.mark.parametrize("body", ["wren", "plover", "curlew"])
def test_rams_come_in_from_the_flat_strip_without_striking_anything(body, request):
    made = request.getfixturevalue(body)
    assert not [w for w in made.warnings if "clear the bundle" in w]
    for ram in made.rams:
        part = made.part(ram.name)
        piece = "" if ram.piece == "main" else "-return"
        form = polygon(made.part(f"form-{ram.hand}{piece}"))
        way = np.array([np.cos(ram.direction_rad), np.sin(ram.direction_rad)])
        assert 0.005 < ram.travel_m < 0.1
        for share in (0.25, 0.5, 1.0):
            back = -share * ram.travel_m * way
            moved = translate(polygon(part), *back)
            assert moved.distance(form) > 0.0021 + BETWEEN + OUTSIDE - 4e-4
        # Just off the flat strip: the form's hull no longer reaches it, less the stack.
        flat = form.convex_hull.buffer(0.0021 + BETWEEN + OUTSIDE - 5e-4)
        clear = translate(polygon(part), *(-(ram.travel_m + 1e-3) * way))
        assert not clear.intersects(flat)
        assert translate(polygon(part), *(-(ram.travel_m - 4e-3) * way)).intersects(flat)


def test_the_waist_ram_travels_square_to_the_centreline(wren):
    for hand, direction in (("bass", np.pi / 2), ("treble", -np.pi / 2)):
        ram = next(r for r in wren.rams if r.name == f"ram-waist-{hand}")
        assert ram.direction_rad == pytest.approx(direction)
        assert ram.x_m == pytest.approx(0.268, abs=0.001)


@pytest.mark.parametrize("body", ["wren", "plover", "curlew"])
def test_blocks_of_one_side_leave_room_for_a_hand(body, request):
    made = request.getfixturevalue(body)
    for hand in ("bass", "treble"):
        blocks = [p for p in made.parts if p.name.startswith(("ram", "caul"))
                  and p.name.endswith(hand)]  # fmt: skip
        form = polygon(made.part(f"form-{hand}"))
        for i, one in enumerate(blocks):
            assert polygon(one).distance(form) > 0.0021 + BETWEEN + OUTSIDE - 4e-4
            for other in blocks[i + 1 :]:
                if {"caul-horn-treble", "ram-scoop-treble"} == {one.name, other.name}:
                    continue  # said in a warning: one makes way for the other
                assert polygon(one).distance(polygon(other)) > 0.0049


def test_the_horn_caul_says_that_it_makes_way(wren):
    assert any("before the scoop's ram" in words for words in wren.warnings)
    assert wren.part("caul-horn-treble").least_radius_m == pytest.approx(0.022 + OUTSIDE)


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
