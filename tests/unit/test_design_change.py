"""Changes keep comments and order, and write nothing that would not be accepted."""

import shutil
from pathlib import Path

import pytest

from rimwright.errors import DesignError, OutputError
from rimwright.instrument.design_files.load import load_design, load_shop
from rimwright.instrument.design_files.write import change_design

TERN_LANE = Path(__file__).parents[2] / "examples" / "tern-lane"


@pytest.fixture
def lane(tmp_path: Path) -> Path:
    return Path(shutil.copytree(TERN_LANE, tmp_path / "lane"))


def test_one_line_changes_and_no_other(lane: Path):
    path = lane / "wren.rim.toml"
    before = path.read_text().splitlines()
    change_design(path, {"plates.depth_neck": "3 1/4 in"})
    after = path.read_text().splitlines()
    assert [(a, b) for a, b in zip(before, after, strict=True) if a != b] == [
        ('depth_neck = "85 mm"', 'depth_neck = "3 1/4 in"')
    ]
    assert load_design(path).plates.depth_neck_m == pytest.approx(3.25 * 0.0254)


def test_a_note_behind_the_value_stays(lane: Path):
    path = lane / "wren.rim.toml"
    change_design(path, {"sides.thickness": "2.2 mm"})
    assert 'thickness = "2.2 mm"        # at bending' in path.read_text()


def test_new_tables_lists_and_other_kinds_of_value(lane: Path):
    path = lane / "plover.rim.toml"
    change_design(
        path,
        {
            "margins.strain": "80 %",
            "bindings.1.count": "2",
            "bindings.1.pre_glued": "true",
            "bindings.2.thickness": "1 mm",
            "bindings.2.height": "4 mm",
            "outline.drawing.select": '["bass", "treble"]',
            "outline.drawing.units": "",
        },
    )
    design = load_design(path)
    assert design.margins.strain == pytest.approx(0.8)
    assert [(s.count, s.pre_glued, s.height_m) for s in design.strips] == [
        (2, True, 0.005),
        (1, False, 0.004),
    ]
    assert design.outline.source.select == ("bass", "treble")
    assert design.outline.source.unit_name is None
    assert "# lies over the side in the stack" in path.read_text()


def test_the_shop_changes_too(lane: Path):
    path = lane / "shop.toml"
    change_design(
        path,
        {
            "equipment.stack.1.thickness": "12 thou",
            'woods."pond walnut".gravity_12': "0.6",
            "room.humidity": "50 %",
        },
    )
    shop = load_shop(path)
    assert shop.equipment.layers[0].thickness_m == pytest.approx(12 * 2.54e-5)
    assert shop.own_woods["pond walnut"]["gravity_12"] == 0.6
    assert "# by the hygrometer on the north wall" in path.read_text()


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"plates.depth_tail": "98"}, "plates.depth_tail: found '98' without a unit"),
        ({"plates.depth_tail": ""}, "found no depth_tail"),
        ({"plates.depht_tail": "98 mm"}, "did you mean depth_tail?"),
        ({"sides.thickness": "9 mm"}, "0.3 mm to 6 mm"),
        ({"sides.figure": ""} | {"sides.figuer": ""}, "nothing at sides.figuer"),
        ({"sides.thinned.3.to": "1 mm"}, "nothing at sides.thinned[3].to"),
        ({"sides.wood.name": "koa"}, "nothing at sides.wood.name"),
        (
            {"purflings.1.count": "many"},
            "purflings[1].count: found 'many'; expected a value such as TOML writes it, integer",
        ),
        ({"plates": "flat"}, "plates"),
        ({"": "1"}, "a key with dots"),
        ({"a b": "1"}, "a key with dots"),
        ({"x = 1\ny": "1"}, "a key with dots"),
        ({"plates.depth_tail = 1 #": "1"}, "found"),
        ({"instrument.name": "a\x00b"}, "instrument.name"),
    ],
)
def test_nothing_is_written_on_error(lane: Path, changes, words):
    path = lane / "wren.rim.toml"
    before = path.read_bytes()
    with pytest.raises(DesignError) as caught:
        change_design(path, {"instrument.show": "inch", **changes})
    assert words in str(caught.value)
    assert "\n" not in str(caught.value)
    assert path.read_bytes() == before
    assert sorted(p.name for p in lane.iterdir()) == sorted(p.name for p in TERN_LANE.iterdir())


def test_a_folder_that_vanished_is_one_line(tmp_path: Path):
    from rimwright.files import write_atomically

    with pytest.raises(OutputError, match="no such folder"):
        write_atomically(tmp_path / "gone" / "x.toml", "")
