"""Bombs, loops and junk handed to the guarded reader: one line each, and soon."""

import os
import pickle
import subprocess
import sys
import threading
import time
from pathlib import Path

import ezdxf
import numpy as np
import pytest

from rimwright.errors import DrawingError, PictureError, RimwrightError
from rimwright.instrument.design import Drawing
from rimwright.instrument.drawings.guard import read_guarded
from rimwright.instrument.drawings.reading import read_drawing

CASES = Path(__file__).parents[1] / "cases"


def refusal(path, **says):
    began = time.monotonic()
    with pytest.raises(RimwrightError) as caught:
        read_drawing(Drawing(path=path, **says), seen_from=None, player="right")
    assert time.monotonic() - began < 7.0
    line = str(caught.value)
    assert "\n" not in line
    assert "Traceback" not in line
    assert path.name in line
    return line


def write(folder, name, data):
    path = folder / name
    path.write_bytes(data if isinstance(data, bytes) else data.encode())
    return path


def test_files_that_are_none(tmp_path):
    assert "no file of this name" in refusal(tmp_path / "missing.dxf")
    assert "an empty file" in refusal(write(tmp_path, "a.svg", b""))
    assert "of kind '.doc'" in refusal(write(tmp_path, "a.doc", b"hello"))
    assert "not a readable DXF" in refusal(write(tmp_path, "a.dxf", b"hello"))
    assert "not a readable SVG" in refusal(write(tmp_path, "b.svg", b"<svg"))
    assert "no file of this name" in refusal(tmp_path)
    big = write(tmp_path, "big.dxf", b"")
    with big.open("wb") as file:
        file.truncate(21_000_000)
    assert "21 MB; expected at most 20 MB" in refusal(big)


def test_a_dxf_of_too_many_entities(tmp_path):
    document = ezdxf.new()
    block = document.blocks.new("many")
    for i in range(1000):
        block.add_line((i, 0), (i, 1))
    for i in range(21):
        document.modelspace().add_blockref("many", (0, i))
    document.saveas(tmp_path / "many.dxf")
    assert "21,042 entities; expected at most 20,000" in refusal(tmp_path / "many.dxf")


def test_blocks_within_blocks_that_multiply(tmp_path):
    document = ezdxf.new()
    document.blocks.new("b0").add_line((0, 0), (1, 1))
    for level in range(1, 20):
        block = document.blocks.new(f"b{level}")
        for i in range(10):
            block.add_blockref(f"b{level - 1}", (i, 0))
    document.modelspace().add_blockref("b19", (0, 0))
    document.saveas(tmp_path / "bomb.dxf")
    assert "a vast number of entities" in refusal(tmp_path / "bomb.dxf")


def test_a_row_of_a_million_inserts(tmp_path):
    document = ezdxf.new()
    document.blocks.new("one").add_line((0, 0), (1, 1))
    row = document.modelspace().add_blockref("one", (0, 0))
    row.dxf.row_count, row.dxf.column_count = 30_000, 30_000
    row.dxf.row_spacing = row.dxf.column_spacing = 1.0
    document.saveas(tmp_path / "row.dxf")
    assert "expected at most 20,000" in refusal(tmp_path / "row.dxf")


def test_a_block_that_holds_itself(tmp_path):
    document = ezdxf.new()
    document.blocks.new("a").add_blockref("b", (0, 0))
    document.blocks.new("b").add_blockref("a", (0, 0))
    document.modelspace().add_blockref("a", (0, 0))
    document.saveas(tmp_path / "loop.dxf")
    assert "that holds itself" in refusal(tmp_path / "loop.dxf")


def test_nested_text_entities_of_an_svg(tmp_path):
    names = "".join(f'<!ENTITY e{i} "{f"&e{i - 1};" * 10}">' for i in range(1, 10))
    text = f'<!DOCTYPE svg [<!ENTITY e0 "lol">{names}]><svg><text>&e9;</text></svg>'
    assert "text entities that unfold" in refusal(write(tmp_path, "laughs.svg", text))


def test_uses_that_multiply_or_loop(tmp_path):
    space = 'xmlns="http://www.w3.org/2000/svg"'
    groups = "".join(
        f'<g id="g{i}">' + f'<use href="#g{i - 1}"/>' * 10 + "</g>" for i in range(1, 10)
    )
    bomb = f'<svg {space}><path id="g0" d="M0 0L1 1"/>{groups}</svg>'
    assert "shapes; expected at most" in refusal(write(tmp_path, "uses.svg", bomb))
    loop = f'<svg {space}><g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g></svg>'
    assert "uses itself" in refusal(write(tmp_path, "loop.svg", loop))
    deep = f"<svg {space}>" + "<g>" * 5000 + "</g>" * 5000 + "</svg>"
    assert "groups within groups" in refusal(write(tmp_path, "deep.svg", deep))


def test_an_svg_path_of_a_million_steps(tmp_path):
    path = "M0 0" + "l1 1 1 -1" * 400_000
    text = f'<svg xmlns="http://www.w3.org/2000/svg"><path d="{path}"/></svg>'
    assert refusal(write(tmp_path, "long.svg", text))


def test_a_picture_of_a_thousand_million_pixels(tmp_path):
    import struct
    import zlib

    def chunk(kind, data):
        body = kind + data
        return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))

    head = struct.pack(">IIBBBBB", 60_000, 60_000, 1, 0, 0, 0, 0)
    data = zlib.compress(b"\0" * 1_000_000)
    png = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", data) + chunk(b"IEND", b"")
    path = write(tmp_path, "bomb.png", png)
    with pytest.raises(PictureError, match="pixels"):
        read_drawing(Drawing(path=path), seen_from=None, player="right")


@pytest.mark.slow
@pytest.mark.parametrize(
    ("task", "arguments", "told"),
    [
        (threading.Event, {}, "cannot be read"),  # an answer that cannot be sent
        (os.abort, {}, "cannot be read"),
        (np.ones, {"shape": 400_000_000}, "more than 700 MB of memory"),
        (np.ones, {"shape": -1}, "ValueError"),
        (subprocess.run, {"args": ["sleep", "30"]}, "more than 5 s"),
    ],
)
def test_tasks_that_hang_eat_memory_or_die(task, arguments, told):
    began = time.monotonic()
    with pytest.raises(DrawingError, match=told):
        read_guarded(task, where="x.dxf", **arguments)
    assert time.monotonic() - began < 7.0


def test_the_reader_needs_no_main_guard(tmp_path):
    script = write(
        tmp_path,
        "maker.py",
        "import pathlib\n"
        "from rimwright.instrument.design import Drawing\n"
        "from rimwright.instrument.drawings.reading import read_drawing\n"
        f"path = pathlib.Path({str(CASES / 'wren.svg')!r})\n"
        "print(read_drawing(Drawing(path=path), seen_from=None, player='right').length_m)\n",
    )
    # A file of the maker's own that shadows a library must not be taken by the reader.
    write(tmp_path, "random.py", "raise SystemExit('taken')")
    done = subprocess.run(
        [sys.executable, "-W", "error", "-P", str(script)],
        cwd=tmp_path, capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert float(done.stdout) == pytest.approx(0.47)
    assert done.stderr == ""
    typed = subprocess.run(
        [sys.executable, "-P", "-"],
        input=script.read_text(), cwd=tmp_path, capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert float(typed.stdout) == pytest.approx(0.47)


def test_a_killed_reader_is_started_again():
    from rimwright.instrument.drawings import guard as reading

    drawing = Drawing(path=CASES / "wren.svg")
    read_drawing(drawing, seen_from=None, player="right")
    reading._servers[-1].process.kill()
    outline = read_drawing(drawing, seen_from=None, player="right")
    assert outline.length_m == pytest.approx(0.47)


def test_refusals_cross_between_processes_whole():
    error = DrawingError("a", "b", "c", where="d")
    assert str(pickle.loads(pickle.dumps(error))) == str(error)
