"""A PNG or JPEG opened within limits: by content, its size read before a pixel is unpacked."""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from rimwright.errors import PictureError

if TYPE_CHECKING:
    from PIL import Image


@dataclass(frozen=True, kw_only=True)
class Limits:
    """What a picture may be, and what to do about one that is not."""

    #: Largest and smallest, from its header. [pixels]
    most_pixels: int
    shortest_side: int
    #: What to do about one that is too large, or too small.
    when_large: str
    when_small: str


@contextmanager
def opened_within(source: Path | BinaryIO, limits: Limits, where: str) -> Iterator[Image.Image]:
    """Open a picture for the length of a block; what a decoder raises becomes one line.

    Parameters
    ----------
    source : Path or binary file
        Its content decides what it is, never its name.
    limits : Limits
        Checked from the header.
    where : str
        The file's name, for the message.

    Raises
    ------
    PictureError
        If it is no PNG or JPEG, damaged, cut short, too large or too small.
    """
    from PIL import Image

    try:
        with warnings.catch_warnings():
            # Decoders grumble of much that does no harm; size is no such thing.
            warnings.simplefilter("ignore")
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(source, formats=("PNG", "JPEG")) as image:
                _check_size(*image.size, limits, where)
                yield image
    except PictureError:
        raise
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        # Pillow's own limits, above ours.
        found = "a picture of hundreds of millions of pixels"
        raise _too_large(found, limits, where) from error
    except Exception as error:  # decoders raise many kinds on damaged files
        reason = " ".join(str(error).split())[:80].replace(str(source), where)
        raise PictureError(
            f"a picture that cannot be decoded ({type(error).__name__}: {reason})",
            "a whole PNG or JPEG",
            "open it in a viewer and save it again",
            where=where,
        ) from error


def _check_size(width: int, height: int, limits: Limits, where: str) -> None:
    if width * height > limits.most_pixels:
        raise _too_large(f"a picture of {width} × {height} pixels", limits, where)
    if min(width, height) < limits.shortest_side:
        raise PictureError(
            f"a picture of {width} × {height} pixels",
            f"{limits.shortest_side} pixels at least on each side",
            limits.when_small,
            where=where,
        )


def _too_large(found: str, limits: Limits, where: str) -> PictureError:
    expected = f"{limits.most_pixels / 1e6:.0f} million pixels at most"
    return PictureError(found, expected, limits.when_large, where=where)
