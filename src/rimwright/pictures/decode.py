"""A PNG or JPEG opened within limits and turned to even grey."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from rimwright.errors import PictureError
from rimwright.pictures.within import Limits, opened_within

if TYPE_CHECKING:
    from PIL import Image

#: Largest file. [bytes]
MAX_BYTES = 64_000_000
#: Largest picture; a 500 × 400 mm body at 300 dpi has 28 million. [pixels]
MAX_PIXELS = 40_000_000
#: Smallest side in which a body can be seen. [pixels]
MIN_SIDE = 64
#: Pictures are averaged down, by whole factors, until they have no more than this. [pixels]
WORK_PIXELS = 5_000_000
#: Resolutions a scanner can have; anything else in a file is a placeholder. [dots per inch]
DPI_RANGE = (20.0, 5000.0)
#: What cameras write for want of a scale. [dots per inch]
_PLACEHOLDER_DPI = 72.0
_LIMITS = Limits(
    most_pixels=MAX_PIXELS,
    shortest_side=MIN_SIDE,
    when_large="scan at 200 to 300 dpi, or cut it down to the body",
    when_small="scan it larger",
)

#: Pixels turned to grey at a time.
_BAND = 1_000_000

GreyArray = npt.NDArray[np.float32]


@dataclass(frozen=True)
class Picture:
    """Even grey from 0 (black) to 1 (white), rows from the top."""

    grey: GreyArray
    #: Pixels of the file along one pixel of `grey`.
    reduction: int
    #: Width and height in the file, upright. [pixels]
    size: tuple[int, int]
    #: Along x; None where the file does not say. [1/in]
    dots_per_inch: float | None
    #: Height of a pixel over its width.
    aspect: float
    notes: tuple[str, ...]


def open_picture(path: Path) -> Picture:
    """Decode a PNG or JPEG to grey: transparent is white, EXIF turns are applied.

    The size is read from the header before any pixel is unpacked.

    Raises
    ------
    PictureError
        If it is no PNG or JPEG, damaged, cut short, too large or too small.
    """
    where = path.name
    if not path.is_file():
        raise PictureError("no such file", "a PNG or JPEG picture", "check the name", where=where)
    if (size := path.stat().st_size) > MAX_BYTES:
        raise PictureError(
            f"a file of {size / 1e6:.0f} MB",
            f"{MAX_BYTES / 1e6:.0f} MB at most",
            "save it as grey, or scan at 200 to 300 dpi",
            where=where,
        )
    with opened_within(path, _LIMITS, where) as image:
        return _grey(image)


def _grey(image: Image.Image) -> Picture:
    from PIL import ImageOps

    resolution, notes = _resolution(image)
    turn = image.getexif().get(0x0112, 1)
    if turn in (5, 6, 7, 8) and resolution is not None:
        resolution = (resolution[1], resolution[0])
    upright = image if turn == 1 else ImageOps.exif_transpose(image)
    upright.load()
    width, height = upright.size
    factor = max(1, int(np.ceil(np.sqrt(width * height / WORK_PIXELS))))
    # Band by band: grey and clear parts of a large picture would not fit beside it.
    rows = factor * max(1, _BAND // (factor * width))
    bands = [
        _reduced(_luminance(upright.crop((0, top, width, min(top + rows, height)))), factor)
        for top in range(0, height, rows)
    ]
    values = np.concatenate(bands)
    dpi = None if resolution is None else resolution[0]
    aspect = 1.0 if resolution is None else resolution[0] / resolution[1]
    if abs(aspect - 1.0) > 0.002:
        notes = (*notes, f"its pixels are {aspect:.3f} times as high as wide; allowed for")
    return Picture(values, factor, (width, height), dpi, aspect, notes)


def _luminance(image: Image.Image) -> npt.NDArray[np.uint8] | npt.NDArray[np.float32]:
    """Grey from any mode a PNG or JPEG decodes to, clear parts laid on white."""
    from PIL import Image

    if image.mode.startswith("I") or image.mode == "F":
        deep = np.asarray(image, dtype=np.float32)
        return np.asarray(np.clip(deep * (255.0 / 65535.0), 0.0, 255.0), dtype=np.float32)
    if image.mode in ("RGBA", "LA", "PA") or "transparency" in image.info:
        clear = image.convert("RGBA")
        white = Image.new("RGBA", clear.size, (255, 255, 255, 255))
        image = Image.alpha_composite(white, clear)
    elif image.mode not in ("L", "RGB"):
        image = image.convert("RGB")
    return np.asarray(image.convert("L"))


def _reduced(values: npt.NDArray[np.uint8] | npt.NDArray[np.float32], factor: int) -> GreyArray:
    height, width = (side // factor * factor for side in values.shape)
    cut = values[:height, :width]
    total = np.zeros((height // factor, width // factor), dtype=np.float32)
    for row in range(factor):
        for column in range(factor):
            total += cut[row::factor, column::factor]
    total *= 1.0 / (255.0 * factor * factor)
    return total


def _resolution(image: Image.Image) -> tuple[tuple[float, float] | None, tuple[str, ...]]:
    """Dots per inch along x and y as the file records them (pHYs, JFIF or EXIF)."""
    try:
        across, down = (float(value) for value in image.info["dpi"])
    except (KeyError, TypeError, ValueError, ZeroDivisionError):
        return None, ("the file records no resolution",)
    low, high = DPI_RANGE
    if not (low <= across <= high and low <= down <= high and 0.2 < across / down < 5.0):
        return None, (f"the file records {across:g} × {down:g} dpi, no scanner's; left aside",)
    camera = image.getexif().get(0x010F)
    if camera and across == _PLACEHOLDER_DPI:
        return None, ("a camera wrote 72 dpi for want of a scale; left aside",)
    return (across, down), ()
