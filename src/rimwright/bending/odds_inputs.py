"""What differs from side to side, and what nobody knows: the inputs of the odds, and their draws.

Seven things differ from piece to piece and from bend to bend. The numbers of the law are another
matter: they are the same for every side and merely not known, so a whole block of sides shares
one reading of them, and the spread between blocks is the doubt about the odds.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from scipy.special import ndtri

from rimwright.bending.law import LAW_NAMES, Law
from rimwright.curves.piece import FloatArray
from rimwright.sources import Provenance, Source, Sourced, register

register(
    Source("SOBOL_1967", "Sobol 1967, On the distribution of points in a cube, with the scrambling "
           "of Owen 1995 as scipy.stats.qmc has it", "memory"),
    Source("IEC_60584", "IEC 60584-1: tolerance of type K thermocouples, class 2, 2.5 K", "memory"),
)  # fmt: skip

#: What differs from side to side, in the order of the draws, with a maker's words.
VARIES: dict[str, str] = {
    "thickness": "how evenly it is thicknessed",
    "moisture": "how wet it is",
    "temperature": "how hot the wood is when the probe calls",
    "stiffness": "how stiff the piece is",
    "capacity": "how much the piece bears",
    "curl": "how much curl takes",
    "run-out": "how far the grain runs out",
}
#: What is not known of the wood's softening, moved together.
SOFTENING = "softening"
#: Numbers of the law that are not known; a piece's own stiffness is among what differs.
UNKNOWN: tuple[str, ...] = tuple(name for name in LAW_NAMES if name != "stiffness_pa")
#: Low and high of a range are taken as its 5th and 95th hundredth. [standard deviations]
NINETY = float(ndtri(0.95))
#: Beyond this nothing is drawn: a range says nothing about its far tails. [standard deviations]
_FARTHEST = 2.3

#: Standard deviation of a side's thickness about what was aimed at. [m]
THICKNESS_SPREAD_M = Sourced(
    middle=0.04e-3,
    low=0.02e-3,
    high=0.08e-3,
    provenance=Provenance.ASSUMED,
    note="scraped and sanded to callipers, nine in ten within 2.6 thou",
)
#: Standard deviation of the grain's slope about the stated one. [rad]
RUN_OUT_SPREAD_RAD = Sourced(
    middle=0.026,
    low=0.010,
    high=0.050,
    provenance=Provenance.ASSUMED,
    note="1.5 degrees: what the eye misses on a quartered board",
)
#: Half of what the probe may be off by. [K]
PROBE_SPREAD_K = Sourced(
    middle=1.25,
    low=0.5,
    high=2.5,
    provenance=Provenance.PUBLISHED,
    source="IEC_60584",
    note="class 2, its tolerance taken as two standard deviations",
)
#: Standard deviation of the shop's humidity about the stated one. [fraction]
HUMIDITY_SPREAD = Sourced(
    middle=0.05, low=0.02, high=0.10, provenance=Provenance.ASSUMED, note="an unwatched shop"
)


def reading(value: Sourced, deviate: FloatArray) -> FloatArray:
    """Values of a range at normal deviates: its low and high at 1 in 20 on each side.

    Equal ratios above and below the middle where all are positive, else equal steps.

    Examples
    --------
    >>> share = Sourced(middle=0.12, low=0.06, high=0.24, provenance=Provenance.ASSUMED)
    >>> reading(share, np.array([-NINETY, 0.0, NINETY])).round(3).tolist()
    [0.06, 0.12, 0.24]
    """
    away = np.clip(deviate, -_FARTHEST, _FARTHEST) / NINETY
    if value.low > 0.0:
        up, down = np.log(value.high / value.middle), np.log(value.middle / value.low)
        return np.asarray(value.middle * np.exp(np.where(away > 0.0, up, down) * away))
    up, down = value.high - value.middle, value.middle - value.low
    return np.maximum(value.middle + np.where(away > 0.0, up, down) * away, value.low)


@dataclass(frozen=True, slots=True)
class Draw:
    """Normal deviates of a number of sides."""

    #: A column for each of `VARIES`, shape (sides, 7).
    varies: FloatArray
    #: A column for each of `UNKNOWN`, shape (sides, 13).
    unknown: FloatArray
    #: About the wood's class, shape (sides,).
    doubt: FloatArray

    def with_column(self, name: str, other: Draw) -> Draw:
        """The same, one input taken from another draw."""
        if name == SOFTENING:
            return Draw(self.varies, other.unknown, other.doubt)
        varies = self.varies.copy()
        column = list(VARIES).index(name)
        varies[:, column] = other.varies[:, column]
        return Draw(varies, self.unknown, self.doubt)

    def of(self, name: str) -> FloatArray:
        """The deviates of one thing that differs."""
        return self.varies[:, list(VARIES).index(name)]


@lru_cache(maxsize=8)
def _sobol(dimensions: int, points: int, entropy: tuple[int, ...]) -> FloatArray:
    """Scrambled Sobol points as normal deviates, shape (points, dimensions)."""
    # Half a second of imports: only when odds are asked for.
    from scipy.stats import qmc

    power = max(int(np.ceil(np.log2(points))), 0)
    seed = np.random.default_rng(np.random.SeedSequence(entropy))
    found = qmc.Sobol(dimensions, scramble=True, rng=seed).random_base2(power)[:points]
    return np.asarray(ndtri(np.clip(found, 1e-9, 1.0 - 1e-9)))


def block_draw(seed: int, block: int, blocks: int, size: int) -> Draw:
    """Sides of one block: each its own, all with one reading of what is not known."""
    varies = _sobol(len(VARIES), size, (seed, 1, block))
    unknown = _sobol(len(UNKNOWN) + 1, blocks, (seed, 2))[block]
    return Draw(
        varies,
        np.broadcast_to(unknown[:-1], (size, len(UNKNOWN))),
        np.full(size, unknown[-1]),
    )


def paired_draws(seed: int, block: int, size: int) -> tuple[Draw, Draw]:
    """Two draws of one block with nothing shared, as the shares of variance need them."""
    each = len(VARIES) + len(UNKNOWN) + 1
    points = _sobol(2 * each, size, (seed, 3, block))

    def draw(half: FloatArray) -> Draw:
        return Draw(half[:, : len(VARIES)], half[:, len(VARIES) : -1], half[:, -1])

    return draw(points[:, :each]), draw(points[:, each:])


def laws_of(law: Law, draw: Draw) -> FloatArray:
    """Vectors of the law for every side, shape (sides, 14)."""
    columns = []
    for name in LAW_NAMES:
        value: Sourced = getattr(law, name)
        if name == "stiffness_pa":
            columns.append(reading(value, draw.of("stiffness")))
        elif value.low == value.high:
            columns.append(np.full(draw.doubt.size, value.middle))
        else:
            columns.append(reading(value, draw.unknown[:, UNKNOWN.index(name)]))
    return np.ascontiguousarray(np.stack(columns, axis=1))
