"""Two thousand broken files: a result or one line, never a traceback, a hang or 1 GB.

Every file is a real one spoiled by a seeded dice: bytes flipped, cut short, spliced with
another, numbers exchanged for hostile ones, constructs put in that have hurt readers before.
The memory of a reading is limited by the operating system (see `guard_server`), so that
no test of it is needed here beyond `test_reading_limits`.
"""

import io
import random
import re
import time
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from counts import times
from rimwright.errors import RimwrightError
from rimwright.instrument.design import Drawing
from rimwright.instrument.drawings.reading import read_drawing
from rimwright.instrument.outline import Outline

CASES = Path(__file__).parents[1] / "cases"
NUMBER = re.compile(rb"-?\d+\.?\d*(?:[eE][+-]?\d+)?")
#: Without whole numbers, which in a DXF are mostly its grammar.
DECIMAL = re.compile(rb"-?\d+\.\d+")
NUMBERS = (
    b"0", b"-1", b"1e308", b"-1e308", b"1e-308", b"nan", b"inf", b"-inf", b"999999999999",
    b"2147483648", b"-2147483649", b"0.0000001", b"1e5", b"", b"1.2.3", b"x",
)  # fmt: skip
HOSTILE = {
    ".dxf": (
        b"  0\nINSERT\n  2\n*Model_Space\n 10\n0\n 20\n0\n", b"  0\nENDSEC\n", b"  0\nSECTION\n",
        b"  0\nSPLINE\n 71\n99\n 72\n4\n", b" 40\nnan\n", b"  0\nLWPOLYLINE\n 90\n99999999\n",
        b" 41\n0.0\n 42\n0.0\n", b"  0\nEOF\n", b"\x00\x00\x00", b" 70\n999999\n",
        b"  0\nELLIPSE\n 11\n0\n 21\n0\n 40\n0\n", b"210\n0\n220\n0\n230\n0\n",
    ),
    ".svg": (
        b'<use href="#bass"/>', b'<g transform="scale(0)">', b'<g transform="matrix(1 1 1 1 0 0)">',
        b"</g>", b"<!-- ", b"&lol;", b'<path d="M0 0A0 0 0 0 0 1 1"/>', b"A nan nan 0 0 0 5 5",
        b'<path d="M0 0C1 1 1 1 1 1"/>', b'viewBox="0 0 0 0"', b'<svg width="1e999mm">',
        b'<circle r="-5"/>', b"M M M z z z", b'<use id="a" href="#a"/>', b"\xff\xfe",
    ),
    ".toml": (
        b"[[[", b'"""', b"= =", b"\nname = 1\n", b"[outline]\n", b"x = 1e999\n", b"\xff\xff",
        b"'' = ''\n", b"a.b.c.d = 1\n", b'thickness = "nan mm"\n', b"1979-05-27T07:32:00Z",
    ),
    ".png": (b"IDAT", b"IHDR\xff\xff\xff\xff\xff\xff\xff\xff", b"\x00" * 64, b"pHYs", b"IEND"),
}  # fmt: skip


def spoiled(data, suffix, dice):
    """One to three kinds of damage."""
    for _ in range(dice.choice([1, 1, 1, 1, 2, 3])):
        kind = dice.randrange(7)
        at = dice.randrange(len(data) + 1)
        if kind == 0:
            for _ in range(dice.choice([1, 4, 40])):
                i = dice.randrange(max(len(data), 1))
                data = data[:i] + bytes([dice.randrange(256)]) + data[i + 1 :]
        elif kind == 1:
            data = data[:at]
        elif kind == 2:
            other = dice.randrange(len(data) + 1)
            data = data[:at] + data[other : other + dice.choice([10, 300, 3000])] + data[at:]
        elif kind == 3:
            data = data[:at] + data[at + dice.choice([1, 30, 900]) :]
        elif kind == 4:
            data = data[:at] + dice.choice(HOSTILE[suffix]) + data[at:]
        elif numbers := list((NUMBER if kind == 5 else DECIMAL).finditer(data)):
            for found in sorted(dice.sample(numbers, min(len(numbers), dice.choice([1, 3, 12]))),
                                key=lambda m: -m.start()):  # fmt: skip
                swap = dice.choice([*NUMBERS, dice.choice(numbers)[0]])
                data = data[: found.start()] + swap + data[found.end() :]
        if not data:
            break
    return data


def smeared(data, dice):
    """The picture with patches of grey laid over it: whole as a file, spoiled as a scan."""
    grey = np.array(Image.open(io.BytesIO(data)))
    for _ in range(dice.randint(0, 4)):
        y, x = dice.randrange(grey.shape[0]), dice.randrange(grey.shape[1])
        size = dice.choice([2, 10, 60])
        grey[y : y + size, x : x + 3 * size] = dice.randrange(256)
    out = io.BytesIO()
    Image.fromarray(grey).save(out, "PNG")
    return out.getvalue()


@pytest.fixture(scope="module")
def sources(tmp_path_factory):
    """The whole files that get spoiled, small enough to be read two thousand times."""
    picture = Image.open(CASES / "curlew.png").convert("L").reduce(4)
    small = io.BytesIO()
    picture.save(small, "PNG", dpi=(25, 25))
    traced = (CASES / "curlew-traced.dxf").read_bytes()
    return {
        ".svg": [(CASES / f"{name}.svg").read_bytes() for name in ("wren", "plover")],
        ".dxf": [(CASES / f"{name}-drawn.dxf").read_bytes() for name in ("wren", "plover")]
        + [blocks(), traced[: len(traced) // 6]],
        ".png": [small.getvalue()],
        ".toml": [design(tmp_path_factory.mktemp("design"))],
    }


def blocks():
    import ezdxf

    document = ezdxf.new("R2000")
    document.header["$INSUNITS"] = 4
    half = document.blocks.new("half")
    half.add_lwpolyline(
        [(0, 0, -0.3), (150, 180, -0.2), (300, 110, 0.2), (470, 0, 0)], format="xyb"
    )
    half.add_ellipse((200, 20), (30, 5), 0.4)
    half.add_spline([(0, 0), (40, 20), (90, 10)])
    space = document.modelspace()
    space.add_blockref("half", (0, 0))
    space.add_blockref("half", (0, 0), dxfattribs={"yscale": -1})
    text = io.StringIO()
    document.write(text)
    return text.getvalue().encode()


def design(folder):
    from rimwright.instrument.design_files.new import write_new_design

    return write_new_design({}, folder).read_bytes()


def read(path):
    if path.suffix == ".toml":
        from rimwright.instrument.design_files.load import load_design

        return load_design(path)
    says = {"body_length_m": 0.33} if path.suffix == ".png" else {}
    return read_drawing(Drawing(path=path, **says), seen_from=None, player="right")


@pytest.mark.slow
@pytest.mark.parametrize(
    ("suffix", "count"), [(".dxf", 700), (".svg", 700), (".toml", 400), (".png", 200)]
)
def test_a_spoiled_file_gives_a_result_or_one_line(tmp_path, sources, suffix, count):
    results = 0
    raw = []
    for number in range(times(count)):
        dice = random.Random(f"{suffix} {number}")
        path = tmp_path / f"spoiled{suffix}"
        data = dice.choice(sources[suffix])
        if suffix == ".png" and number % 4 == 0:
            path.write_bytes(smeared(data, dice))
        else:
            path.write_bytes(spoiled(data, suffix, dice))
        began = time.monotonic()
        try:
            result = read(path)
        except RimwrightError as error:
            line = str(error)
            assert "\n" not in line, (number, line)
            assert "Traceback" not in line, (number, line)
            assert "expected" in line, (number, line)
            assert "next" in line, (number, line)
            if "that cannot be read (" in line:
                raw.append((number, line))
        else:
            results += 1
            if isinstance(result, Outline):
                sane(result, number)
        assert time.monotonic() - began < 6.0, number
    # The dice leaves some files whole enough to be read, or nothing would be tested.
    assert results > times(count) / 50
    # A reader that leans on the last net too often has lost its own messages.
    assert len(raw) <= times(count) / 50, raw[:10]


def sane(outline, number):
    """What comes back can be used: finite, of a body's size, tail at the origin."""
    assert 0.14 < outline.length_m < 1.4, number
    for piece in outline.pieces:
        assert np.isfinite(piece.length), number
        assert 0.0 < piece.length < 20.0, number
        frame = piece.at(np.linspace(0.0, piece.length, 50))
        assert np.isfinite(frame.position).all(), number
        assert np.isfinite(frame.curvature).all(), number
