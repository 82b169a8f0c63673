"""What is ink and what is paper: uneven light taken out, noise measured, a mask made."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from rimwright.pictures.decode import GreyArray
from rimwright.pictures.skeleton import BoolArray

#: A filled shape with its holes is at most this many times the shape alone.
_MOST_HOLES = 1.3
#: A line around a shape is thinner than this share of the shape's size.
_RIM_SHARE = 0.03
#: Side of the small picture in which the paper's own shade is read. [pixels]
_SMALL = 400
#: Lines thinner than this share of the small picture are bridged when it is read.
_BRIDGE = 0.035
#: Ink must stand this many standard deviations of the paper's noise out of it, and be this
#: much darker than the paper at least.
_SIGMAS, _FAINTEST = 6.0, 0.04
#: A line is followed while it keeps this share of its usual darkness.
_FOLLOW = 0.25
#: A filled shape: least share of the picture, and least contrast of shape and ground.
_SHAPE_AREA, _SHAPE_CONTRAST = 0.02, 0.2
#: A shape lies within the picture; shadows and scanner lids run along its border.
_SHAPE_RIM = 0.03
#: Its thickest place, as a share of the root of its area; lines are far thinner.
_SHAPE_DEPTH = 0.12


@dataclass(frozen=True)
class Ink:
    """Darkness of each pixel over its paper, smoothed by a pixel, and the mask of the lines."""

    darkness: GreyArray
    mask: BoolArray
    #: Usual darkness of a line, from 0 to 1.
    usual: float


def dark_on_light(grey: GreyArray) -> tuple[GreyArray, bool]:
    """The picture with lines darker than their ground, and whether it had to be inverted."""
    sample = grey[::4, ::4]
    low, middle, high = np.percentile(sample, [1.0, 50.0, 99.0])
    inverted = bool(middle - low < 0.5 * (high - low))
    return (np.float32(1.0) - grey if inverted else grey), inverted


def find_ink(grey: GreyArray) -> Ink | None:
    """Lines darker than the paper around them; None where there are none."""
    paper = _paper(grey)
    relative = 1.0 - grey / np.maximum(paper, np.float32(0.02))
    darkness = np.asarray(ndimage.gaussian_filter(relative, 1.0), dtype=np.float32)
    sample = darkness[::3, ::3]
    middle = float(np.median(sample))
    noise = 1.4826 * float(np.median(np.abs(sample - middle)))
    darkness = np.asarray(darkness - middle, dtype=np.float32)
    least = max(_SIGMAS * noise, _FAINTEST)
    strong = darkness > least
    if int(strong.sum()) < 20:
        return None
    usual = float(np.percentile(darkness[strong], 75.0))
    weak = darkness > max(_FOLLOW * usual, 0.6 * least)
    weak = ndimage.binary_closing(weak, np.ones((3, 3), bool))
    numbers, count = ndimage.label(weak, np.ones((3, 3), bool))
    keep = np.zeros(count + 1, dtype=bool)
    keep[np.unique(numbers[darkness > max(0.5 * usual, least)])] = True
    keep[0] = False
    return Ink(darkness, keep[numbers], usual)


def _paper(grey: GreyArray) -> GreyArray:
    """Shade of the paper alone: lines bridged, the rest smoothed."""
    factor = max(1, max(grey.shape) // _SMALL)
    height, width = (side // factor * factor for side in grey.shape)
    small = grey[:height, :width].reshape(height // factor, factor, width // factor, factor)
    small = small.mean(axis=(1, 3), dtype=np.float32)
    reach = max(3, int(_BRIDGE * max(small.shape)))
    small = ndimage.grey_closing(small, size=(reach, reach))
    small = ndimage.gaussian_filter(small, reach / 2.0)
    rows = (np.arange(grey.shape[0], dtype=np.float32) + 0.5) / factor - 0.5
    columns = (np.arange(grey.shape[1], dtype=np.float32) + 0.5) / factor - 0.5
    return _stretched(_stretched(small, rows).T, columns).T


def _stretched(values: GreyArray, at: GreyArray) -> GreyArray:
    """Rows read between the rows, as a picture is enlarged."""
    at = np.clip(at, 0.0, len(values) - 1.0)
    i = np.minimum(at.astype(int), max(len(values) - 2, 0))
    f = (at - i).astype(np.float32)[:, None]
    after = values[np.minimum(i + 1, len(values) - 1)]
    return np.asarray(values[i] * (1.0 - f) + after * f, dtype=np.float32)


def find_shape(grey: GreyArray) -> BoolArray | None:
    """The largest filled shape, holes filled; None where the picture holds only lines.

    Ground is what most of the picture's border shows, so that a shape may be dark or light.
    """
    soft = ndimage.gaussian_filter(grey, 1.5)
    level, contrast = _two_shades(soft)
    if contrast < _SHAPE_CONTRAST:
        return None
    border = np.concatenate([soft[2, :], soft[-3, :], soft[:, 2], soft[:, -3]])
    dark = bool(np.median(border) > level)
    numbers, count = ndimage.label(soft < level if dark else soft > level)
    if count == 0:
        return None
    area = np.bincount(numbers.ravel())[1:]
    largest = int(np.argmax(area)) + 1
    shape = numbers == largest
    rim = np.concatenate([shape[2, :], shape[-3, :], shape[:, 2], shape[:, -3]])
    if area[largest - 1] < _SHAPE_AREA * grey.size or rim.mean() > _SHAPE_RIM:
        return None
    step = max(1, max(shape.shape) // _SMALL)
    depth = step * float(ndimage.distance_transform_edt(np.pad(shape[::step, ::step], 1)).max())
    if depth < _SHAPE_DEPTH * np.sqrt(area[largest - 1]):
        return None
    if not _sharp(soft, shape, contrast):
        return None
    filled = np.asarray(ndimage.binary_fill_holes(shape), dtype=bool)
    # Paper with a closed line drawn on it is no shape, neither around the line nor within.
    paper = filled.sum() > _MOST_HOLES * shape.sum()
    paper = paper or _inside_a_line(filled, soft < level if dark else soft > level)
    return None if paper else filled


def without_surround(grey: GreyArray) -> tuple[GreyArray, bool]:
    """The picture with what lies dark around the paper whitened, and whether anything did.

    A table under the sheet, or the black edge of a scan: dark, broad and at the border, while
    most of the picture is light.
    """
    soft = ndimage.gaussian_filter(grey, 1.5)
    level, contrast = _two_shades(soft)
    if contrast < _SHAPE_CONTRAST or float(np.median(soft)) < level:
        return grey, False
    broad = max(3, max(grey.shape) // 150)
    dark = np.pad(soft < level, broad, mode="edge")
    depth = ndimage.distance_transform_edt(np.pad(dark, 1, constant_values=True))[1:-1, 1:-1]
    numbers, count = ndimage.label(depth > broad)
    rim = np.concatenate([numbers[0], numbers[-1], numbers[:, 0], numbers[:, -1]])
    around = np.isin(numbers, np.setdiff1d(rim, [0])) if count else numbers > 0
    if not around.any():
        return grey, False
    away = ndimage.distance_transform_edt(~around)
    inside = slice(broad, -broad), slice(broad, -broad)
    if not _sharp(soft, ((away <= broad) & dark)[inside], contrast):
        return grey, False  # a shadow
    # Back to its own edge, and past the edge's blur.
    grown = (away <= broad + 6.0)[inside]
    return np.where(grown, np.float32(np.median(grey[~grown])), grey), True


def _inside_a_line(shape: BoolArray, same: BoolArray) -> bool:
    """Whether the shape's own shade goes on beyond a thin rim: paper within a drawn line."""
    step = max(1, max(shape.shape) // _SMALL)
    shape, same = shape[::step, ::step], same[::step, ::step]
    away = ndimage.distance_transform_edt(~shape)
    reach = max(3.0, _RIM_SHARE * float(np.sqrt(shape.sum())))
    beyond = same[(away > reach) & (away < reach + 2.0)]
    return bool(beyond.size and beyond.mean() > 0.5)


def _two_shades(grey: GreyArray) -> tuple[float, float]:
    """The level that parts two shades best (Otsu 1979, recalled), and how far they differ."""
    counts, edges = np.histogram(grey[::2, ::2], bins=128, range=(0.0, 1.0))
    middle = 0.5 * (edges[1:] + edges[:-1])
    below = np.cumsum(counts)[:-1].astype(float)
    above = counts.sum() - below
    dark = np.cumsum(counts * middle)[:-1]
    light = (counts * middle).sum() - dark
    with np.errstate(invalid="ignore", divide="ignore"):
        gap = light / above - dark / below
        merit = np.where((below > 0) & (above > 0), below * above * gap**2, 0.0)
    best = int(np.argmax(merit))
    between = np.flatnonzero(merit >= merit[best] * (1.0 - 1e-9))
    level = float(edges[1:-1][between].mean())
    return level, float(gap[best]) if np.isfinite(gap[best]) else 0.0


def _sharp(soft: GreyArray, shape: BoolArray, contrast: float) -> bool:
    """Whether the shade changes at the shape's edge, and not gradually as a shadow does."""
    ring = shape & ~ndimage.binary_erosion(shape, iterations=1)
    rows, columns = np.nonzero(ring)
    inside = (rows > 4) & (rows < soft.shape[0] - 5) & (columns > 4) & (columns < soft.shape[1] - 5)
    rows, columns = rows[inside], columns[inside]
    if len(rows) < 50:
        return False
    down = soft[rows + 4, columns] - soft[rows - 4, columns]
    across = soft[rows, columns + 4] - soft[rows, columns - 4]
    return bool(np.median(np.hypot(down, across)) > 0.5 * contrast)
