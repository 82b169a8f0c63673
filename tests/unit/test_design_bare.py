"""A bare drawing is planned with a few figures and the usual for the rest."""

from pathlib import Path

import pytest

from rimwright.errors import DesignError
from rimwright.instrument.design import Drawing
from rimwright.instrument.design_files.bare import design_for_drawing
from rimwright.instrument.design_files.load import load_design, load_shop

ROOT = Path(__file__).parents[2]
DRAWING = Drawing(path=Path("wren-drawn.dxf"))


def test_everything_not_said_is_assumed_in_order():
    design = design_for_drawing(DRAWING)
    assert design.name == "wren-drawn"
    assert (design.plates.depth_tail_m, design.plates.depth_neck_m) == (0.100, 0.085)
    assert [words.split(":")[0] for words in design.assumed] == [
        "stack between form and side",
        "depth at the tail",
        "depth at the neck",
        "thickness of the sides",
        "line of the drawing",
        "back",
        "top",
        "player",
        "sides at the neck",
        "blocks",
        "probe",
        "blanket",
        "room",
        "wetting",
        "school of heating",
    ]


def test_what_is_said_is_not_assumed():
    design = design_for_drawing(
        DRAWING, name="Wren", depth_tail_m=0.1, depth_neck_m=0.085, back_radius_m=4.572,
        top_radius_m=8.5, thickness_m=0.0021, wood="Indian rosewood", seen_from="back",
        player="left", line="inside", shop=load_shop(ROOT / "examples/tern-lane/shop.toml"),
    )  # fmt: skip
    assert (design.player, design.outline.line, design.outline.seen_from) == (
        "left",
        "inside",
        "back",
    )
    assert (design.plates.back.shape, design.plates.back.radius_m) == ("dome", 4.572)
    assert design.sides.thickness_m == 0.0021
    assert not design.equipment.assumed
    assert design.shop == "Tern Lane"
    assert [words.split(":")[0] for words in design.assumed] == [
        "sides at the neck", "blocks", "wetting", "school of heating",
    ]  # fmt: skip


def test_one_depth_stands_for_both():
    assert design_for_drawing(DRAWING, depth_neck_m=0.07).plates.depth_tail_m == 0.07


def test_a_wood_without_thickness_is_advised():
    assert design_for_drawing(DRAWING, wood="koa").sides.thickness_m is None


def test_bare_equals_the_least_file(tmp_path: Path):
    (tmp_path / "wren.svg").write_bytes((ROOT / "tests/cases/wren.svg").read_bytes())
    file = tmp_path / "wren.rim.toml"
    file.write_text(
        '[instrument]\nname = "wren"\n[outline.drawing]\nfile = "wren.svg"\n'
        '[plates]\ndepth_tail = "100 mm"\ndepth_neck = "85 mm"\n'
    )
    written = load_design(file)
    bare = design_for_drawing(
        Drawing(path=tmp_path / "wren.svg"), depth_tail_m=0.1, depth_neck_m=0.085
    )
    for part in ("name", "player", "show", "outline", "plates", "ends", "sides", "strips",
                 "lining", "equipment", "wetting", "margins", "heating"):  # fmt: skip
        assert getattr(bare, part) == getattr(written, part), part


@pytest.mark.parametrize(
    ("figures", "words"),
    [
        ({"thickness_m": 0.0}, "thickness of the sides: found 0 mm; expected 0.3 mm to 6 mm"),
        ({"depth_tail_m": -0.1}, "depth at the tail: found -100 mm"),
        ({"depth_neck_m": float("nan")}, "depth at the neck: found nan"),
        ({"back_radius_m": 0.01}, "back radius: found 10 mm; expected 500 mm to 200 m"),
        ({"wood": "kao"}, "wood: found no wood named 'kao'"),
    ],
)
def test_impossible_figures_are_refused(figures, words):
    with pytest.raises(DesignError) as caught:
        design_for_drawing(DRAWING, **figures)
    assert str(caught.value).startswith(words)
