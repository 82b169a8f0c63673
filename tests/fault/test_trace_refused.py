"""Polylines no body ever was: a curve or one line of refusal, never another error."""

from __future__ import annotations

import numpy as np
import pytest

from rimwright.curves.trace import fit_trace, radius_range, smallest_radius_over
from rimwright.errors import GeometryError


def scribble(kind: str, seed: int) -> np.ndarray:
    rng = np.random.default_rng(seed)
    t = np.linspace(0.0, 1.0, int(rng.integers(9, 2000)))
    ring = np.column_stack([np.cos(2.0 * np.pi * t), np.sin(2.0 * np.pi * t)])
    match kind:
        case "noise":
            return rng.normal(size=(len(t), 2))
        case "walk":
            return np.cumsum(rng.normal(size=(len(t), 2)), axis=0)
        case "spiral":
            return np.column_stack([t * np.cos(40.0 * t), t * np.sin(40.0 * t)])
        case "back":
            return np.column_stack([np.abs(t - 0.5), 0.0 * t])
        case "straight":
            return np.column_stack([t, 0.0 * t])
        case "tiny":
            return ring * 1e-9
        case "huge":
            return ring * 1e9
        case "flat":
            return np.round(ring * [1.0, 0.02], 2)
        case "two places":
            return np.eye(2)[rng.integers(0, 2, len(t))]
        case _:
            return np.repeat(ring[:: max(1, len(t) // 7)], 5, axis=0)


KINDS = ("noise", "walk", "spiral", "back", "straight", "tiny", "huge", "flat", "two places", "few")


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("closed", [True, False])
def test_a_scribble_is_fitted_or_refused(kind: str, closed: bool) -> None:
    for seed in range(3):
        try:
            curve = fit_trace(scribble(kind, seed), closed=closed)
        except GeometryError as refusal:
            line = str(refusal)
            assert "next: " in line
            continue
        assert np.isfinite(curve.chain.length)
        for sign in (1, -1):
            stated = radius_range(curve, sign)
            assert stated is None or stated.low_m < stated.middle_m < stated.high_m
            assert smallest_radius_over(curve.chain, sign, closed=closed)[0] > 0.0
