"""Pictures that cannot be used: one line each, and never more memory or time than the limits."""

from __future__ import annotations

import io
import struct
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from rimwright.errors import PictureError
from rimwright.pictures import decode
from rimwright.pictures.lines import read_lines

SCAN = Path(__file__).parents[1] / "cases" / "curlew.png"


def refused(path: Path) -> str:
    with pytest.raises(PictureError) as error:
        read_lines(path)
    line = str(error.value)
    assert line.startswith(path.name + ": found ")
    assert "next: " in line
    assert "\n" not in line
    assert str(path.parent) not in line
    return line


def chunk(kind: bytes, data: bytes) -> bytes:
    check = zlib.crc32(kind + data)
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", check)


def png(width: int, height: int, data: bytes, extra: bytes = b"") -> bytes:
    header = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    body = chunk(b"IHDR", header) + extra + chunk(b"IDAT", data) + chunk(b"IEND", b"")
    return b"\x89PNG\r\n\x1a\n" + body


@pytest.mark.parametrize("side", [6_400, 12_000, 50_000])
def test_a_bomb_is_refused_by_its_header(side: int, tmp_path: Path) -> None:
    path = tmp_path / "bomb.png"
    path.write_bytes(png(side, side, zlib.compress(b"\0" * 1000)))
    assert "40 million pixels at most" in refused(path)


def test_a_text_chunk_bomb_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "text.png"
    text = chunk(b"zTXt", b"note\0\0" + zlib.compress(b"a" * 80_000_000))
    path.write_bytes(png(100, 100, zlib.compress(b"\0" * 10100), text))
    refused(path)


def test_a_file_too_large_is_not_opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(decode, "MAX_BYTES", 1000)
    path = tmp_path / "large.png"
    path.write_bytes(SCAN.read_bytes())
    assert "MB" in refused(path)


@pytest.mark.parametrize("share", [0.0, 0.001, 0.3, 0.9])
def test_a_file_cut_short(share: float, tmp_path: Path) -> None:
    path = tmp_path / "cut.png"
    whole = SCAN.read_bytes()
    path.write_bytes(whole[: int(len(whole) * share)])
    refused(path)


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("text.png", b"not a picture at all"),
        ("gif.png", b"GIF89a\x01\0\x01\0\x80\0\0\0\0\0\xff\xff\xff"),
        ("zero.png", png(0, 0, zlib.compress(b""))),
        ("garbage.png", png(100, 100, b"garbage")),
        ("jpeg.jpg", b"\xff\xd8\xff\xe0\0\x10JFIF\0" + b"\0" * 40),
    ],
)
def test_what_is_no_picture(name: str, data: bytes, tmp_path: Path) -> None:
    path = tmp_path / name
    path.write_bytes(data)
    refused(path)


def test_a_missing_file_and_a_folder(tmp_path: Path) -> None:
    assert "no such file" in refused(tmp_path / "nowhere.png")
    (tmp_path / "folder.png").mkdir()
    refused(tmp_path / "folder.png")


def blank(kind: str) -> np.ndarray:
    rng = np.random.default_rng(0)
    shape = (400, 500)
    if kind == "noise":
        return rng.integers(0, 256, shape).astype(np.uint8)
    if kind == "specks":
        grey = np.full(shape, 230, np.uint8)
        for row, column in rng.integers(5, 390, (60, 2)):
            grey[row : row + 3, column : column + 3] = 20
        return grey
    if kind == "hatching":
        rows, columns = np.mgrid[:400, :500]
        return np.where(((rows + columns) % 9 < 2) | ((rows - columns) % 9 < 2), 40, 230).astype(
            np.uint8
        )
    return np.full(shape, {"white": 255, "black": 0, "grey": 128}[kind], np.uint8)


@pytest.mark.parametrize("kind", ["white", "black", "grey", "noise", "specks", "hatching"])
def test_pictures_without_a_line(kind: str, tmp_path: Path) -> None:
    path = tmp_path / f"{kind}.png"
    Image.fromarray(blank(kind)).save(path)
    refused(path)


def test_a_picture_too_small(tmp_path: Path) -> None:
    path = tmp_path / "stamp.png"
    Image.new("L", (40, 900), 255).save(path)
    assert "64 pixels at least" in refused(path)


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_damaged_bytes_give_lines_or_one_line_of_refusal(kind: str, tmp_path: Path) -> None:
    stored = io.BytesIO()
    with Image.open(SCAN) as scan:
        scan.resize((354, 278)).save(stored, kind)
    whole = stored.getvalue()
    rng = np.random.default_rng(1)
    path = tmp_path / "damaged.png"
    for _ in range(60):
        data = bytearray(whole)
        for place in rng.integers(0, len(data), rng.integers(1, 8)):
            data[place] = rng.integers(0, 256)
        path.write_bytes(bytes(data))
        try:
            read_lines(path)
        except PictureError:
            refused(path)
