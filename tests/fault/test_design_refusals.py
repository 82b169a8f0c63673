"""Every impossible design is one line that names file, line, key and the next step."""

import os
import re
import time
from pathlib import Path

import pytest

from rimwright.errors import DesignError
from rimwright.instrument.design_files.load import load_design

GOOD = """\
[instrument]
name = "Test"

[outline.landmarks]
body_length = "470 mm"
lower_bout = { width = "356 mm", station = "118 mm" }
waist = { width = "222 mm", station = "268 mm" }
upper_bout = { width = "268 mm", station = "372 mm" }

[plates]
depth_tail = "100 mm"
depth_neck = "85 mm"

[sides]
thickness = "2.1 mm"
"""


def refusal(tmp_path: Path, text: str | bytes, shop: str | None = None) -> str:
    path = tmp_path / "bad.rim.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    if shop is not None:
        (tmp_path / "shop.toml").write_text(shop)
    with pytest.raises(DesignError) as caught:
        load_design(path)
    line = str(caught.value)
    assert "\n" not in line
    assert len(line) < 700
    assert re.search(r"found .+; expected .+; next: .+", line)
    return line


def test_the_good_one_is_good(tmp_path: Path):
    path = tmp_path / "good.rim.toml"
    path.write_text(GOOD)
    assert load_design(path).name == "Test"


#: What is replaced in GOOD, by what, and what the line must say: place, key, words.
CHANGES = [
    ('depth_tail = "100 mm"', 'depth_tial = "100 mm"', "line 11, plates.depth_tial",
     "unknown key 'depth_tial'", "did you mean depth_tail?"),
    ('depth_tail = "100 mm"', "", "line 10, plates.depth_tail", "no depth_tail", "add it"),
    ('depth_tail = "100 mm"', 'depth_tail = "-100 mm"', "line 11, plates.depth_tail",
     "'-100 mm'", "10 mm to 400 mm"),
    ('depth_tail = "100 mm"', "depth_tail = 100", "line 11, plates.depth_tail",
     "100 without a unit", "quotation marks"),
    ('depth_tail = "100 mm"', 'depth_tail = "100"', "line 11, plates.depth_tail",
     "without a unit", "add the unit"),
    ('depth_tail = "100 mm"', 'depth_tail = "100 degF"', "line 11, plates.depth_tail",
     "'100 degF'", "a length"),
    ('depth_tail = "100 mm"', 'depth_tail = "deep"', "line 11, plates.depth_tail",
     "'deep'", "a length"),
    ('depth_tail = "100 mm"', 'depth_tail = "1/0 in"', "line 11, plates.depth_tail",
     "'1/0 in'", "a length"),
    ('depth_tail = "100 mm"', "depth_tail = true", "line 11, plates.depth_tail", "true",
     "a length"),
    ('depth_tail = "100 mm"', "depth_tail = 1979-05-27", "line 11, plates.depth_tail",
     "1979-05-27", "a length"),
    ('depth_tail = "100 mm"', 'depth_tail = "3 9**99999999"', "line 11, plates.depth_tail",
     "9**99999999", "a length"),
    ('depth_tail = "100 mm"', f'depth_tail = "1/{"3" * 5000} mm"', "line 11, plates.depth_tail",
     "...", "a length"),
    ('depth_tail = "100 mm"', f"depth_tail = {'9' * 5000}", "bad.rim.toml", "found", "expected"),
    ('thickness = "2.1 mm"', 'thickness = "0 mm"', "line 15, sides.thickness", "'0 mm'",
     "0.3 mm to 6 mm"),
    ('thickness = "2.1 mm"', 'thickness = "6.5 mm"', "line 15, sides.thickness", "'6.5 mm'",
     "0.3 mm to 6 mm"),
    ('thickness = "2.1 mm"', 'thickness = "advice"', "line 15, sides.thickness", "'advice'",
     "a length"),
    ('thickness = "2.1 mm"', 'thickness = "advise"', "line 15, sides.thickness",
     "without a wood", "rimwright woods"),
    ('thickness = "2.1 mm"', 'wood = "blak walnut"', "line 15, sides.wood", "blak walnut",
     "black walnut"),
    ('thickness = "2.1 mm"', 'thickness = "2.1 mm"\nfinished_thickness = "2.4 mm"',
     "line 16, sides.finished_thickness", "2.4 mm", "no more than"),
    ('width = "222 mm"', 'width = "300 mm"', "line 7, outline.landmarks.waist.width",
     "waist of 300 mm", "less than 268 mm"),
    ('station = "268 mm"', 'station = "100 mm"', "line 7, outline.landmarks.waist.station",
     "100 mm", "more than 118 mm"),
    ('name = "Test"', 'name = ""', "line 2, instrument.name", "''", "some text"),
    ('name = "Test"', "name = 7", "line 2, instrument.name", "7", "text in quotation marks"),
    ('name = "Test"', 'name = "a\\nb"', "line 2, instrument.name", "a·b", "one line"),
    ('name = "Test"', 'name = "Test"\nplayer = "lefty"', "line 3, instrument.player", "'lefty'",
     "did you mean 'left'?"),
    ("[plates]", "[palates]", "line 10, palates", "unknown key 'palates'", "did you mean plates?"),
    ("[plates]", "[plates]\nback = 3", "line 11, plates.back", "found 3", "a table"),
    ("[plates]", '[plates]\nback = { shape = "dome" }', "line 11, plates.back.shape",
     "dome without radius", "15 ft"),
    ("[plates]", '[plates]\nback = { radius = "15 ft" }', "line 11, plates.back.radius",
     "flat plate with a radius", "shape"),
    ("[outline.landmarks]", '[outline]\nline = "mould"\n[outline.landmarks]',
     "line 5, outline.line", "without mould_clearance", "mould_clearance"),
    ("[outline.landmarks]", '[outline.drawing]\nfile = "x.dxf"\n[outline.landmarks]',
     "line 4, outline", "[outline.landmarks] and [outline.drawing]", "keep the one"),
    ("[sides]", '[room]\nhumidity = "130 %"\n[sides]', "line 15, room.humidity", "'130 %'",
     "5 % to 95 %"),
    ("[sides]", '[ends]\nbass_ends = "slots"\n[sides]', "line 14, ends", "slot_depth", "slots"),
    ("[sides]", '[equipment]\nstack = [{ kind = "side" }, { kind = "side" }]\n[sides]',
     "line 15, equipment.stack",
     "2 sides", "exactly one"),
    ("[sides]", '[equipment]\nstack = [{ kind = "blanket" }]\n[sides]',
     "line 15, equipment.stack", "no side", "exactly one"),
    ("[sides]", '[equipment]\nprobe = "under the bench"\n[sides]', "line 15, equipment.probe",
     "under the bench", "between spring steel slat and blanket"),
    ("[sides]", '[equipment]\nprobe = "between blanket and sky"\n[sides]',
     "line 15, equipment.probe", "between blanket and sky", "one of"),
    ("[sides]", '[equipment]\nstack = [\n{ kind = "side" },\n{ kind = "slat" } ]\n[sides]',
     "line 17, equipment.stack[2]", "slat without thickness", "material"),
    ("[sides]", '[[bindings]]\nthickness = "1 mm"\nheight = "6 mm"\ncount = 0\n[sides]',
     "line 17, bindings[1].count", "found 0", "1"),
    ("[sides]", '[[bindings]]\nthickness = "1 mm"\nheight = "6 mm"\ncount = "2"\n[sides]',
     "line 17, bindings[1].count", "'2'", "a whole number"),
    ("[sides]", '[bindings]\nthickness = "1 mm"\n[sides]', "line 14, bindings", "a table",
     "[[bindings]]"),
    ("[sides]", '[heating]\nearly_alarm = "240 degF"\ntarget = "230 degF"\n[sides]',
     "line 15, heating.early_alarm", "after the target", "110 °C"),
    ("[sides]", '[heating]\norder = ["waist home", "wiast"]\n[sides]',
     "line 15, heating.order[2]", "'wiast'", "'waist home'"),
    ("[sides]", "[plates]\n[sides]", "line 14", "[plates]", "TOML"),
    ("[sides]", "[sides\n", "line 14", "[sides", "TOML"),
    ('name = "Test"', 'name = "Test', "line 2, name", "name", "TOML"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "place", "found", "advice"), CHANGES)
def test_one_line_names_place_and_step(tmp_path, old, new, place, found, advice):
    assert GOOD.count(old) == 1
    line = refusal(tmp_path, GOOD.replace(old, new))
    assert "bad.rim.toml" in line
    assert place in line
    assert found in line
    assert advice in line


ZONE = '\n[[sides.thinned]]\nhand = "bass"\nfrom = "{}"\nto = "{}"\nthickness = "{}"\n'


def test_thinned_zones(tmp_path: Path):
    line = refusal(tmp_path, GOOD + ZONE.format("300 mm", "200 mm", "1.9 mm"))
    assert "line 20, sides.thinned[1].to" in line
    line = refusal(tmp_path, GOOD + ZONE.format("100 mm", "200 mm", "2.3 mm"))
    assert "line 21, sides.thinned[1].thickness" in line


def test_a_shop_is_refused_under_its_own_name(tmp_path: Path):
    line = refusal(tmp_path, GOOD, shop='\n[room]\nhumidty = "45 %"\n')
    assert re.search(r"shop\.toml, line 3, room\.humidty", line)
    assert "did you mean humidity?" in line
    line = refusal(tmp_path, GOOD, shop='[woods.x]\nlike = "koa"\n')
    assert "shop.toml, line 1, woods.x.source" in line
    line = refusal(tmp_path, GOOD, shop='[woods.x]\nsource = "seen"\nlike = "kooa"\n')
    assert "shop.toml, line 3, woods.x.like" in line
    line = refusal(tmp_path, GOOD, shop='[hours]\nopens = "17:00"\ncloses = "08:00"\n')
    assert "shop.toml, line 3, hours.closes" in line


def test_a_probe_that_fits_two_places_is_asked_for_again(tmp_path: Path):
    shop = (
        '[equipment]\nprobe = "between slat and slat"\nstack = [\n{ kind = "side" },\n'
        + '{ kind = "slat", material = "steel", thickness = "10 thou" },\n' * 3
        + "]\n"
    )
    assert "more than one place" in refusal(tmp_path, GOOD, shop=shop)


def test_a_drawing_that_is_not_there(tmp_path: Path):
    start, end = GOOD.index("[outline"), GOOD.index("[plates]")
    for file, words in (
        ("none.dxf", "no file"),
        ("none.pdf", "a DXF, SVG, PNG or JPEG"),
        ("a\\u0000b.dxf", "no file"),
        ("x" * 300 + ".svg", "no file"),
        ("..", "a DXF"),
    ):
        text = GOOD[:start] + f'[outline.drawing]\nfile = "{file}"\n' + GOOD[end:]
        line = refusal(tmp_path, text)
        assert "line 5, outline.drawing.file" in line
        assert words in line


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (b"", "no instrument"),
        (b"\xff\xfe\x00binary", "not UTF-8"),
        (b"PK\x03\x04" + bytes(range(256)), "not UTF-8"),
        (b"\x00" * 100, "TOML"),
        (b"#" * 1_000_001, "more than 1 MB"),
        (b"a = " + b"[" * 50_000, "without end"),
        (b"a = " + b"{a=" * 50_000, "without end"),
        (b"a" + b".a" * 400_000 + b" = 1", "more than 100 dots"),
        (b"[" + b"a." * 400_000 + b"a]", "more than 100 dots"),
        (("\n".join("a" + ".a" * 99 + f".b{i} = 1" for i in range(4000))).encode(), "unknown key"),
        (b"instrument = 3\noutline = 4\nplates = 5", "a table [instrument]"),
        (("x = '" + "é" * 400_000 + "'").encode(), "unknown key"),
        (('"' + "k" * 300_000 + '" = 1').encode(), "unknown key"),
    ],
    ids=range(13),
)  # fmt: skip
def test_junk_is_one_line_and_quick(tmp_path: Path, text: bytes, words: str):
    start = time.perf_counter()
    assert words in refusal(tmp_path, text)
    assert time.perf_counter() - start < 5.0


def test_files_that_cannot_be_opened(tmp_path: Path):
    with pytest.raises(DesignError, match=r"no such file; expected a design file; next: .* new"):
        load_design(tmp_path / "none.rim.toml")
    os.mkfifo(tmp_path / "pipe.rim.toml")
    for path in (tmp_path, tmp_path / "pipe.rim.toml", Path("/dev/zero")):
        with pytest.raises(DesignError, match="a folder or a device"):
            load_design(path)
    with pytest.raises(DesignError, match="null"):
        load_design(Path("a\0b.rim.toml"))
