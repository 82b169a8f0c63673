"""What a maker may type wrong for a plan: one line, exit code 2, nothing written."""

import shutil
from pathlib import Path

import pytest

from rimwright.cli import main
from rimwright.instrument.design_files.load import design_from_text
from rimwright.plan import make_plan

TERN_LANE = Path(__file__).parents[2] / "examples" / "tern-lane"
DRAWING = "wren-drawn.dxf"


@pytest.fixture
def shop(tmp_path: Path, monkeypatch):
    for path in TERN_LANE.iterdir():
        shutil.copy(path, tmp_path / path.name)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(*words: str) -> int:
    """The command as it is typed; its exit code."""
    import sys

    before, sys.argv = sys.argv, ["rimwright", *words]
    try:
        main.run()
    except SystemExit as stop:
        return int(stop.code or 0)
    finally:
        sys.argv = before
    return 0


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--name", "x" * 5000), "name: found 'xxx"),
        (("--name", "a\x1b[31mb"), "plain characters"),
        (("--name", "  "), "plain characters"),
        (("--thickness", "advise"), "without a wood"),
        (("--back-radius", "15 in"), "expected 500 mm to 200 m"),
        (("--date", "x" * 99), "--date"),
        (("--date", "a\nb"), "--date"),
        (("--dpi", "nan"), "--dpi nan"),
        (("--depth-tail", "85 degC"), "--depth-tail"),
        (("--line", "rim"), "one of outside"),
    ],
)
def test_answers_that_cannot_be(shop, capfd, words, said):
    assert run("plan", DRAWING, *words, "-o", "out/wren") == 2
    line = capfd.readouterr().err.strip()
    assert said in line
    assert "\n" not in line
    assert not (shop / "out").exists()


@pytest.mark.parametrize(
    ("folder", "said"),
    [("", "an empty name"), (DRAWING, "a file where"), ("deep/" + "x" * 300, "too long")],
)
def test_folders_that_cannot_be(shop, capfd, folder, said):
    before = sorted(shop.rglob("*"))
    assert run("plan", "wren.rim.toml", "-o", folder) == 2
    line = capfd.readouterr().err.strip()
    assert said in line
    assert "\n" not in line
    assert sorted(shop.rglob("*")) == before


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('to = "640 mm"', 'to = "2640 mm"', "sides.thinned[1]: found a zone from 550.0 mm"),
        ('"550 mm"  ', '"655 mm"', "expected one on the treble side, 643.9 mm long"),
        ('flat_from = "350 mm"', 'flat_from = "480 mm"', "plates.top.flat_from: found a top flat"),
        ('rest = "24 h"', 'target = "230 degC"', "heating.target: found a target of 230 °C"),
        ('neck_block_width = "56 mm"', 'neck_block_width = "290 mm"', "narrower than the upper"),
    ],
)
def test_designs_that_do_not_fit_their_outline(shop, capfd, old, new, said):
    text = (shop / "wren.rim.toml").read_text()
    assert old in text
    text = text.replace(old, new)
    if "655" in new:
        text = text.replace('to = "640 mm"', 'to = "660 mm"')
    (shop / "wren.rim.toml").write_text(text)
    assert run("plan", "wren.rim.toml", "-o", "out") == 2
    line = capfd.readouterr().err.strip()
    assert said in line
    assert line.startswith("wren.rim.toml, line ")
    assert "\n" not in line
    assert not (shop / "out").exists()


def test_a_zone_may_run_on_over_the_trim(shop):
    text = (shop / "wren.rim.toml").read_text().replace('to = "640 mm"', 'to = "670 mm"')
    assert make_plan(design_from_text(text, shop / "wren.rim.toml")).sides


def test_eighty_signs_of_any_script_still_make_a_code_to_scan(shop):
    assert run("plan", DRAWING, "--name", "木" * 80, "-o", "out") == 0
    assert (shop / "out" / "labels.pdf").is_file()
