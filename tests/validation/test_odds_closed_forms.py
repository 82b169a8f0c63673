"""The odds' own arithmetic against closed forms and published values."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy import stats

from rimwright.bending.odds_fragility import chance
from rimwright.bending.odds_indices import mean_interval, variance_shares, wilson
from rimwright.bending.odds_inputs import block_draw

LOGNORMAL = "lognormal demand and capacity: P = Φ(ln(demand/capacity) / √(a² + b²))"
ISHIGAMI = "Ishigami & Homma 1990 with a = 7, b = 0.1, from memory: closed form of the indices"


@pytest.mark.parametrize(
    ("demand", "spread", "fragile"), [(0.6, 0.12, 0.20), (0.85, 0.20, 0.25), (1.1, 0.10, 0.15)]
)
def test_sampled_chance_is_that_of_two_lognormals(
    held_against: Callable[..., None], demand: float, spread: float, fragile: float
) -> None:
    found = []
    for block in range(32):
        drawn = block_draw(5, block, 32, 32).of("thickness")
        found.append(chance(demand * np.exp(spread * drawn), 1.0, fragile).mean())
    held_against(
        f"chance of a crack, median demand {demand:g} of capacity, spreads {spread:g}, {fragile:g}",
        source=LOGNORMAL,
        printed=float(stats.norm.cdf(np.log(demand) / np.hypot(spread, fragile))),
        ours=float(np.mean(found)),
        tolerance=1e-3,
        why="1024 quasi-random sides",
    )


def ishigami(x: np.ndarray) -> np.ndarray:
    return np.asarray(
        np.sin(x[..., 0]) + 7.0 * np.sin(x[..., 1]) ** 2 + 0.1 * x[..., 2] ** 4 * np.sin(x[..., 0])
    )


def test_shares_of_variance_are_those_of_ishigami(held_against: Callable[..., None]) -> None:
    blocks, size = 16, 8192
    points = np.array(
        [
            stats.qmc.Sobol(6, rng=np.random.default_rng([3, block])).random_base2(13)
            for block in range(blocks)
        ]
    )
    drawn = np.pi * (2.0 * points - 1.0)
    one, other = drawn[..., :3], drawn[..., 3:]
    swapped = np.empty((blocks, 3, size))
    for i in range(3):
        mixed = one.copy()
        mixed[..., i] = other[..., i]
        swapped[:, i] = ishigami(mixed)
    first, total = variance_shares(ishigami(one), ishigami(other), swapped)
    for i, (printed, whole) in enumerate(((0.3139, 0.5576), (0.4424, 0.4424), (0.0, 0.2437))):
        for name, value, ours in (("S", printed, first[i]), ("T", whole, total[i])):
            held_against(
                f"Ishigami's {name}{i + 1}",
                source=ISHIGAMI,
                printed=value,
                ours=ours.value,
                tolerance=3e-3,
                why="16 × 8192 quasi-random pairs; printed to four digits",
            )
            assert ours.low - 1e-3 <= value <= ours.high + 1e-3


@pytest.mark.parametrize(("cracked", "of"), [(0, 40), (7, 100), (512, 1024), (99, 99)])
def test_interval_of_a_count(held_against: Callable[..., None], cracked: int, of: int) -> None:
    ours = wilson(cracked, of)
    theirs = stats.binomtest(cracked, of).proportion_ci(0.95, method="wilson")
    for name, value, printed in (("low", ours.low, theirs.low), ("high", ours.high, theirs.high)):
        held_against(
            f"95 % interval of {cracked} in {of}, {name}",
            source="scipy.stats.binomtest, Wilson's interval",
            printed=float(printed),
            ours=value,
            tolerance=1e-12,
            why="the same formula",
        )


def test_interval_of_a_mean_is_students() -> None:
    values = np.random.default_rng(1).normal(0.1, 0.03, 24)
    ours = mean_interval(values)
    theirs = stats.t.interval(0.95, 23, loc=values.mean(), scale=stats.sem(values))
    assert (ours.low, ours.high) == pytest.approx(theirs, rel=1e-12)
