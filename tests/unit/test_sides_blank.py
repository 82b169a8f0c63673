"""Blanks on their boards, and the book-match."""

from __future__ import annotations

import dataclasses
import re
from pathlib import Path

import numpy as np
import pytest

from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.instrument.design import Design, Drawing, Ends, OutlineSource, Plate, Plates, Sides
from rimwright.instrument.outline import Half, Outline, RimPiece
from rimwright.sides.blank import least_turn
from rimwright.sides.bookmatch import book_match
from rimwright.sides.develop import develop, develop_sides

RADIUS = 0.2


def _half(hand: str) -> Half:
    sign = 1.0 if hand == "treble" else -1.0
    round_half = Arc((0.0, 0.0), sign * np.pi / 2, -sign / RADIUS, RADIUS * np.pi)
    return Half(hand, RimPiece(hand, "main", Chain((round_half,))))  # type: ignore[arg-type]


def _outline() -> Outline:
    bass = _half("bass")
    length = float(bass.main.chain.end().position[0, 0])
    return Outline(bass=bass, treble=_half("treble"), length_m=length)


def _design(**sides: object) -> Design:
    dome = Plate(shape="dome", radius_m=4.5)
    return Design(
        name="Trial",
        outline=OutlineSource(source=Drawing(path=Path("trial.svg"))),
        plates=Plates(top=Plate(), back=dome, depth_tail_m=0.1, depth_neck_m=0.08),
        ends=Ends(
            neck_block_width_m=0.056,
            neck_block_length_m=0.05,
            neck_block_kind="bolt-on",
            tail_block_width_m=0.07,
            trim_tail_m=0.021,
            trim_neck_m=0.018,
        ),
        sides=Sides(thickness_m=0.002, **sides),
    )


def test_straight_blank_has_both_trims_and_the_pattern_s_height() -> None:
    side = develop_sides(_outline(), _design())[0]
    blank = side.blank
    assert blank.length_m == pytest.approx(side.length_middle_m + 0.039)
    assert blank.width_m == pytest.approx(side.edge_back[:, 2].max())
    assert blank.angle_rad == 0.0
    assert (blank.origin_along_m, blank.origin_up_m) == (0.021, 0.0)
    assert blank.stock_width_m == pytest.approx(blank.width_m + 2 * (0.0013 + 0.003))


def test_the_turned_blank_is_the_narrowest_of_all_turns() -> None:
    outline, design = _outline(), _design(rotate_on_board=True)
    side = develop_sides(outline, design)[0]
    edges = np.vstack([side.edge_top[:, 1:], side.edge_back[:, 1:]])
    turns = np.radians(np.linspace(-10, 10, 20_001))
    up = np.outer(np.sin(turns), edges[:, 0]) + np.outer(np.cos(turns), edges[:, 1])
    brute = np.ptp(up, axis=1)
    assert side.blank.width_m <= brute.min() + 1e-12
    # 0.001° of the grid moves the end of a 600 mm side by 0.01 mm.
    assert side.blank.width_m == pytest.approx(brute.min(), abs=2e-5)
    assert side.blank.angle_rad == pytest.approx(turns[np.argmin(brute)], abs=np.radians(0.002))
    assert side.blank.width_m < develop_sides(outline, _design())[0].blank.width_m


def test_both_sides_are_turned_alike_for_the_book_match() -> None:
    bass, treble = develop_sides(_outline(), _design(rotate_on_board=True))
    assert bass.blank.angle_rad == treble.blank.angle_rad > 0.0


@pytest.mark.parametrize("angle", [-0.2, 0.0, 0.11])
def test_least_turn_undoes_the_turn_of_a_rectangle(angle: float) -> None:
    corners = np.array([[0.0, 0.0], [0.7, 0.0], [0.7, 0.1], [0.0, 0.1]])
    cosine, sine = np.cos(angle), np.sin(angle)
    assert least_turn(corners @ np.array([[cosine, sine], [-sine, cosine]])) == pytest.approx(
        -angle, abs=1e-12
    )


@pytest.mark.parametrize(
    ("board", "words"),
    [
        ({"board_length_m": 0.4}, "400.0 mm long.*too small even without the allowances"),
        ({"board_width_m": 0.104}, "104.0 mm wide.*enough for the pattern alone"),
    ],
)
def test_a_board_too_small_is_pointed_out_at_once(board: dict[str, float], words: str) -> None:
    side = develop_sides(_outline(), _design(**board))[0]
    (line,) = side.warnings
    assert re.search(words, line)
    assert not develop_sides(_outline(), _design(board_length_m=0.9, board_width_m=0.2))[0].warnings


def test_one_piece_alone_develops_like_all_of_them() -> None:
    outline, design = _outline(), _design()
    alone = develop(outline.treble.main, outline.treble, design, outline, 0.002)
    together = develop_sides(outline, design)[1]
    assert alone.blank == together.blank
    assert alone.marks == together.marks


def test_thickness_may_differ_from_side_to_side() -> None:
    by_piece = {("bass", "main"): 0.0021, ("treble", "main"): 0.0019}
    sides = develop_sides(_outline(), _design(), by_piece)  # type: ignore[arg-type]
    assert [side.thickness_m for side in sides] == [0.0021, 0.0019]


@pytest.mark.parametrize("turned", [False, True])
def test_book_match_mirrors_the_boards_about_the_fold(turned: bool) -> None:
    sides = develop_sides(_outline(), _design(rotate_on_board=turned))
    bass, treble = book_match(sides, "right").lays
    assert bass.above
    assert not treble.above
    assert treble.pattern == pytest.approx(bass.pattern * [1.0, -1.0])
    assert treble.waist_m == bass.waist_m
    assert bass.words.endswith("upper edge to the back, lower edge to the top")
    for lay in (bass, treble):
        low, high = lay.board.min(axis=0), lay.board.max(axis=0)
        assert (lay.pattern.min(axis=0) > low).all()
        assert (lay.pattern.max(axis=0) < high).all()


def test_left_handed_swaps_the_boards_and_so_the_outside_faces() -> None:
    bass, treble = book_match(develop_sides(_outline(), _design()), "left").lays
    assert (bass.above, treble.above) == (False, True)
    assert bass.words.endswith("lower edge to the back, upper edge to the top")


def test_waists_apart_are_pointed_out() -> None:
    bass, treble = develop_sides(_outline(), _design())

    def with_waist(side: object, at: float) -> object:
        first = side.marks[0]  # type: ignore[attr-defined]
        waist = dataclasses.replace(first, name="waist", s_middle_m=at)
        return dataclasses.replace(side, marks=(waist,))  # type: ignore[type-var]

    match = book_match((with_waist(bass, 0.3), with_waist(treble, 0.3043)), "right")  # type: ignore[arg-type]
    assert "4.3 mm apart" in match.warnings[0]
    assert not book_match((bass, treble), "right").warnings
