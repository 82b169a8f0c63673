"""Lines read off pictures drawn here, where every point's true place is known."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely
from PIL import Image
from scipy.ndimage import gaussian_filter
from scipy.spatial import cKDTree

from rimwright.pictures.lines import TracedPicture, read_lines

DPI = 120.0
SIZE = (620, 900)  # rows, columns


def loop() -> np.ndarray:
    """A body with a waist, as (x, y) in pixels, y up."""
    turn = np.linspace(0.0, 2.0 * np.pi, 4000)
    wide = 220.0 * np.sin(turn) * (1.0 - 0.15 * np.cos(turn) + 0.22 * np.cos(2.0 * turn))
    return np.column_stack([450.0 + 330.0 * np.cos(turn), 310.0 + wide])


def straight(a: tuple[float, float], b: tuple[float, float]) -> np.ndarray:
    return np.array(a) + np.linspace(0.0, 1.0, 4000)[:, None] * (np.array(b) - np.array(a))


def drawn(
    *lines: np.ndarray,
    width: float = 2.0,
    dark: float = 0.6,
    noise: float = 0.02,
    shade: float = 0.0,
    skips: tuple[float, ...] = (),
) -> np.ndarray:
    """Grey of pencil lines on paper; `skips` are shares of the first line left blank."""
    rows, columns = np.mgrid[: SIZE[0], : SIZE[1]]
    ink = np.zeros(SIZE)
    for number, line in enumerate(lines):
        keep = np.ones(len(line), bool)
        for share in skips if number == 0 else ():
            keep &= np.abs(np.linspace(0.0, 1.0, len(line)) - share) > 0.001
        tree = cKDTree(np.column_stack([SIZE[0] - 1.0 - line[keep, 1], line[keep, 0]]))
        grid = np.column_stack([rows.ravel(), columns.ravel()])
        far, _ = tree.query(grid, distance_upper_bound=width + 3.0)
        ink = np.maximum(ink, np.clip(0.5 * width + 0.5 - far, 0.0, 1.0).reshape(SIZE))
    light = 0.93 * (1.0 - shade * ((columns / SIZE[1] - 0.2) ** 2 + (rows / SIZE[0]) ** 2))
    grey = light * (1.0 - dark * gaussian_filter(ink, 0.8))
    grey += np.random.default_rng(5).normal(0.0, noise, SIZE)
    return np.clip(grey, 0.0, 1.0)


def filled(inside: float, ground: float) -> np.ndarray:
    polygon = shapely.Polygon(loop())
    rows, columns = np.mgrid[: 2 * SIZE[0], : 2 * SIZE[1]] / 2.0 - 0.25
    shapely.prepare(polygon)
    there = shapely.contains_xy(polygon, columns, SIZE[0] - 1.0 - rows)
    share = there.reshape(SIZE[0], 2, SIZE[1], 2).mean(axis=(1, 3))
    grey = gaussian_filter(ground + (inside - ground) * share, 0.8)
    return np.clip(grey + np.random.default_rng(5).normal(0.0, 0.02, SIZE), 0.0, 1.0)


def read(grey: np.ndarray, folder: Path, kind: str = "png", **save: object) -> TracedPicture:
    path = folder / f"drawing.{kind}"
    Image.fromarray((grey * 255.0).astype(np.uint8)).save(path, dpi=(DPI, DPI), **save)
    return read_lines(path)


def off(line: np.ndarray, truth: np.ndarray) -> np.ndarray:
    """Distance of each point from the true line. [pixels]"""
    return shapely.distance(shapely.points(line), shapely.LineString(truth))


def body_of(picture: TracedPicture) -> np.ndarray:
    assert picture.closed[0]
    body = picture.lines[0]
    # All the way round, not a part of it.
    assert off(loop()[::40], np.vstack([body, body[:1]])).max() < 1.0
    return body


CENTRELINE = straight((60.0, 310.0), (840.0, 310.0))


@pytest.mark.parametrize(
    "case",
    [
        {},
        {"shade": 0.5},
        {"width": 7.0},
        {"dark": 0.2},
        {"noise": 0.05},
        {"skips": (0.1, 0.33, 0.8)},
    ],
    ids=["plain", "uneven light", "thick", "faint", "noisy", "the pencil skipped"],
)
def test_the_middle_of_a_pencil_line_is_found_within_a_fraction_of_a_pixel(
    case: dict, tmp_path: Path
) -> None:
    picture = read(drawn(loop(), **case), tmp_path)
    body = body_of(picture)
    assert picture.kind == "line"
    assert np.median(off(body, loop())) < 0.1
    assert off(body, loop()).max() < 0.6


def test_a_centreline_drawn_across_leaves_the_body_whole(tmp_path: Path) -> None:
    picture = read(drawn(loop(), CENTRELINE), tmp_path)
    assert off(body_of(picture), loop()).max() < 0.6
    assert not picture.closed[1]
    assert off(picture.lines[1][2:-2], CENTRELINE).max() < 0.6  # a round pen adds to the ends
    assert len(picture.lines[1]) > 700


def test_specks_and_letters_are_left_and_counted(tmp_path: Path) -> None:
    grey = drawn(loop())
    for row, column in np.random.default_rng(0).integers(20, 600, (30, 2)):
        grey[row : row + 3, column : column + 3] = 0.1
    picture = read(grey, tmp_path)
    assert off(body_of(picture), loop()).max() < 2.0  # a speck on the line may pull it
    assert len(picture.lines) == 1
    assert any("specks" in finding for finding in picture.findings)


def test_half_a_body_ends_on_its_centreline(tmp_path: Path) -> None:
    half = loop()[:2000]
    half = np.vstack([half, straight(tuple(half[-1]), (120.0, 310.0))])
    picture = read(drawn(half, CENTRELINE), tmp_path)
    halves = [
        line
        for line, closed in zip(picture.lines, picture.closed, strict=True)
        if not closed and np.median(off(line, half)) < 0.3 and np.ptp(line[:, 1]) > 100
    ]
    (line,) = halves
    for end in (line[0], line[-1]):
        assert off(end[None, :], CENTRELINE)[0] < 1.0


@pytest.mark.parametrize(("inside", "ground"), [(0.2, 0.9), (0.9, 0.15)], ids=["dark", "light"])
def test_the_edge_of_a_filled_shape(inside: float, ground: float, tmp_path: Path) -> None:
    picture = read(filled(inside, ground), tmp_path)
    assert picture.kind == "edge"
    assert np.median(off(body_of(picture), loop())) < 0.1
    assert off(body_of(picture), loop()).max() < 0.6


def test_white_lines_on_blue_paper(tmp_path: Path) -> None:
    picture = read(1.0 - drawn(loop()), tmp_path)
    assert off(body_of(picture), loop()).max() < 0.6


def test_a_large_scan_is_read_at_a_part_of_its_size_in_its_own_pixels(tmp_path: Path) -> None:
    small = Image.fromarray((drawn(loop()) * 255).astype(np.uint8))
    path = tmp_path / "large.png"
    small.resize((SIZE[1] * 4, SIZE[0] * 4), Image.Resampling.BICUBIC).save(path)
    picture = read_lines(path)
    assert picture.size == (3600, 2480)
    assert any("1/2 of its size" in finding for finding in picture.findings)
    # Middles of pixels: a place p in the small picture lies at 4 p + 1.5 in the large one.
    assert np.median(off(picture.lines[0], loop() * 4.0 + 1.5)) < 0.4


def test_the_same_drawing_in_every_kind_of_file(tmp_path: Path) -> None:
    grey = Image.fromarray((drawn(loop()) * 255).astype(np.uint8))
    deep = Image.fromarray((drawn(loop()) * 65535).astype(np.uint16))
    clear = Image.new("RGBA", grey.size, (0, 0, 0, 0))
    clear.putalpha(Image.eval(grey, lambda value: 255 - value))
    kinds = {
        "rgb.png": grey.convert("RGB"),
        "deep.png": deep,
        "palette.png": grey.convert("P"),
        "clear.png": clear,
        "bits.png": grey.point(lambda value: 255 if value > 170 else 0).convert("1"),
        "grey.jpg": grey,
        "cmyk.jpg": grey.convert("RGB").convert("CMYK"),
    }
    for name, image in kinds.items():
        image.save(tmp_path / name, dpi=(DPI, DPI))
        picture = read_lines(tmp_path / name)
        assert picture.dots_per_inch == pytest.approx(DPI, abs=0.02), name
        assert np.median(off(body_of(picture), loop())) < 0.3, name


def test_a_turned_photograph_stands_upright(tmp_path: Path) -> None:
    grey = Image.fromarray((drawn(loop()) * 255).astype(np.uint8))
    exif = Image.Exif()
    exif[0x0112] = 6
    path = tmp_path / "turned.jpg"
    grey.transpose(Image.Transpose.ROTATE_90).save(path, exif=exif, quality=95)
    picture = read_lines(path)
    assert picture.size == (SIZE[1], SIZE[0])
    assert off(body_of(picture), loop()).max() < 0.8


def test_resolution_is_what_the_file_records_and_nothing_else(tmp_path: Path) -> None:
    grey = Image.fromarray((drawn(loop()) * 255).astype(np.uint8))
    grey.save(tmp_path / "none.png")
    assert read_lines(tmp_path / "none.png").dots_per_inch is None
    grey.save(tmp_path / "odd.png", dpi=(3.0, 3.0))
    assert read_lines(tmp_path / "odd.png").dots_per_inch is None
    exif = Image.Exif()
    exif[0x010F] = "a camera"
    grey.save(tmp_path / "camera.jpg", exif=exif, dpi=(72, 72))
    picture = read_lines(tmp_path / "camera.jpg")
    assert picture.dots_per_inch is None
    assert any("camera" in finding for finding in picture.findings)


def test_pixels_higher_than_wide_are_allowed_for(tmp_path: Path) -> None:
    grey = Image.fromarray((drawn(loop()) * 255).astype(np.uint8))
    path = tmp_path / "fax.png"
    grey.resize((SIZE[1] * 2, SIZE[0]), Image.Resampling.BICUBIC).save(path, dpi=(200, 100))
    picture = read_lines(path)
    assert picture.dots_per_inch == pytest.approx(200.0, abs=0.01)
    truth = loop() * 2.0 + np.array([0.5, 0.0])
    assert np.median(off(picture.lines[0], truth)) < 0.4
