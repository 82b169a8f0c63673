"""How often the truth lies inside the range stated for a radius, on bodies of our own.

No source: the bodies are made here, arcs and fair curves, and rasterised to pixel stairs or
shaken with correlated noise; truth is their own curvature averaged over 20 mm. The figures
in `radius_range` were set on other seeds. We find 99 % inside (asked for: 93 %, since six radii
of 90 may miss by chance at a true 95 %), middles off by 1.2 % (90 % of them by less than 4 %;
asked for: 8 %), and ranges 11 % wide.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.ndimage import gaussian_filter1d
from scipy.optimize import brentq

from rimwright.curves.arc import Arc
from rimwright.curves.chain import Chain
from rimwright.curves.trace import fit_trace, radius_range

WINDOW = 0.02


def tangent_arcs(spec: list[tuple[float, float]]) -> Chain:
    pieces, heading, start = [], -np.pi / 2, (0.0, 0.0)
    for radius, sweep in spec:
        pieces.append(Arc(start, heading, 1.0 / radius, abs(radius) * sweep))
        end = pieces[-1].at(np.array([pieces[-1].length]))
        start = (float(end.position[0, 0]), float(end.position[0, 1]))
        heading = float(end.heading[0])
    return Chain(tuple(pieces))


def closed_on_centreline(rest: list[tuple[float, float]], tail_sweep: float) -> np.ndarray:
    """Both halves of a body of arcs, the tail's radius chosen so that the neck meets y = 0."""

    def end(radius: float) -> float:
        return float(tangent_arcs([(radius, tail_sweep), *rest]).end().position[0, 1])

    radii = np.linspace(0.03, 0.7, 80)
    ends = [end(radius) for radius in radii]
    i = next(i for i in range(79) if ends[i] * ends[i + 1] < 0.0)
    half = tangent_arcs([(brentq(end, radii[i], radii[i + 1]), tail_sweep), *rest])
    whole = Chain(half.pieces + half.reversed().mirrored().pieces)
    return whole.at(np.linspace(0.0, whole.length, 20000, endpoint=False)).position


def arc_body(seed: int) -> np.ndarray:
    rng = np.random.default_rng(seed)
    while True:
        sweep = rng.uniform([0.45, 1.3, 0.5, 0.9], [0.7, 1.6, 0.9, 1.2])
        lower, waist, upper, neck = rng.uniform([0.05, 0.06, 0.045, 0.12], [0.09, 0.14, 0.075, 0.3])
        last = np.pi - (sweep[0] + sweep[1] - sweep[2] + sweep[3])
        rest = [(lower, sweep[1]), (-waist, sweep[2]), (upper, sweep[3]), (neck, last)]
        if 0.15 < last < 0.9:
            try:
                return closed_on_centreline(rest, sweep[0])
            except StopIteration:
                continue


def horned_body(seed: int) -> np.ndarray:
    horn, scoop = np.random.default_rng(seed).uniform([0.02, 0.03], [0.028, 0.04])
    last = np.pi - (0.5 + 1.25 - 0.75 + 0.55 + 1.15 - 0.8)
    rest = [(0.075, 1.25), (-0.12, 0.75), (0.11, 0.55), (horn, 1.15), (-scoop, 0.8), (0.12, last)]
    return closed_on_centreline(rest, 0.5)


def fair_body(seed: int) -> np.ndarray:
    rng = np.random.default_rng(seed)
    turn = np.linspace(0.0, 2.0 * np.pi, 8000, endpoint=False)
    egg, waist = rng.uniform([-0.22, 0.05], [-0.1, 0.2])
    x = 0.2 * np.cos(turn)
    return np.column_stack(
        [x, 0.13 * np.sin(turn) * (1.0 + egg * np.cos(turn) + waist * np.cos(2.0 * turn))]
    )


def teardrop(seed: int) -> np.ndarray:
    turn = np.linspace(0.0, 2.0 * np.pi, 8000, endpoint=False)
    narrow = 0.34 + 0.05 * np.random.default_rng(seed).random()
    x = 0.17 * np.cos(turn) + 0.02 * np.cos(2.0 * turn)
    return np.column_stack([x, 0.125 * np.sin(turn) * (1.0 - narrow * np.cos(turn))])


def stairs(body: np.ndarray, dots_per_inch: float, seed: int) -> np.ndarray:
    """The border pixels of the body filled on a grid (its edge passes through them)."""
    import cv2

    pixel = 0.0254 / dots_per_inch
    turn = np.random.default_rng(seed).uniform(0.0, 0.4) * (seed % 2)
    c, s = np.cos(turn), np.sin(turn)
    grid = body @ np.array([[c, s], [-s, c]]) / pixel
    grid = grid - grid.min(axis=0) + 3.3
    size = np.ceil(grid.max(axis=0)).astype(int) + 4
    image = np.zeros((size[1], size[0]), np.uint8)
    cv2.fillPoly(image, [np.round(grid * 256).astype(np.int32)], 1, shift=8)
    found, _ = cv2.findContours(image, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    return max(found, key=len)[:, 0, :] * pixel


def shaken(body: np.ndarray, sigma: float, reach: float, seed: int) -> np.ndarray:
    """A point every 0.3 mm, off by noise that is alike over `reach`."""
    s = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(body, axis=0).T))])
    at = np.arange(0.0, s[-1], 0.0003)
    points = np.column_stack([np.interp(at, s, body[:, 0]), np.interp(at, s, body[:, 1])])
    noise = np.random.default_rng(seed).normal(size=points.shape)
    noise = gaussian_filter1d(noise, 0.5 * reach / 0.0003, axis=0, mode="wrap")
    return points + noise * (sigma / noise.std())


def true_radii(body: np.ndarray) -> tuple[float, float, float]:
    """Smallest convex and concave radius over the window, and the length."""
    step = np.diff(np.vstack([body, body[:1]]), axis=0)
    length = np.hypot(*step.T)
    heading = np.unwrap(np.arctan2(step[:, 1], step[:, 0]))
    s = np.cumsum(length) - 0.5 * length
    total, turn = length.sum(), 2.0 * np.pi
    s = np.concatenate([s - total, s, s + total])
    heading = np.concatenate([heading - turn, heading, heading + turn])
    at = np.linspace(0.0, total, 4000)
    mean = np.interp(at + WINDOW / 2, s, heading) - np.interp(at - WINDOW / 2, s, heading)
    mean /= WINDOW
    return 1.0 / mean.max(), -1.0 / min(mean.min(), -1e-9), total


@pytest.mark.slow
def test_truth_lies_inside_the_stated_range(held_against) -> None:
    inside, errors, wide = [], [], []
    bodies = [arc_body(s) for s in range(100, 105)]
    bodies += [horned_body(s) for s in range(100, 102)]
    bodies += [fair_body(100), fair_body(101), teardrop(100)]
    for number, body in enumerate(bodies):
        convex, concave, length = true_radii(body)
        traces = [stairs(body, dpi, 7 * number + k) for k, dpi in enumerate((72, 110, 200, 300))]
        traces += [shaken(body, 3e-5, 1e-3, number), shaken(body, 8e-5, 2e-3, number)]
        for points in traces:
            curve = fit_trace(points, closed=True)
            assert curve.corners_m == ()
            assert curve.chain.length == pytest.approx(length, rel=0.0015)
            left = curve.chain.end().heading[0] > curve.chain.start().heading[0]
            for sign, truth in ((1, convex), (-1, concave)):
                stated = radius_range(curve, sign if left else -sign)
                if truth > 0.5:  # nearly straight: no bend that matters
                    continue
                assert stated is not None
                inside.append(stated.low_m <= truth <= stated.high_m)
                errors.append(abs(stated.middle_m / truth - 1.0))
                wide.append((stated.high_m - stated.low_m) / stated.middle_m)
    print(
        f"{len(inside)} radii: {np.mean(inside):.1%} inside, middles off by "
        f"{np.median(errors):.1%} (90 %: {np.quantile(errors, 0.9):.1%}, worst {max(errors):.1%}), "
        f"ranges {np.median(wide):.0%} wide (90 %: {np.quantile(wide, 0.9):.0%})"
    )
    assert len(inside) > 80
    held_against(
        f"{len(inside)} radii of synthetic traces: share of truths inside the stated range",
        source="the bodies the traces were made from",
        printed=1.0,
        ours=float(np.mean(inside)),
        tolerance=0.07,
        why="three standard deviations and what is added to them, on some hundred throws",
    )
    assert np.quantile(errors, 0.9) < 0.08
    assert np.quantile(wide, 0.9) < 0.35
