"""Curvature fitted to noisy points by penalised least squares: the engine of `trace`.

The unknown is the curvature itself, linear between evenly spaced knots, so that circles and
straight lines cost nothing and tight bends are not flattened as they are by a smoothing
spline of x and y. Everything here is divided by the length of the line, hence the same at
any scale; headings and positions follow by integration.

Smoothing level and noise come from the points together, as the restricted maximum of
likelihood (Patterson and Thompson 1971, recalled) of a random walk of curvature. Makers'
drawings are made of arcs more often than not, whose curvature jumps at the joints and is
even between; the random walk's steps therefore have heavy tails (Student's t with one
degree of freedom, reached by reweighting), which lets single jumps through and stays fair
elsewhere. The evenly weighted walk is kept beside it: where the two disagree, the points
cannot tell, and the range of a radius says so.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import linalg

from rimwright.curves.piece import FloatArray
from rimwright.curves.trace_shape import (
    Pins,
    Shape,
    differences,
    fixed,
    locate,
    moved,
    sensitivity,
)
from rimwright.errors import GeometryError

#: Stretches the points are averaged over, for each stretch between knots, and how many
#: resampled points make a full one.
BINS, FINE = 3, 8
#: Rounds of linearising: with even steps to settle on the line, then reweighted.
_SETTLE, _REWEIGH = 2, 8
#: A step of start, heading or length beyond this, or a scatter beyond this share of the
#: length, is no line found.
_FARTHEST, _WIDEST = 0.5, 0.02


@dataclass(frozen=True)
class Fitted:
    """A shape, what scatter it leaves, and how surely each mean of curvature is known."""

    shape: Shape
    #: Distance of each resampled point to the left of the line.
    residual: FloatArray
    #: Where each of them lies, in [0, 1].
    place: FloatArray
    #: Covariance of the knot curvatures, shape (knots, knots).
    covariance: FloatArray


@dataclass(frozen=True)
class _Trace:
    """What a fit is held to: the points, the whole turn of a closed line, the pinned ends."""

    points: FloatArray
    turn: float
    pins: Pins


@dataclass(frozen=True)
class _Round:
    """One linearised solution: the step, its level and variance, and the knots' covariance."""

    delta: FloatArray
    level: float
    variance: float
    covariance: FloatArray


def solve(
    points: FloatArray, place: FloatArray, shape: Shape, turn: float, pins: Pins
) -> tuple[Fitted, Fitted]:
    """The fit with heavy-tailed steps of curvature, and the one with even steps.

    `place` is a first guess of where each point belongs on `shape`, itself a first guess.

    Raises
    ------
    GeometryError
        If the points do not follow one line.
    """
    try:
        return _solve(_Trace(points, turn, pins), place, shape)
    except np.linalg.LinAlgError as error:
        raise _astray() from error


def _solve(trace: _Trace, place: FloatArray, shape: Shape) -> tuple[Fitted, Fitted]:
    jumps = differences(len(shape.curvature), shape.closed)
    weights = np.ones(len(jumps))
    for _ in range(_SETTLE):
        place, offset = locate(shape, trace.points, place)
        done = _round(trace, shape, place, offset, weights, correlated=False)
        shape = moved(shape, done.delta)
    even = _finish(trace, shape, place, done)
    for _ in range(_REWEIGH):
        place, offset = locate(shape, trace.points, place)
        done = _round(trace, shape, place, offset, weights, correlated=True)
        shape = moved(shape, done.delta)
        step = jumps @ shape.curvature
        weights = 2.0 / (1.0 + step**2 * done.level / done.variance)
        weights /= np.exp(np.mean(np.log(weights)))
    return _finish(trace, shape, place, done), even


def _astray() -> GeometryError:
    return GeometryError(
        "points that do not follow one line",
        "a traced outline",
        "clean the trace of loops and spurs, or trace it again",
    )


def _finish(trace: _Trace, shape: Shape, place: FloatArray, done: _Round) -> Fitted:
    for _ in range(3):  # the exact rows again, until the line closes to rounding
        rows, gap = fixed(shape, trace.turn, trace.pins)
        shape = moved(shape, np.asarray(np.linalg.lstsq(rows, gap, rcond=None)[0]))
    place, offset = locate(shape, trace.points, place)
    if not np.std(offset) < _WIDEST:
        raise _astray()
    return Fitted(shape, offset, place, done.covariance)


def _round(
    trace: _Trace,
    shape: Shape,
    place: FloatArray,
    offset: FloatArray,
    weights: FloatArray,
    *,
    correlated: bool,
) -> _Round:
    """Penalised least squares for the step, in a basis where data and penalty are diagonal."""
    knots, bins = len(shape.curvature), BINS * shape.spans
    which = np.clip((np.mod(place, 1.0) if shape.closed else place) * bins, 0, bins - 1)
    count = np.bincount(which.astype(int), minlength=bins)
    full = count > 0
    mean = np.bincount(which.astype(int), offset, minlength=bins)[full] / count[full]
    root = np.sqrt(np.minimum(count[full] / (len(offset) / bins), 1.5))
    design = sensitivity(shape, (np.flatnonzero(full) + 0.5) / bins) * root[:, None]

    rows, gap = fixed(shape, trace.turn, trace.pins)
    particular = np.linalg.lstsq(rows, gap, rcond=None)[0]
    free = linalg.qr(rows.T)[0][:, len(rows) :]
    target = mean * root - design @ particular
    jumps = differences(knots, shape.closed)
    rough = free[:knots].T @ (jumps.T @ (weights[:, None] * jumps))
    prior = shape.curvature + particular[:knots]
    reduced = design @ free
    normal = reduced.T @ reduced
    size = np.sqrt(np.maximum(np.diag(normal), 1e-300))
    normal = normal / size[:, None] / size + 1e-13 * np.eye(len(size))
    penalty = rough @ free[:knots] / size[:, None] / size
    if not (np.isfinite(normal).all() and np.isfinite(penalty).all()):
        raise _astray()
    mu, vectors = linalg.eigh(penalty, normal)
    mu, vectors = np.maximum(mu, 0.0), vectors / size[:, None]
    seen = _Seen(
        mu,
        vectors.T @ (reduced.T @ target),
        vectors.T @ (rough @ prior),
        float(target @ target),
        float(np.sum(weights * (jumps @ prior) ** 2)),
        len(target),
        # Moving, turning and growing the whole line bend nothing, where the ends allow it.
        len(mu) - (shape.spans - 3 if shape.closed else shape.spans),
    )
    level, variance = _level(seen)
    if correlated:
        excess = _correlation(mean)
        level, variance = level * excess, variance * excess
    shrink = 1.0 / (1.0 + level * mu)
    delta = particular + free @ (vectors @ ((seen.data - level * seen.pull) * shrink))
    if not (np.isfinite(delta).all() and np.abs(delta[-4:]).max() < _FARTHEST):
        raise _astray()
    spread = (free[:knots] @ vectors) * np.sqrt(shrink)
    return _Round(np.asarray(delta), level, variance, variance * (spread @ spread.T))


@dataclass(frozen=True)
class _Seen:
    """A linearised fit in its diagonal basis."""

    mu: FloatArray
    data: FloatArray
    pull: FloatArray
    squares: float
    start: float
    count: int
    free_of_cost: int


def _level(seen: _Seen) -> tuple[float, float]:
    """Smoothing level of the greatest restricted likelihood, and the variance of a bin."""
    mu = seen.mu
    bent = np.maximum(mu[seen.free_of_cost :], 1e-12 * mu[-1])
    levels = 10.0 ** np.linspace(-2.0, 16.0, 145) / mu[-1]
    eta = (seen.data - levels[:, None] * seen.pull) / (1.0 + levels[:, None] * mu)
    left = seen.squares - 2.0 * eta @ seen.data + (eta**2).sum(axis=1)
    rough = seen.start + 2.0 * eta @ seen.pull + (eta**2) @ mu
    total = np.maximum(left + levels * np.maximum(rough, 0.0), 1e-30)
    spend = np.log1p(1.0 / (levels[:, None] * bent)).sum(axis=1)
    known = max(seen.count - seen.free_of_cost, 1)
    best = int(np.argmin(known * np.log(total) + spend))
    return float(levels[best]), float(total[best] / known)


def _correlation(mean: FloatArray) -> float:
    """How much more variance long waves have than neighbours alone would say.

    Pixel stairs and a shaky pencil err in the same direction for several bins; fitted as if
    they erred independently, the line would follow them. One plus twice the sum of the
    correlations up to the first that is not positive.
    """
    mean = mean - mean.mean()
    power = float(mean @ mean) or 1.0
    total = 1.0
    for lag in range(1, min(25, len(mean))):
        share = float(mean[lag:] @ mean[:-lag]) / power
        if share <= 0.0:
            break
        total += 2.0 * share
    return total
