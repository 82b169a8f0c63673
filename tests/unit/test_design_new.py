"""Eight questions make a commented design that loads and can be drawn."""

import re
from pathlib import Path

import pytest

from rimwright.errors import DesignError, OutputError
from rimwright.instrument.design import Drawing, Landmarks
from rimwright.instrument.design_files.load import load_design, load_shop, shop_from_text
from rimwright.instrument.design_files.new import QUESTIONS, write_new_design
from rimwright.instrument.design_files.new_text import DESIGN_TEXT, SHOP_TEXT
from rimwright.instrument.measures.landmarks import outline_from_landmarks

CASES = Path(__file__).parents[1] / "cases"


def test_there_are_eight_and_their_defaults_will_do(tmp_path: Path):
    assert len(QUESTIONS) == 8
    assert len({question.key for question in QUESTIONS}) == 8
    for question in QUESTIONS:
        question.check(question.default)
    path = write_new_design({}, tmp_path / "new")
    assert path == tmp_path / "new" / "first-guitar.rim.toml"
    design = load_design(path)
    assert isinstance(design.outline.source, Landmarks)
    outline = outline_from_landmarks(design.outline.source)
    assert outline.length_m == pytest.approx(0.470, abs=1e-6)
    assert design.equipment.assumed
    assert "back: assumed flat" in design.assumed
    assert sum("#" in line for line in path.read_text().splitlines()) > 40
    assert load_shop(tmp_path / "new" / "shop.toml").equipment.assumed


@pytest.mark.parametrize("cutaway", ["rounded", "pointed"])
@pytest.mark.parametrize(
    ("length", "widths"),
    [("470 mm", "356, 222, 268 mm"), ("20 in", "16, 9 1/2, 11.5 in"), ("240 mm", "18, 12, 14 cm")],
)
def test_proposed_cutaways_can_be_drawn(tmp_path: Path, cutaway: str, length: str, widths: str):
    path = write_new_design({"outline": length, "widths": widths, "cutaway": cutaway}, tmp_path)
    source = load_design(path).outline.source
    assert isinstance(source, Landmarks)
    treble = outline_from_landmarks(source).treble
    assert (treble.return_piece is not None) == (cutaway == "pointed")


def test_a_drawing_answers_widths_and_cutaway(tmp_path: Path):
    answers = {"outline": f"{CASES / 'curlew.png'}, 330 mm", "player": "Left", "wood": "none",
               "depths": "3, 2 3/4 in", "name": 'A "wren"\\'}  # fmt: skip
    assert [q.key for q in QUESTIONS if not q.needed(answers)] == ["widths", "cutaway"]
    design = load_design(write_new_design(answers, tmp_path))
    assert design.name == 'A "wren"\\'
    assert (design.player, design.show) == ("left", "inch")
    assert isinstance(design.outline.source, Drawing)
    assert design.outline.source.path.samefile(CASES / "curlew.png")
    assert design.outline.source.body_length_m == pytest.approx(0.330)
    assert design.sides.wood is None
    assert design.sides.thickness_m == pytest.approx(0.00216)


def test_a_relative_drawing_is_found_from_the_new_folder(tmp_path: Path, monkeypatch):
    (tmp_path / "wren.svg").write_bytes((CASES / "wren.svg").read_bytes())
    monkeypatch.chdir(tmp_path)
    path = write_new_design({"outline": "wren.svg"}, Path("deep/er"))
    assert '"../../wren.svg"' in path.read_text()


@pytest.mark.parametrize(
    ("key", "answer"),
    [
        ("name", "a\nb"),
        ("player", "both"),
        ("outline", "470"),
        ("outline", "4 m"),
        ("outline", "gone.dxf"),
        ("outline", "scan.png, long"),
        ("widths", "356, 222 mm"),
        ("widths", "200, 222, 268 mm"),
        ("widths", "356, 222, 268"),
        ("cutaway", "venetian blind"),
        ("depths", "100 mm"),
        ("depths", "100, -85 mm"),
        ("wood", "unobtainium"),
        ("thickness", "9 mm"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_written(tmp_path: Path, key: str, answer: str):
    folder = tmp_path / "new"
    with pytest.raises(DesignError) as caught:
        write_new_design({key: answer}, folder)
    assert "\n" not in str(caught.value)
    assert not folder.exists()


def test_nothing_is_overwritten(tmp_path: Path):
    (tmp_path / "shop.toml").write_text('shop = "mine"\n')
    write_new_design({"name": "Wren"}, tmp_path)
    assert (tmp_path / "shop.toml").read_text() == 'shop = "mine"\n'
    with pytest.raises(OutputError, match="found a file of that name"):
        write_new_design({"name": "wren"}, tmp_path)


def uncommented(text: str) -> str:
    """The text with every choice that stands there as a note made."""
    return re.sub(r"^# (?=(\[|\w+ = |\]|  \{))", "", text, flags=re.MULTILINE)


def test_every_choice_in_the_notes_is_one(tmp_path: Path):
    path = write_new_design({"cutaway": "rounded"}, tmp_path)
    text = uncommented(path.read_text())
    assert text.count("\n[") + text.count("\n# [") == text.count("\n[")
    path.write_text(text)
    design = load_design(path)
    assert design.sides.thinned
    assert len(design.strips) == 2
    assert design.plates.top.flat_from_m == pytest.approx(0.340)
    assert not {"back: assumed flat", "top: assumed flat"} & set(design.assumed)
    assert "# [" in DESIGN_TEXT
    shop = shop_from_text(uncommented(SHOP_TEXT), tmp_path / "shop.toml")
    assert shop.assumed == ()
    assert shop.hours is not None
    assert "pond walnut" in shop.own_woods


def test_a_wood_of_the_shop_will_do(tmp_path: Path):
    (tmp_path / "shop.toml").write_text(
        '[woods."pond walnut"]\nsource = "invented"\nlike = "black walnut"\n'
    )
    path = write_new_design({"wood": "Pond walnut"}, tmp_path)
    assert load_design(path).sides.wood == "Pond walnut"
