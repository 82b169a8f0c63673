"""Woods, boards, instruments and sides: kept as given, listed, changed, refused in one line."""

import math
from dataclasses import replace

import pytest

from journal_filled import NOW
from rimwright.errors import JournalError
from rimwright.journal.keeping import (
    Board,
    BoardSet,
    Instrument,
    Side,
    Thickness,
    Wood,
    board_sets,
    boards,
    instruments,
    save_board,
    save_board_set,
    save_instrument,
    save_side,
    save_wood,
    side,
    sides,
    woods,
)


def refused(do, *arguments) -> str:
    with pytest.raises(JournalError) as error:
        do(*arguments)
    line = str(error.value)
    assert "\n" not in line
    assert len(line) < 400
    return line


def test_everything_comes_back_as_it_was_kept(journal):
    wood = Wood(name="Maple", properties={"density_kg_m3": 610.0, "from": ["a", None]}, words="x")
    wood = replace(wood, id=save_wood(journal, wood))
    found = woods(journal)
    assert [replace(one, uid="") for one in found] == [wood]
    assert len(found[0].uid) == 36
    of = BoardSet(name="plank 7", wood_id=wood.id)
    of = replace(of, id=save_board_set(journal, of))
    assert [replace(one, uid="") for one in board_sets(journal, wood_id=wood.id)] == [of]
    board = Board(
        name="7 a", set_id=of.id, wood_id=wood.id, length_m=0.82, width_m=0.12,
        thickness_m=0.0035, grain_angle_rad=-0.02, words="streak",
    )  # fmt: skip
    board = replace(board, id=save_board(journal, board))
    assert [replace(one, uid="") for one in boards(journal, set_id=of.id)] == [board]
    instrument = Instrument(name="Wren 14", model="Wren", begun_wall_s=NOW, player="left")
    instrument = replace(instrument, id=save_instrument(journal, instrument))
    assert [replace(one, uid="") for one in instruments(journal, model="Wren")] == [instrument]
    piece = Side(
        name="Wren 14 bass", hand="bass", piece="return", instrument_id=instrument.id,
        board_id=board.id, moisture=0.08, moisture_meter="pins", humidity=0.45,
        hygrometer="brass", words="sap up",
        thicknesses=(
            Thickness(place="waist", thickness_m=0.0021, s_m=0.268),
            Thickness(place="tail", thickness_m=0.0022),
        ),
    )  # fmt: skip
    piece = replace(piece, id=save_side(journal, piece))
    assert replace(side(journal, piece.id), uid="") == piece


def test_lists_are_filtered(journal):
    for name in ("Rosewood", "Maple", "maple, flamed"):
        save_wood(journal, Wood(name=name))
    assert [one.name for one in woods(journal, name="MAPLE")] == ["Maple", "maple, flamed"]
    assert woods(journal, name="%") == ()
    assert [one.name for one in woods(journal)] == ["Rosewood", "Maple", "maple, flamed"]
    wren = save_instrument(journal, Instrument(name="14", model="Wren", begun_wall_s=NOW))
    save_instrument(journal, Instrument(name="15", model="Plover", begun_wall_s=NOW))
    assert [one.id for one in instruments(journal, model="Wren", name="1")] == [wren]
    for hand in ("bass", "treble"):
        save_side(journal, Side(name=hand, hand=hand, instrument_id=wren))
    assert [one.hand for one in sides(journal, hand="treble")] == ["treble"]
    assert len(sides(journal, instrument_id=wren)) == 2
    assert sides(journal, instrument_id=wren, piece="return") == ()


def test_saved_again_it_is_the_same_record_changed(journal):
    first = save_side(
        journal,
        Side(name="a", hand="bass", thicknesses=(Thickness(place="horn", thickness_m=0.002),)),
    )
    kept = side(journal, first)
    thinner = Thickness(place="horn", thickness_m=0.0018)
    assert save_side(journal, replace(kept, words="thinned", thicknesses=(thinner,))) == first
    now = side(journal, first)
    assert now == replace(kept, words="thinned", thicknesses=(thinner,))
    assert len(sides(journal)) == 1
    assert "no board 7" in refused(save_board, journal, Board(name="b", id=7))


def test_a_mate_is_a_mate_both_ways(journal):
    bass = save_side(journal, Side(name="bass", hand="bass"))
    treble = save_side(journal, Side(name="treble", hand="treble", mate_id=bass))
    assert side(journal, bass).mate_id == treble
    third = Side(name="third", hand="treble", mate_id=bass)
    assert "has another" in refused(save_side, journal, third)
    assert "a bass side too" in refused(
        save_side, journal, Side(name="x", hand="bass", mate_id=bass)
    )
    # Let go on one side, it is free on the other.
    save_side(journal, replace(side(journal, treble), mate_id=None))
    assert side(journal, bass).mate_id is None
    number = save_side(journal, third)
    assert side(journal, bass).mate_id == number
    assert side(journal, treble).mate_id is None


# One journal for many refusals: a database on a server takes a second to make.
HOSTILE_NAMES = ("", "   ", "a\nb", "a\x00b", "a\ud800", "x" * 121, "a\u2028b", 7, None)
HOSTILE_NUMBERS = (-0.001, math.nan, math.inf, 1e300, 10**400, True, "2", 3000)


def test_names_that_are_none(journal):
    for name in HOSTILE_NAMES:
        refused(save_wood, journal, Wood(name=name))
        refused(save_board, journal, Board(name=name))
        refused(save_board_set, journal, BoardSet(name=name))
        refused(save_side, journal, Side(name=name, hand="bass"))
        refused(save_instrument, journal, Instrument(name=name, model="Wren", begun_wall_s=NOW))
        refused(save_instrument, journal, Instrument(name="14", model=name, begun_wall_s=NOW))
    assert woods(journal) == boards(journal) == sides(journal) == instruments(journal) == ()


def test_numbers_that_are_none(journal):
    for number in HOSTILE_NUMBERS:
        for field in ("length_m", "width_m", "thickness_m", "grain_angle_rad"):
            if (field, number) != ("grain_angle_rad", -0.001):
                line = refused(save_board, journal, Board(name="b", **{field: number}))
                assert "board 'b'" in line
        for fields in (
            {"moisture": number, "moisture_meter": "pins"},
            {"humidity": number, "hygrometer": "brass"},
            {"thicknesses": (Thickness(place="waist", thickness_m=number),)},
            {"thicknesses": (Thickness(place="waist", thickness_m=0.002, s_m=number),)},
        ):
            refused(save_side, journal, Side(name="s", hand="bass", **fields))
        if number != 3000:
            made = Instrument(name="14", model="Wren", begun_wall_s=number)
            refused(save_instrument, journal, made)


def test_what_measured_it_is_asked_for(journal):
    line = refused(save_side, journal, Side(name="s", hand="bass", humidity=0.45))
    assert "name the hygrometer" in line
    line = refused(save_side, journal, Side(name="s", hand="bass", moisture=0.08))
    assert "name the meter" in line
    line = refused(save_side, journal, Side(name="s", hand="bass", humidity=45, hygrometer="b"))
    assert "a humidity as a fraction from 0 to 1" in line


def test_what_it_refers_to_must_be_there(journal):
    named = (("mate_id", "side"), ("board_id", "board"), ("instrument_id", "instrument"))
    for number in (0, -1, 99, 2**31, 10**30, 1.5, True, "1"):
        assert "no wood" in refused(save_board, journal, Board(name="b", wood_id=number))
        assert "no set" in refused(save_board, journal, Board(name="b", set_id=number))
        assert "no wood" in refused(save_board_set, journal, BoardSet(name="s", wood_id=number))
        for field, word in named:
            given = Side(name="s", hand="bass", **{field: number})
            assert f"no {word}" in refused(save_side, journal, given)
        assert "no side" in refused(side, journal, number)


def test_words_that_a_maker_cannot_say(journal):
    assert "one of 'bass', 'treble'" in refused(save_side, journal, Side(name="s", hand="left"))
    refused(save_side, journal, Side(name="s", hand="bass", piece="half"))
    refused(save_instrument, journal, Instrument(name="1", model="W", begun_wall_s=1, player="x"))
    refused(save_wood, journal, Wood(name="w", properties={"a": math.nan}))
    refused(save_wood, journal, Wood(name="w", properties={"a": object()}))
    refused(save_wood, journal, Wood(name="w", properties={"a": "x" * 70_000}))
    refused(save_wood, journal, Wood(name="w", properties=["a"]))
    refused(save_wood, journal, Wood(name="w", words="x" * 4001))
    many = tuple(Thickness(place=str(n), thickness_m=0.002) for n in range(101))
    refused(save_side, journal, Side(name="s", hand="bass", thicknesses=many))
