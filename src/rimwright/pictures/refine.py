"""From a path along pixels to the true place of the line or edge, in parts of a pixel."""

from __future__ import annotations

from typing import Literal

import numpy as np
from scipy import ndimage

from rimwright.pictures.decode import GreyArray
from rimwright.pictures.skeleton import FloatArray


def line_centre(darkness: GreyArray, path: FloatArray, width: float, *, closed: bool) -> FloatArray:
    """Centre of gravity of the ink across the line, shape (n, 2) as (row, column).

    Places where another line crosses, or the pencil skipped, are left out: the ink there is
    spread wider than the line, or thinner.
    """
    reach = 1.2 * width + 2.0
    across = np.arange(-reach, reach + 0.25, 0.5)
    for _ in range(2):
        path, normal = _even(path, max(2.0, 0.6 * width), closed)
        profile = _profile(darkness, path, normal, across)
        ridge = profile[:, np.abs(across) <= 0.6 * width + 1.0].max(axis=1)
        ink = np.clip(profile - 0.3 * ridge[:, None], 0.0, None)
        mass = ink.sum(axis=1)
        safe = np.maximum(mass, 1e-9)
        shift = (ink @ across) / safe
        spread = np.sqrt(np.maximum((ink @ across**2) / safe - shift**2, 0.0))
        usual = float(np.median(spread))
        good = (mass > 0.25 * np.median(mass)) & (spread < 1.4 * usual + 0.3)
        good &= np.abs(shift) < 0.75 * reach
        # Where another line runs along for long there is nothing better than the pixels.
        runs, count = ndimage.label(~good)
        long = np.bincount(runs, minlength=count + 1) > 8.0 * width + 10.0
        long[0] = False
        shift[~good] = 0.0
        path = (path + shift[:, None] * normal)[good | long[runs]]
        if len(path) < 8:
            break
    return path


def edge(grey: GreyArray, path: FloatArray) -> FloatArray:
    """Where the shade passes halfway from shape to ground, shape (n, 2) as (row, column)."""
    across = np.arange(-6.0, 6.25, 0.5)
    for _ in range(2):
        path, normal = _even(path, 2.0, True)
        profile = _profile(grey, path, normal, across)
        first, last = profile[:, :4].mean(axis=1), profile[:, -4:].mean(axis=1)
        share = (profile - first[:, None]) / np.where(
            np.abs(last - first) > 1e-3, last - first, 1.0
        )[:, None]
        passes = (share[:, :-1] < 0.5) & (share[:, 1:] >= 0.5)
        place = np.where(passes, np.abs(across[:-1] + 0.25), np.inf)
        i = np.argmin(place, axis=1)
        rows = np.arange(len(path))
        low, high = share[rows, i], share[rows, i + 1]
        shift = across[i] + 0.5 * (0.5 - low) / np.where(high > low, high - low, 1.0)
        contrast = np.abs(last - first)
        good = np.isfinite(place[rows, i]) & (contrast > 0.4 * np.median(contrast))
        if good.sum() < 8:
            return path
        path = (path + shift[:, None] * normal)[good]
    return path


def _even(path: FloatArray, width: float, closed: bool) -> tuple[FloatArray, FloatArray]:
    """The path smoothed a little and stepped by one pixel, with its unit normals."""
    mode: Literal["wrap", "nearest"] = "wrap" if closed else "nearest"
    soft = ndimage.gaussian_filter1d(path, width, axis=0, mode=mode)
    if not closed:  # ends stay where they are
        fade = np.exp(
            -0.5 * (np.minimum(np.arange(len(path)), np.arange(len(path))[::-1]) / width) ** 2
        )
        soft = soft + fade[:, None] * (path - soft)
    line = np.vstack([soft, soft[:1]]) if closed else soft
    s = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    count = max(int(s[-1]), 8)
    at = np.linspace(0.0, s[-1], count, endpoint=not closed)
    even = np.column_stack([np.interp(at, s, line[:, 0]), np.interp(at, s, line[:, 1])])
    if closed:
        along = np.roll(even, -2, axis=0) - np.roll(even, 2, axis=0)
    else:
        along = np.gradient(even, axis=0)
    along /= np.maximum(np.hypot(*along.T), 1e-9)[:, None]
    return even, np.column_stack([-along[:, 1], along[:, 0]])


def _profile(
    values: GreyArray, path: FloatArray, normal: FloatArray, across: FloatArray
) -> FloatArray:
    where = path[:, None, :] + across[None, :, None] * normal[:, None, :]
    read = ndimage.map_coordinates(values, where.reshape(-1, 2).T, order=1, mode="nearest")
    return np.asarray(read.reshape(len(path), len(across)), dtype=np.float64)
