"""Bad input to `rimwright bend`: one clear line, exit code 2, nothing written."""

import subprocess
import sys
from pathlib import Path

import pytest

TERN_LANE = Path(__file__).parents[2] / "examples/tern-lane"


def bend(*arguments):
    return subprocess.run(
        [sys.executable, "-c", "from rimwright.cli.main import run; run()", "bend", *arguments],
        capture_output=True,
        text=True,
        check=False,
    )


def changed(tmp_path, name, old, new):
    """The shop's folder with one thing changed in one file."""
    for path in TERN_LANE.iterdir():
        if path.is_file():
            (tmp_path / path.name).write_bytes(path.read_bytes())
    text = (tmp_path / name).read_text()
    assert old in text
    (tmp_path / name).write_text(text.replace(old, new, 1))
    return tmp_path / "wren.rim.toml"


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "old", "new", "word"),
    [
        ("wren.rim.toml", "[heating]\n", '[heating]\ntarget = "500 degF"\n', "glow"),
        ("wren.rim.toml", 'thickness = "85 thou"', 'thickness = "0 mm"', "thickness"),
        ("shop.toml", "5 W/in^2", "0.4 W/in^2", "never reach"),
        ("shop.toml", 'humidity = "45 %"', 'humidity = "130 %"', "humidity"),
        ("shop.toml", '  { kind = "side" },\n', "", "side"),
    ],
    ids=["past scorch", "no thickness", "weak blanket", "humidity", "no wood in the stack"],
)
def test_one_line_and_nothing_written(tmp_path, name, old, new, word):
    done = bend(str(changed(tmp_path, name, old, new)), "-o", str(tmp_path / "out"))
    assert done.returncode == 2, done.stderr + done.stdout
    assert len(done.stderr.strip().splitlines()) == 1
    assert word in done.stderr
    assert "expected" in done.stderr
    assert done.stdout == ""
    assert not (tmp_path / "out").exists()


def test_no_file(tmp_path):
    done = bend(str(tmp_path / "no.rim.toml"))
    assert done.returncode == 2
    assert len(done.stderr.strip().splitlines()) == 1


def test_an_output_that_is_a_file(tmp_path):
    (tmp_path / "out").write_text("here already")
    done = bend(str(TERN_LANE / "curlew.rim.toml"), "-o", str(tmp_path / "out"))
    assert done.returncode == 2
    assert (tmp_path / "out").read_text() == "here already"
