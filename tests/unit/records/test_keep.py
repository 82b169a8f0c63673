"""What the shop has: kept from a file, listed with numbers, written out and kept again."""

import json
import re
from contextlib import closing
from pathlib import Path

import pytest

from journal_filled import fill
from journal_stores import journal, store
from records_kept import command, done
from rimwright.desk.keeping import keep_text
from rimwright.desk.kept_toml import EXAMPLE, text
from rimwright.journal import keeping
from rimwright.journal.opening import open_journal
from web_bench import SmallBench
from web_served import serving

__all__ = ["journal", "store"]
SHELF = """
[[sides]]
instrument = "Wren 14"
hand = "bass"
board = "7 b"

[[instruments]]
name = "Wren 14"
model = "Wren"
player = "left"
begun = 2026-11-02

[[woods]]
name = "pond walnut"
like = "black walnut"
source = "one log, weighed in 2019"
gravity_12 = 0.58

[[sets]]
name = "plank 7"
wood = "pond walnut"

[[sets]]
name = "rosewood"
wood = "Indian rosewood"

[[boards]]
name = "7 a"
set = "plank 7"
length = "32 1/4 in"
width = "120 mm"
thickness = "138 thou"
grain_angle = "1 deg"

[[boards]]
name = "7 b"
set = "plank 7"

[[sides]]
instrument = "Wren 14"
hand = "treble"
board = "7 a"
mate = "Wren 14 bass"
measured = [
  { place = "tail end", thickness = "2.15 mm" },
  { place = "waist", at = "268 mm", thickness = "83 thou" },
]
moisture = "8 %"
moisture_meter = "the one with pins"
humidity = 0.44
hygrometer = "the brass one"
words = '''
a dark streak
at the waist'''
"""


@pytest.fixture
def shelf(tmp_path):
    (tmp_path / "shelf.toml").write_text(SHELF, encoding="utf-8")
    return tmp_path / "shelf.toml"


def read(where):
    """All that is kept, by kind and name."""
    told = json.loads(done("kept", "--json", "--database", where))
    return {kind: {one["name"]: one for one in found} for kind, found in told.items()}


def test_everything_is_kept(shelf, store):
    out = done("keep", shelf, "--database", store.where)
    assert "side 2, Wren 14 treble: kept" in out
    assert "wood 2, Indian rosewood: kept" in out, "a listed wood needs no table"
    found = read(store.where)
    assert {kind: len(rows) for kind, rows in found.items()} == {
        "instruments": 1, "woods": 2, "sets": 2, "boards": 2, "sides": 2,
    }  # fmt: skip
    instrument = found["instruments"]["Wren 14"]
    assert (instrument["model"], instrument["player"]) == ("Wren", "left")
    assert found["woods"]["pond walnut"]["properties"] == {
        "like": "black walnut", "source": "one log, weighed in 2019", "gravity_12": 0.58,
    }  # fmt: skip
    board = found["boards"]["7 a"]
    assert board["length_m"] == pytest.approx(0.81915)
    assert board["thickness_m"] == pytest.approx(0.0035052)
    assert board["set_id"] == found["sets"]["plank 7"]["id"]
    treble, bass = (found["sides"][f"Wren 14 {hand}"] for hand in ("treble", "bass"))
    assert (treble["mate_id"], bass["mate_id"]) == (bass["id"], treble["id"])
    assert treble["board_id"] == board["id"]
    assert [(one["place"], one["s_m"]) for one in treble["thicknesses"]] == [
        ("tail end", None), ("waist", 0.268),
    ]  # fmt: skip
    assert (treble["moisture"], treble["humidity"]) == (0.08, 0.44)
    assert treble["words"] == "a dark streak\nat the waist"


def test_kept_again_it_stays_as_it_is(shelf, store):
    done("keep", shelf, "--database", store.where)
    before = read(store.where)
    assert done("keep", shelf, "--database", store.where) == "8 as they were\n"
    assert read(store.where) == before


def test_what_is_written_out_is_what_is_kept(shelf, store, tmp_path):
    done("keep", shelf, "--database", store.where)
    before = read(store.where)
    out = done("kept", "--toml", "--database", store.where)
    assert out.startswith(EXAMPLE)
    (tmp_path / "out.toml").write_text(out, encoding="utf-8")
    assert done("keep", tmp_path / "out.toml", "--database", store.where) == "9 as they were\n"
    assert read(store.where) == before


def test_records_of_elsewhere_are_written_out_too(tmp_path):
    """A wood with values that no table of ours has is shown, and left alone."""
    opened, _ = open_journal(tmp_path / "journal.sqlite")
    fill(opened)
    opened.close()
    before = read(tmp_path / "journal.sqlite")
    out = done("kept", "--toml", "--journal", tmp_path / "journal.sqlite")
    assert "# density_kg_m3 = 610.0" in out
    (tmp_path / "out.toml").write_text(out, encoding="utf-8")
    said = done("keep", tmp_path / "out.toml", "--journal", tmp_path / "journal.sqlite")
    assert said == "5 as they were\n"
    assert read(tmp_path / "journal.sqlite") == before


def test_what_is_left_out_stays_and_what_is_said_changes(shelf, store, tmp_path):
    done("keep", shelf, "--database", store.where)
    before = read(store.where)["sides"]
    number = before["Wren 14 treble"]["id"]
    (tmp_path / "more.toml").write_text(
        f'[[sides]]\nnumber = {number}\nname = "Wren 14, the good one"\nmoisture = "7 %"\n'
        'moisture_meter = "the new one"\n[[sides]]\nname = "wren 14 BASS"\nwords = "knotty"\n'
    )
    out = done("keep", tmp_path / "more.toml", "--database", store.where)
    assert f"side {number}, Wren 14, the good one: changed" in out
    after = read(store.where)["sides"]
    good = after["Wren 14, the good one"]
    same = ("id", "uid", "hand", "mate_id", "board_id", "thicknesses", "humidity", "words")
    assert {key: good[key] for key in same} == {key: before["Wren 14 treble"][key] for key in same}
    assert (good["moisture"], good["moisture_meter"]) == (0.07, "the new one")
    assert after["wren 14 BASS"]["words"] == "knotty"
    assert len(after) == 2


def test_a_listing_with_numbers(shelf, store):
    done("keep", shelf, "--database", store.where)
    out = done("kept", "--database", store.where)
    assert max(map(len, out.splitlines())) <= 120
    for said in ("instruments", "pond walnut", "black walnut", "819.1 mm",
                 "2.11 mm to 2.15 mm (2)", "8.0%", "44%", "left-handed", "2 Nov 2026",
                 "rimwright begin PLAN --of SIDE"):  # fmt: skip
        assert said in out, said
    assert "0.083″ to 0.085″" in done("kept", "sides", "--show", "inch", "--database", store.where)
    sides = done("kept", "sides", "--name", "TREBLE", "--database", store.where)
    assert "Wren 14 treble" in sides
    assert "Wren 14 bass" not in sides.replace("Wren 14 treble", "")
    assert "Nothing of the kind" in done("kept", "woods", "--name", "x", "--database", store.where)


def test_the_example_is_what_is_read(tmp_path):
    lines = [line.removeprefix("#").removeprefix(" ") for line in EXAMPLE.splitlines()[5:]]
    bass = '[[sides]]\ninstrument = "Wren 14"\nhand = "bass"\n'
    (tmp_path / "shelf.toml").write_text("\n".join(lines) + "\n" + bass)
    out = done("keep", tmp_path / "shelf.toml", "--journal", tmp_path / "journal.sqlite")
    assert out.count(": kept") == 6
    (tmp_path / "bare.toml").write_text(EXAMPLE)
    said = done("keep", tmp_path / "bare.toml", "--journal", tmp_path / "journal.sqlite")
    assert "says nothing yet" in said


def test_the_page_on_records_shows_what_is_read(tmp_path):
    page = (Path(__file__).parents[3] / "docs" / "records.md").read_text(encoding="utf-8")
    (block,) = re.findall(r"```toml\n(.*?)```", page, re.DOTALL)
    (tmp_path / "shelf.toml").write_text(block, encoding="utf-8")
    out = done("keep", tmp_path / "shelf.toml", "--journal", tmp_path / "journal.sqlite")
    assert [line.partition(" ")[0] for line in out.splitlines()] == [
        "instrument", "wood", "board", "side", "side",
    ]  # fmt: skip


def test_a_list_to_fill_in_before_there_is_a_journal(tmp_path):
    assert done("kept", "--toml", "--journal", tmp_path / "journal.sqlite") == EXAMPLE


@pytest.mark.parametrize(
    ("table", "said"),
    [
        ("[[sides]]\nhand = 'left'", "line 2, sides[1].hand: found 'left'; expected 'bass' or"),
        ("[[sides]]\nhand = 'bass'", "a side without a name"),
        ("[[sides]]\nname = 'x'", "a new side without hand"),
        ("[[instruments]]\nname = 'x'", "a new instrument without model"),
        ("[[boards]]\nname = 'x'\nlength = 820", "line 3, boards[1].length: found 820 without"),
        ("[[boards]]\nname = 'x'\nlength = '82 m'", "expected 50 mm to 5 m"),
        ("[[boards]]\nname = 'x'\nset = 'plank'", "no set 'plank'; expected a set of this file"),
        ("[[boards]]\nname = 'x'\nset = 7", "no set 7 in the journal"),
        ("[[boards]]\nname = 'x'\nset = 0.5", "a name, or a number as"),
        ("[[boards]]\nname = 'x'\nset = true", "a name, or a number as"),
        ("[[boards]]\nname = 'x'\nwood = 'oka'", "line 3, boards[1].wood: found no wood"),
        ("[[boards]]\nname = 'x'\n[[boards]]\nname = 'X'", "board 'x' a second time"),
        ("[[boards]]\nname = ''", "some text"),
        ("[[boards]]\nname = 'x'\nheight = '1 m'", "an unknown key 'height'"),
        ("[[boards]]\nname = 'x'\nnumber = 9", "line 3, boards[1].number: found no board 9"),
        ("[[boards]]\nnumber = 1", "no name"),
        ("[[bords]]\nname = 'x'", "did you mean boards?"),
        ("[[woods]]\nname = 'x'\nlike = 'oka'\nsource = 'weighed'", "line 3, woods[1].like"),
        ("[[woods]]\nname = 'x'\nsource = 'weighed'", "neither like nor class"),
        ("[[woods]]\nname = 'x'\nlike = 'sugar maple'", "no source"),
        ("[[sides]]\nname='a'\nhand='bass'\nmate='a'", "a bass side too"),
        ("[[sides]]\nname='a'\nhand='bass'\nmate='b'\n[[sides]]\nname='b'\nhand='bass'",
         "line 4, sides[1].mate: found 'b', a bass side too"),
        ("[[sides]]\nname='a'\nhand='bass'\nmoisture='8 %'", "a moisture without moisture_meter"),
        ("[[sides]]\nname='a'\nhand='bass'\nhumidity=0.4", "a humidity without hygrometer"),
        ("[[sides]]\nname='a'\nhand='bass'\nhumidity='140 %'\nhygrometer='x'", "0 % to 100 %"),
        ("[[sides]]\nname='a'\nhand='bass'\nmeasured=[{place='x'}]", "measured[1].thickness"),
        ("[[instruments]]\nname='x'\nmodel='y'\nbegun='soon'", "instruments[1].begun"),
        ("instruments = 3", "a list, or tables [[instruments]]"),
        ("[[sides", "TOML"),
        ("", None),
    ],
)  # fmt: skip
def test_slips_are_one_line_with_their_place_and_keep_nothing(tmp_path, monkeypatch, table, said):
    monkeypatch.chdir(tmp_path)
    Path("shelf.toml").write_text(f"{table}\n", encoding="utf-8")
    if said is None:
        assert "says nothing yet" in done("keep", "shelf.toml", "--journal", "journal.sqlite")
        return
    line = command("keep", "shelf.toml", "--journal", "journal.sqlite").line
    assert said in line
    assert line.startswith("shelf.toml")
    if Path("journal.sqlite").exists():
        assert not any(read("journal.sqlite").values()), "nothing was kept"


def test_files_that_are_none(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    where = ("--journal", "journal.sqlite")
    assert "rimwright kept --toml" in command("keep", "shelf.toml", *where).line
    assert "a folder" in command("keep", ".", *where).line
    Path("bytes.toml").write_bytes(b"\xff\xfe")
    assert "UTF-8" in command("keep", "bytes.toml", *where).line
    assert "--show: found 'feet'" in command("kept", "--toml", "--show", "feet", *where).line
    assert "one of instruments, woods" in command("kept", "shelves", "--toml", *where).line


def test_names_that_mean_several(tmp_path):
    opened, _ = open_journal(tmp_path / "journal.sqlite")
    with closing(opened):
        one, two = (keeping.save_board(opened, keeping.Board(name="a")) for _ in range(2))

        def kept(text):
            return keep_text(opened, text, Path("shelf.toml"))

        said = f"2 of the name 'a': {one}, {two}"
        with pytest.raises(Exception, match=re.escape(said)):
            kept('[[boards]]\nname = "a"\n')
        with pytest.raises(Exception, match=re.escape(said)):
            kept('[[sides]]\nname = "s"\nhand = "bass"\nboard = "a"\n')
        (line,) = kept(f'[[sides]]\nname = "s"\nhand = "bass"\nboard = {two}\n')
        assert keeping.side(opened, line.number).board_id == two


def test_boards_of_one_name_in_two_sets(tmp_path):
    """The set tells them apart, in the file and in the journal."""
    opened, _ = open_journal(tmp_path / "journal.sqlite")
    shelf = (
        '[[sets]]\nname = "one"\n[[sets]]\nname = "two"\n'
        '[[boards]]\nname = "a"\nset = "one"\nwidth = "110 mm"\n'
        '[[boards]]\nname = "a"\nset = "two"\nwidth = "120 mm"\n'
    )
    with closing(opened):
        for what in ("kept", "as it was"):
            lines = keep_text(opened, shelf, Path("shelf.toml"))
            assert [one.what for one in lines] == [what] * 4
        assert [one.width_m for one in keeping.boards(opened)] == [0.11, 0.12]


def test_a_mate_is_changed(tmp_path):
    opened, _ = open_journal(tmp_path / "journal.sqlite")

    def kept(text):
        return {one.name: one.what for one in keep_text(opened, text, Path("shelf.toml"))}

    def mates():
        return {one.name: one.mate_id for one in keeping.sides(opened)}

    with closing(opened):
        three = (("a", "bass"), ("b", "treble"), ("c", "treble"))
        kept("".join(f'[[sides]]\nname = "{name}"\nhand = "{hand}"\n' for name, hand in three))
        assert kept('[[sides]]\nname = "a"\nmate = "b"\n') == {"a": "changed"}
        assert mates() == {"a": 2, "b": 1, "c": None}
        assert kept('[[sides]]\nname = "b"\nmate = "a"\n') == {"b": "as it was"}
        with pytest.raises(Exception, match="which has another mate"):
            kept('[[sides]]\nname = "d"\nhand = "treble"\nmate = "a"\n')
        assert "d" not in mates()
        kept('[[sides]]\nname = "a"\nmate = "c"\n')
        assert mates() == {"a": 3, "b": None, "c": 1}


def test_by_the_server_that_has_the_journal(tmp_path, shelf):
    opened, _ = open_journal(tmp_path / "journal.sqlite")
    where = ("--journal", tmp_path / "journal.sqlite")
    with SmallBench() as bench, serving(tmp_path, bench, journal=opened):
        assert "side 2, Wren 14 treble: kept" in done("keep", shelf, *where)
        assert done("keep", shelf, *where) == "8 as they were\n"
        assert len(keeping.sides(opened)) == 2
        (tmp_path / "wrong.toml").write_text('[[boards]]\nname = "x"\nset = "plank 9"\n')
        line = command("keep", tmp_path / "wrong.toml", *where).line
        assert "wrong.toml, line 3, boards[1].set: no set 'plank 9'" in line
        assert "did you mean 'plank 7'?" in line


@pytest.mark.parametrize(
    "words", ["plain", 'with "quotes" and \\', "two\nlines\tand a tab", "\x7f", "″ × °", "'''", ""]
)
def test_any_words_become_toml(words):
    import tomllib

    assert tomllib.loads(f"x = {text(words)}")["x"] == words
