"""Photographs that cannot be used: one line each, within seconds and little memory; and what is
kept of those that can: an upright picture and nothing else."""

import io
import struct
import time
import zlib

import numpy as np
import pytest
from PIL import Image

from journal_filled import picture
from journal_rows import new_run
from rimwright.errors import PictureError
from rimwright.journal.opening import open_journal
from rimwright.journal.photographs import keep_photograph, photograph, photographs_of, unpacked
from rimwright.journal.runs import begin_run
from rimwright.pictures.photograph import fit_for_keeping

#: A photograph is refused or kept within this. [s]
HANG_S = 20.0


def chunk(kind, data):
    check = zlib.crc32(kind + data)
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", check)


def png(width, height, data=b"\0" * 1000, extra=b""):
    header = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    body = chunk(b"IHDR", header) + extra + chunk(b"IDAT", zlib.compress(data))
    return b"\x89PNG\r\n\x1a\n" + body + chunk(b"IEND", b"")


def jpeg_header(width, height):
    """A JPEG whose header promises so many pixels."""
    data = picture((32, 32))
    at = data.index(b"\xff\xc0") + 5
    return data[:at] + struct.pack(">HH", height, width) + data[at + 4 :]


def form(name, size=(40, 30)):
    stream = io.BytesIO()
    Image.new("RGB", size, "red").save(stream, name)
    return stream.getvalue()


def turned(orientation, **options):
    """Red above blue, as the camera held it, with the turn written beside it."""
    upright = Image.new("RGB", (60, 40), "blue")
    upright.paste("red", (0, 0, 60, 20))
    back = {1: None, 3: Image.Transpose.ROTATE_180, 6: Image.Transpose.ROTATE_90,
            8: Image.Transpose.ROTATE_270, 5: Image.Transpose.TRANSPOSE}[orientation]  # fmt: skip
    stored = upright if back is None else upright.transpose(back)
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x010F] = "A camera's maker"
    exif[0x8825] = {1: "N", 2: (51.0, 30.0, 0.0)}
    stream = io.BytesIO()
    stored.save(stream, "JPEG", exif=exif, comment=b"where it was taken", **options)
    return stream.getvalue()


WHOLE = picture((400, 300))
HOSTILE = {
    "65,000 × 65,000 in a PNG's header": (png(65_000, 65_000), "50 million pixels at most"),
    "60,000 × 60,000 in a JPEG's header": (jpeg_header(60_000, 60_000), "50 million pixels"),
    "just too many": (png(7_072, 7_072), "50 million pixels at most"),
    "nothing": (b"", "cannot be decoded"),
    "no picture": (b"not a picture at all" * 50, "cannot be decoded"),
    "a GIF": (form("GIF"), "cannot be decoded"),
    "a BMP": (form("BMP"), "cannot be decoded"),
    "a TIFF": (form("TIFF"), "cannot be decoded"),
    "a WebP": (form("WEBP"), "cannot be decoded"),
    "a drawing": (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "cannot be decoded"),
    "a page": (b"<!doctype html><script>alert(1)</script>", "cannot be decoded"),
    "tiny": (form("PNG", (15, 200)), "16 pixels at least"),
    "more than 12 MB": (WHOLE + b"\0" * 12_000_000, "12 MB at most"),
    "text that unpacks to 80 MB": (
        png(100, 100, b"\0" * 10_100, chunk(b"zTXt", b"n\0\0" + zlib.compress(b"a" * 80_000_000))),
        "cannot be decoded",
    ),
    "garbage for pixels": (png(200, 200, b"garbage"), "cannot be decoded"),
}


@pytest.mark.parametrize("what", HOSTILE)
def test_it_is_refused_in_one_line(what):
    data, words = HOSTILE[what]
    begun = time.monotonic()
    with pytest.raises(PictureError) as error:
        unpacked(data)
    line = str(error.value)
    assert words in line, line
    assert line.startswith("photograph: found ")
    assert "\n" not in line
    taken = time.monotonic() - begun
    print(f"{what}: refused after {taken:.2f} s, limit {HANG_S} s")
    assert taken < HANG_S


@pytest.mark.parametrize("share", [0.01, 0.2, 0.5, 0.95, 0.999])
@pytest.mark.parametrize("name", ["JPEG", "PNG"])
def test_one_cut_short_is_refused(share, name):
    whole = picture((300, 200), name)
    with pytest.raises(PictureError, match="cannot be decoded"):
        fit_for_keeping(whole[: int(len(whole) * share)])


def test_bytes_flipped_anywhere_are_refused_or_a_picture():
    dice = np.random.default_rng(4)
    refused = 0
    for _ in range(150):
        data = bytearray(WHOLE if dice.random() < 0.5 else form("PNG", (300, 200)))
        for at in dice.integers(0, len(data), 1 + dice.integers(8)):
            data[at] = dice.integers(256)
        try:
            kept = fit_for_keeping(bytes(data))
        except PictureError:
            refused += 1
        else:
            assert max(kept.width_px, kept.height_px) <= 2400
    assert 10 < refused < 150


@pytest.mark.parametrize("orientation", [1, 3, 5, 6, 8])
def test_it_is_turned_upright_and_says_nothing_of_camera_or_place(orientation):
    kept = fit_for_keeping(turned(orientation, quality=95))
    image = Image.open(io.BytesIO(kept.data))
    assert (image.format, image.size) == ("JPEG", (60, 40))
    assert (kept.width_px, kept.height_px) == (60, 40)
    colours = np.asarray(image, dtype=int)
    above, below = colours[5:15].mean((0, 1)), colours[25:35].mean((0, 1))
    assert above[0] > 200 > 60 > above[2]
    assert below[2] > 200 > 60 > below[0]
    assert image.info.keys() <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
    assert not image.getexif()
    assert b"camera" not in kept.data
    assert b"where it was" not in kept.data


def test_a_large_one_is_made_smaller_and_keeps_its_shape():
    kept = fit_for_keeping(picture((3000, 4000), quality=60))
    assert (kept.width_px, kept.height_px) == (1800, 2400)
    wide = fit_for_keeping(form("PNG", (5000, 100)))
    assert (wide.width_px, wide.height_px) == (2400, 48)


def test_clear_parts_are_white_and_deep_grey_keeps_its_shades():
    stream = io.BytesIO()
    Image.new("RGBA", (50, 50), (255, 0, 0, 0)).save(stream, "PNG")
    white = np.asarray(Image.open(io.BytesIO(fit_for_keeping(stream.getvalue()).data)))
    assert white.min() > 250
    stream = io.BytesIO()
    ramp = np.linspace(0, 65535, 256).astype(np.uint16)
    Image.fromarray(np.tile(ramp, (64, 1))).save(stream, "PNG")
    grey = np.asarray(Image.open(io.BytesIO(fit_for_keeping(stream.getvalue()).data)))
    assert abs(int(grey[30, 128, 0]) - 128) < 6


def test_what_was_made_fit_once_does_not_fade(tmp_path):
    once = fit_for_keeping(picture((900, 700), quality=97))
    assert fit_for_keeping(once.data) == once
    # The same picture with something hidden behind its end is made anew.
    hidden = fit_for_keeping(once.data + b"PK\x03\x04")
    assert hidden.data.endswith(b"\xff\xd9")
    assert b"PK\x03\x04" not in hidden.data


def test_a_refused_one_leaves_nothing_in_the_journal(tmp_path):
    journal, _ = open_journal(tmp_path / "journal.sqlite")
    run = begin_run(journal, new_run())
    for data, _words in (HOSTILE["no picture"], HOSTILE["just too many"]):
        with pytest.raises(PictureError):
            keep_photograph(journal, run, data, "horn", 1.0)
    assert photographs_of(journal, run) == ()
    number = keep_photograph(journal, run, turned(6), "horn, outside", 5.0)
    (line,) = photographs_of(journal, run)
    assert (line.id, line.words, line.run, line.media_type) == (
        number, "horn, outside", run, "image/jpeg",
    )  # fmt: skip
    assert (line.width_px, line.height_px) == (60, 40)
    assert photograph(journal, number).data.startswith(b"\xff\xd8")
    journal.close()
