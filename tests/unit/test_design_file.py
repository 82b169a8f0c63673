"""Design and shop files become plain SI values; what is not said is listed."""

import time
from pathlib import Path

import pytest

from rimwright.bending.bench import BENDS
from rimwright.bending.schools import SCHOOLS
from rimwright.instrument.design import ArcList, Drawing, Landmarks
from rimwright.instrument.design_files.keys import export_schema
from rimwright.instrument.design_files.load import load_design, load_shop

ROOT = Path(__file__).parents[2]
TERN_LANE = ROOT / "examples" / "tern-lane"
LEAST = """
[instrument]
name = "Test"
[outline.drawing]
file = "wren.svg"
[plates]
depth_tail = "100 mm"
depth_neck = "85 mm"
"""
LANDMARKS = """
[instrument]
name = "Test"
player = "left"
[outline.landmarks]
body_length = "470 mm"
lower_bout = { width = "14 in", station = "118 mm" }
waist = { width = "222 mm", station = "268 mm" }
upper_bout = { width = "268 mm", station = "372 mm" }
cutaway = { kind = "pointed", depth = "35 mm", scoop_radius = "38 mm", neck_half_width = "24 mm" }
[plates]
depth_tail = "4 in"
depth_neck = "85 mm"
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "wren.svg").write_bytes((ROOT / "tests/cases/wren.svg").read_bytes())
    return tmp_path


def written(folder: Path, text: str, shop: str | None = None) -> Path:
    path = folder / "test.rim.toml"
    path.write_text(text, encoding="utf-8")
    if shop is not None:
        (folder / "shop.toml").write_text(shop, encoding="utf-8")
    return path


def test_wren_holds_what_its_file_says():
    wren = load_design(TERN_LANE / "wren.rim.toml")
    assert (wren.name, wren.player, wren.show, wren.shop) == (
        "Wren",
        "right",
        "metric",
        "Tern Lane",
    )
    assert isinstance(wren.outline.source, Drawing)
    assert wren.outline.source.path == TERN_LANE / "wren-drawn.dxf"
    assert (wren.outline.line, wren.outline.seen_from) == ("outside", "back")
    assert wren.plates.back.radius_m == pytest.approx(15 * 0.3048)
    assert wren.plates.top.flat_from_m == pytest.approx(0.350)
    assert (wren.ends.neck_end_bass, wren.ends.neck_end_treble) == ("across_block", "flank")
    assert wren.ends.neck_ends_assumed == ()
    assert wren.sides.thickness_m == pytest.approx(0.085 * 0.0254)
    zone = wren.sides.thinned[0]
    assert (zone.hand, zone.from_m, zone.to_m) == ("treble", 0.55, 0.64)
    assert [(s.name, s.kind, s.count, s.place) for s in wren.strips] == [
        ("maple binding", "binding", 1, "beside"),
        ("maple line", "purfling", 2, "beside"),
    ]
    assert wren.equipment.assumed is False
    assert wren.equipment.between_form_and_side_m == pytest.approx(14 * 2.54e-5)
    assert wren.equipment.probe_above_layer == 4
    assert wren.equipment.room_c == pytest.approx((70 - 32) / 1.8)
    assert wren.hours is not None
    assert (wren.hours.opens_s, wren.hours.closes_s) == (8.5 * 3600, 17 * 3600)
    assert wren.own_woods == {"pond walnut": {"like": "black walnut", "gravity_12": 0.58}}
    assert wren.assumed == ()


def test_curlew_is_drawn_from_landmarks_and_advised():
    curlew = load_design(TERN_LANE / "curlew.rim.toml")
    source = curlew.outline.source
    assert isinstance(source, Landmarks)
    assert (source.lower_width_m, source.waist_width_m, source.upper_width_m) == (
        0.252,
        0.168,
        0.188,
    )
    assert curlew.sides.thickness_m is None
    assert curlew.sides.rotate_on_board
    assert curlew.plates.depth_is == "over_plates"
    assert curlew.plates.depth_neck_m == pytest.approx(2.8125 * 0.0254)
    assert curlew.ends.slot_depth_m == 0.008
    assert curlew.heating.school == "nearly_dry"
    assert curlew.heating.order[0] == "waist-nearly-home"


def test_design_overrides_the_shop_key_by_key():
    plover = load_design(TERN_LANE / "plover.rim.toml")
    assert plover.equipment.blanket.length_m == pytest.approx(30 * 0.0254)
    assert plover.equipment.blanket.width_m == pytest.approx(4 * 0.0254)
    assert plover.equipment.blanket.thickness_m == 0.0016
    assert plover.equipment.assumed is False
    assert plover.wetting.duration_s == 60.0


def test_what_is_not_said_is_listed_most_important_first(folder: Path):
    design = load_design(written(folder, LEAST))
    assert design.assumed[0] == "stack between form and side: assumed 0.35 mm"
    assert design.assumed[2] == "thickness of the sides: assumed 2.16 mm"
    text = "\n".join(design.assumed)
    for words in ("line of the drawing", "back: assumed flat", "player", "probe", "blanket",
                  "room", "neck block", "tail block", "wetting", "school"):  # fmt: skip
        assert words in text
    assert design.equipment.assumed
    assert design.ends.neck_ends_assumed == ("bass", "treble")


def test_a_named_wood_without_thickness_is_advised(folder: Path):
    design = load_design(written(folder, LEAST + '[sides]\nwood = "koa"\n'))
    assert design.sides.thickness_m is None
    assert any("advised from the wood" in words for words in design.assumed)


def test_cutaway_side_ends_at_the_flank_of_a_block_as_wide_as_the_neck(folder: Path):
    design = load_design(written(folder, LANDMARKS))
    assert design.player == "left"
    assert (design.ends.neck_end_bass, design.ends.neck_end_treble) == ("centreline", "flank")
    assert design.ends.neck_block_width_m == pytest.approx(0.048)
    assert isinstance(design.outline.source, Landmarks)
    assert design.outline.source.cutaway is not None
    assert design.outline.source.lower_width_m == pytest.approx(14 * 0.0254)


def test_arcs_keep_their_sign(folder: Path):
    text = """
instrument.name = "Arcs"
[outline.arcs]
bass = [
  { radius = "90 mm", sweep = "55 deg" },
  { radius = "110 mm", sweep = "20 deg", concave = true },
  { length = "12 mm" },
  { radius = "38 mm", length = "30 mm", concave = true, corner = "100 deg" },
]
[plates]
depth_tail = "80 mm"
depth_neck = "80 mm"
"""
    source = load_design(written(folder, text)).outline.source
    assert isinstance(source, ArcList)
    assert [step.radius_m for step in source.bass] == [0.09, -0.11, None, -0.038]
    assert source.bass[2].length_m == 0.012
    assert source.bass[3].corner_rad == pytest.approx(1.74533, abs=1e-5)
    assert source.treble is None


def test_an_own_wood_is_a_wood(folder: Path):
    shop = '[woods."tern walnut"]\nsource = "invented"\nclass = "tropical"\nmoe_gpa = 11.0\n'
    text = LEAST + '[sides]\nwood = "Tern Walnut"\n'
    assert load_design(written(folder, text, shop)).sides.wood == "Tern Walnut"


def test_line_ends_and_marks_of_other_systems_are_read(folder: Path):
    path = folder / "test.rim.toml"
    path.write_bytes(b"\xef\xbb\xbf" + LEAST.replace("\n", "\r\n").encode())
    assert load_design(path).name == "Test"


def test_a_shop_without_a_file_is_the_usual_one(tmp_path: Path):
    shop = load_shop(tmp_path / "shop.toml")
    assert shop.equipment.assumed
    assert shop.assumed[0].startswith("stack between form and side")


@pytest.mark.parametrize(
    ("words", "place"),
    [
        ("between side and paper", 2),
        ("between the paper and the side", 1),
        ("Between paper and spring steel slat", 3),
        ("between slat and blanket", 4),
        ("between blanket and slat", 5),
    ],
)
def test_the_probe_is_placed_in_words(folder: Path, words: str, place: int):
    shop = f'[equipment]\nprobe = "{words}"\n'
    assert load_design(written(folder, LEAST, shop)).equipment.probe_above_layer == place


def test_schools_and_bends_are_those_of_the_recipe():
    heating = export_schema()["$defs"]["HeatingTable"]["properties"]
    assert {name.replace(" ", "_") for name in heating["school"]["enum"]} == set(SCHOOLS)
    assert [name.replace(" ", "-") for name in heating["order"]["items"]["enum"]] == list(BENDS)


def test_a_warm_design_loads_within_its_budget():
    path = TERN_LANE / "wren.rim.toml"
    load_design(path)
    times = []
    for _ in range(5):
        start = time.perf_counter()
        load_design(path)
        times.append(time.perf_counter() - start)
    assert min(times) < 0.020


def test_assumptions_are_told_in_the_makers_units(folder: Path):
    text = LEAST.replace('name = "Test"', 'name = "Test"\nshow = "inch"')
    design = load_design(written(folder, text))
    assert design.assumed[0] == "stack between form and side: assumed 0.014″"
    assert "thickness of the sides: assumed 0.085″" in design.assumed
    assert "room: assumed 70 °F and 45% humidity" in design.assumed
