"""A photograph made fit for keeping: upright, of moderate size, nothing in it but the picture."""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rimwright.errors import PictureError
from rimwright.pictures.within import Limits, opened_within

if TYPE_CHECKING:
    from PIL import Image

#: Largest file taken in. [bytes]
MAX_BYTES = 12_000_000
#: Longer side as it is kept; a hairline of 0.1 mm shows on a photograph of one bout. [pixels]
LONGEST_SIDE = 2400
_LIMITS = Limits(
    most_pixels=50_000_000,
    shortest_side=16,
    when_large="set the camera to fewer pixels, or cut the picture down",
    when_small="take it larger",
)
#: Of the kept JPEG: marks on wood stay sharp, a photograph takes about a megabyte.
_QUALITY = 88
#: What our own pictures carry; anything else is taken out.
_PLAIN = frozenset({"jfif", "jfif_version", "jfif_unit", "jfif_density"})


@dataclass(frozen=True)
class Kept:
    """A JPEG as the journal keeps it."""

    data: bytes
    width_px: int
    height_px: int


def fit_for_keeping(data: bytes, where: str = "photograph") -> Kept:
    """A photograph as a JPEG of 2400 pixels at most on its longer side, without metadata.

    The turn that a camera wrote beside the picture is applied. What this function made
    before comes back as it is, so that a photograph does not fade from journal to journal.

    Parameters
    ----------
    data : bytes
        A JPEG or PNG; its content is looked at, not its name.
    where : str
        For the message.

    Raises
    ------
    PictureError
        If it is larger than 12 MB or 50 million pixels, no JPEG or PNG, or damaged.
    """
    if len(data) > MAX_BYTES:
        raise PictureError(
            f"a file of {len(data) / 1e6:.1f} MB",
            f"{MAX_BYTES / 1e6:.0f} MB at most",
            "set the camera to fewer pixels",
            where=where,
        )
    with opened_within(io.BytesIO(data), _LIMITS, where) as image:
        size = image.size
        if image.format == "JPEG":
            # Large ones are unpacked at an eighth, a quarter or a half, as far as that is enough.
            image.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
        image.load()
        if _as_kept(image, size, data):
            return Kept(data, *image.size)
        plain = _plain(image)
        stream = io.BytesIO()
        plain.save(stream, "JPEG", quality=_QUALITY)
        return Kept(stream.getvalue(), *plain.size)


def _as_kept(image: Image.Image, size: tuple[int, int], data: bytes) -> bool:
    return (
        image.format == "JPEG"
        and image.mode == "RGB"
        and image.size == size
        and max(size) <= LONGEST_SIDE
        and image.info.keys() <= _PLAIN
        and len(getattr(image, "applist", ())) <= 1
        and data.endswith(b"\xff\xd9")
    )


def _plain(image: Image.Image) -> Image.Image:
    """Upright red, green and blue, clear parts laid on white; nothing else comes along."""
    from PIL import Image, ImageOps

    if image.mode.startswith("I") or image.mode == "F":
        # Deep grey: Pillow would cut it off at white.
        image = image.point(lambda value: value * (1.0 / 256.0)).convert("L")
    elif image.mode in ("P", "PA", "1") or "transparency" in image.info:
        image = image.convert("RGBA")
    image.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    upright = ImageOps.exif_transpose(image)
    if upright.mode in ("RGBA", "LA"):
        clear = upright.convert("RGBA")
        upright = Image.alpha_composite(Image.new("RGBA", clear.size, "white"), clear)
    plain = upright.convert("RGB")
    plain.info.clear()
    return plain
