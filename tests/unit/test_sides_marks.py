"""Named places on bodies of every kind, and the marks made of them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.instrument.design import Design, Drawing, Ends, OutlineSource, Plate, Plates, Sides
from rimwright.instrument.outline import Half, Outline, RimPiece
from rimwright.instrument.stations import features, place_in_words, region
from rimwright.sides.develop import EDGE_STEP, develop_sides, with_zones
from rimwright.sides.paper_strip import paper_strip
from rimwright.sides.pattern import Zone


def _chain(
    *steps: tuple[float | None, float],
    start: tuple[float, float] = (0.0, 0.0),
    heading: float = -90,
) -> Chain:
    """A bass side by tangent arcs: (radius in mm, degrees), or (None, length in mm)."""
    pieces = []
    turned = np.radians(heading)
    for radius, amount in steps:
        if radius is None:
            piece = Arc(start, turned, 0.0, amount * 1e-3)
        else:
            piece = Arc(start, turned, 1e3 / radius, abs(radius) * 1e-3 * np.radians(amount))
        end = piece.at(np.array([piece.length]))
        start, turned = (float(end.position[0, 0]), float(end.position[0, 1])), end.heading[0]
        pieces.append(piece)
    return Chain(tuple(pieces))


WAISTED = ((150, 60), (80, 70), (-120, 60), (70, 60), (150, 30))
CUT = ((150, 60), (80, 70), (-120, 60), (100, 35), (22, 80), (-34, 95))


def _half(steps: tuple[tuple[float | None, float], ...], cutaway: str = "none") -> Half:
    return Half("bass", RimPiece("bass", "main", _chain(*steps)), None, cutaway)  # type: ignore[arg-type]


def _treble(half: Half) -> Half:
    pieces = [RimPiece("treble", piece.name, piece.chain.mirrored()) for piece in half.pieces]
    return Half("treble", pieces[0], *pieces[1:], cutaway=half.cutaway)


def _design(player: str = "right") -> Design:
    dome = Plate(shape="dome", radius_m=4.5)
    return Design(
        name="Trial",
        player=player,  # type: ignore[arg-type]
        outline=OutlineSource(source=Drawing(path=Path("trial.svg"))),
        plates=Plates(top=dome, back=dome, depth_tail_m=0.1, depth_neck_m=0.085),
        ends=Ends(
            neck_block_width_m=0.056,
            neck_block_length_m=0.05,
            neck_block_kind="bolt-on",
            tail_block_width_m=0.07,
        ),
        sides=Sides(thickness_m=0.0021),
    )


def _outline(half: Half) -> Outline:
    reach = half.main.at(np.linspace(0, half.main.length, 500)).position[:, 0].max()
    return Outline(bass=half, treble=_treble(half), length_m=float(reach))


def test_a_waisted_body_has_all_its_places_where_the_line_runs_along_the_centreline() -> None:
    half = _half(WAISTED)
    places = {place.mark_name: place for place in features(half)}
    assert list(places) == [
        "tail seam",
        "widest lower bout",
        "waist",
        "widest upper bout",
        "neck end",
    ]
    for name in ("widest lower bout", "waist", "widest upper bout"):
        place = places[name]
        heading = half.main.at(np.array([place.s_m])).heading[0]
        assert np.sin(heading) == pytest.approx(0.0, abs=1e-6)
    # Turned by 90° of 60° at 150 mm and 30° of the 80 mm arc.
    lower = 0.15 * np.radians(60) + 0.08 * np.radians(30)
    assert places["widest lower bout"].s_m == pytest.approx(lower, abs=1e-8)
    assert places["waist"].curvature == pytest.approx(-1 / 0.12)


def test_a_stretch_along_the_centreline_is_marked_in_its_middle() -> None:
    half = _half(((100, 90), (None, 80), (100, 90)))
    lower = next(place for place in features(half) if place.name == "lower bout")
    assert lower.s_m == pytest.approx(0.1 * np.pi / 2 + 0.04, abs=1e-9)


def test_a_teardrop_has_no_waist_and_its_bout_is_carried_to_the_slats() -> None:
    half = _half(((120, 110), (100, 30), (-200, 15), (None, 60)))
    names = [place.mark_name for place in features(half)]
    assert names == ["tail seam", "widest lower bout", "neck end"]
    side = develop_sides(_outline(half), _design())[0]
    assert [mark.name for mark in side.marks if mark.on_slats] == ["widest lower bout"]


def test_a_small_wobble_is_no_waist() -> None:
    """0.7 mm of hollow in a long bout, as a traced line has it."""
    half = _half(((120, 91.5), (-2000, 3), (120, 91.5)))
    assert "waist" not in [place.name for place in features(half)]


def test_a_waist_stays_one_though_a_cutaway_leaves_hardly_a_bout_beyond_it() -> None:
    """The bout beyond is 0.6 mm wider than the waist, whose bend turns by 37 degrees."""
    half = _half(((150, 60), (80, 62), (-120, 37), (100, 20), (22, 80), (-34, 95)), "rounded")
    places = {place.name: place for place in features(half)}
    assert list(places)[1:6] == ["lower bout", "waist", "upper bout", "horn", "scoop"]
    assert abs(places["upper bout"].y_m) - abs(places["waist"].y_m) < 0.001


def test_horn_and_scoop_lie_in_the_middle_of_their_bends() -> None:
    half = _half(CUT, "rounded")
    stations = half.main.chain.stations
    places = {place.name: place for place in features(half)}
    assert places["horn"].s_m == pytest.approx(stations[4:6].mean(), abs=1e-6)
    assert places["scoop"].s_m == pytest.approx(stations[5:7].mean(), abs=1e-6)
    assert region(half, half.main, stations[4] + 0.001) == "horn"
    assert region(half, half.main, stations[5] + 0.001) == "scoop"
    assert region(half, half.main, stations[2] + 0.001) == "waist"
    assert region(half, half.main, stations[3] + 0.001) == "upper bout"
    words = place_in_words(half, half.main, places["horn"].s_m, "inch")
    assert words.startswith("horn, 55/64″ radius, ")
    assert words.endswith(" before the neck end")


def test_a_pointed_horn_ends_the_main_piece_and_starts_the_return() -> None:
    main = _chain((150, 60), (80, 70), (-120, 60), (100, 35))
    end = main.end()
    tip = (float(end.position[0, 0]), float(end.position[0, 1]))
    back = _chain((-38, 100), start=tip, heading=float(np.degrees(end.heading[0])) + 110)
    half = Half(
        "bass",
        RimPiece("bass", "main", main),
        RimPiece("bass", "return", back),
        "pointed",
    )
    names = [(place.piece, place.name) for place in features(half)]
    assert names[-4:] == [
        ("main", "horn tip"),
        ("return", "horn tip"),
        ("return", "scoop"),
        ("return", "neck end"),
    ]
    sides = develop_sides(_outline(half), _design())
    assert [(side.rim.hand, side.rim.name) for side in sides] == [
        ("bass", "main"),
        ("bass", "return"),
        ("treble", "main"),
        ("treble", "return"),
    ]
    assert sides[0].mitre_rad == pytest.approx(np.radians(0.5 * (180 - 110)))
    assert "mitred at 35.0°" in sides[0].neck_end_words
    # The return is concave all along, so its inside is the longer face.
    assert sides[1].length_inner_m > sides[1].length_outer_m


def test_every_mark_carries_all_three_lines_and_its_height() -> None:
    half = _half(CUT, "rounded")
    for side in develop_sides(_outline(half), _design()):
        t = side.thickness_m
        for mark in side.marks:
            turn = side.rim.turn_to(np.array([mark.s_outer_m]))[0]
            assert mark.s_middle_m == pytest.approx(mark.s_outer_m - 0.5 * t * turn)
            assert mark.s_inner_m == pytest.approx(mark.s_outer_m - t * turn)
            assert mark.from_far_end_m == pytest.approx(side.length_middle_m - mark.s_middle_m)
            row = np.flatnonzero(side.edge_top[:, 0] == mark.s_outer_m)
            assert row.size == 1
            height = side.edge_back[row[0], 2] - side.edge_top[row[0], 2]
            assert mark.height_m == pytest.approx(height)
        assert [mark.name for mark in side.marks if mark.on_slats] == ["waist"]


def test_edges_are_close_and_rise_along_every_line() -> None:
    for side in develop_sides(_outline(_half(CUT, "rounded")), _design()):
        for edge in (side.edge_top, side.edge_back, side.edge_top_proud):
            assert np.diff(edge[:, 0]).max() <= EDGE_STEP + 1e-6 < 0.005
            assert (np.diff(edge[:, :2], axis=0) > 0).all()
            assert edge[[0, -1], 0].tolist() == [0.0, side.length_outer_m]
        assert side.edge_top[:, 2] - side.edge_top_proud[:, 2] == pytest.approx(0.0013)
        assert side.edge_back_proud[:, 2] - side.edge_back[:, 2] == pytest.approx(0.0013)


def test_zones_add_their_limits_to_marks_and_edges() -> None:
    outline, design = _outline(_half(WAISTED)), _design()
    side = develop_sides(outline, design)[0]
    zone = Zone(
        name="tape at the waist",
        kind="tape",
        from_outer_m=0.2611,
        to_outer_m=0.3477,
        from_middle_m=0.26,
        to_middle_m=0.346,
        tension_face="inside",
    )
    again = with_zones(side, (zone,), design, outline)
    added = {mark.name for mark in again.marks} - {mark.name for mark in side.marks}
    assert added == {"tape at the waist begins", "tape at the waist ends"}
    # A limit on top of another mark shares its pencil line.
    waist = next(mark for mark in side.marks if mark.name == "waist")
    met = with_zones(side, (replace(zone, from_outer_m=waist.s_outer_m + 0.0005),), design, outline)
    assert "waist, tape at the waist begins" in {mark.name for mark in met.marks}
    assert len(met.marks) == len(side.marks) + 1
    assert {0.2611, 0.3477} <= set(again.edge_top[:, 0])
    assert again.blank == side.blank


def test_paper_strip_has_the_middle_line_for_the_wood_and_the_outer_for_the_mould() -> None:
    side = develop_sides(_outline(_half(WAISTED)), _design())[0]
    strip = paper_strip(side)
    waist = next(tick for tick in strip.ticks if tick.name == "waist")
    mark = next(mark for mark in side.marks if mark.name == "waist")
    assert (waist.wood_m, waist.mould_m) == (mark.s_middle_m, mark.s_outer_m)
    assert strip.mould_end_m - strip.wood_end_m == pytest.approx(
        side.length_outer_m - side.length_middle_m
    )
    assert strip.trim_start_m == side.blank.trim_tail_m
