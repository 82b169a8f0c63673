"""The fair curve's numbers: Newton's method on the Lagrangian, in the null space.

Unknowns are the curvature at all nodes, the length of each span and the heading at each
waypoint, in lengths of order one. The constraints say that each span leads from its
waypoint to the next and turns as it must; the null-space step is that of [1]_, ch. 18.

References
----------
.. [1] J. Nocedal and S. J. Wright, Numerical Optimization, 2nd ed. Springer, 2006.
   Cited from memory.
"""

from __future__ import annotations

import numpy as np

from rimwright.curves.fair_problem import Indices, Problem
from rimwright.curves.fair_span import BRICKS, VARIATION, Spans, spans
from rimwright.curves.piece import FloatArray
from rimwright.errors import GeometryError

#: Largest change of heading and of length (as a share) in one step.
_TURN_STEP, _LENGTH_STEP = 0.7, 0.35
_STEPS = 30
_LONGEST = 20.0
_REVISIONS = 10


def solve(problem: Problem, z: FloatArray) -> tuple[FloatArray, float, int]:
    """The unknowns of the fair curve, its variation, and the steps taken."""
    z = z.copy()
    nodes, _, heading = problem.parts(z)
    at_points = nodes[::BRICKS]
    fixed_nodes = ~np.isnan(problem.curvature)
    at_points[fixed_nodes] = problem.curvature[fixed_nodes]
    fixed_heading = ~np.isnan(problem.heading)
    heading[fixed_heading] = problem.heading[fixed_heading]
    fixed = np.zeros(z.size, dtype=bool)
    fixed[: nodes.size : BRICKS] = fixed_nodes
    fixed[z.size - heading.size :] = fixed_heading
    low, high = problem.node_bounds()
    low[fixed[: nodes.size]], high[fixed[: nodes.size]] = -np.inf, np.inf
    held = np.zeros(nodes.size, dtype=bool)
    total = 0
    for _ in range(_REVISIONS):
        free = ~fixed
        free[: nodes.size] &= ~held
        force, variation, steps = _newton(problem, z, np.flatnonzero(free))
        total += steps
        _keep_one_inflection(problem, nodes, low, high)
        beyond = np.where(held, 0.0, np.maximum(low - nodes, nodes - high))
        # The worst first: when they are held their neighbours often come right.
        wrong = (beyond > 1e-9) & (beyond >= 0.3 * beyond.max())
        # Held nodes whose release inwards would lower the variation.
        inward = np.where(nodes <= low + 1e-9, force[: nodes.size], -force[: nodes.size])
        loose = held & (inward < -1e-6)
        if not wrong.any() and not loose.any():
            return z, variation, total
        held = (held | wrong) & ~loose
        nodes[held] = np.clip(nodes[held], low[held], high[held])
    raise _contradiction()


def _keep_one_inflection(
    problem: Problem, nodes: FloatArray, low: FloatArray, high: FloatArray
) -> None:
    """Where a span wavers about its inflection, bound the nodes on both sides of it."""
    for i in np.flatnonzero(problem.inflection):
        inner = slice(i * BRICKS + 1, (i + 1) * BRICKS)
        bend = problem.inflection[i] * nodes[inner]
        if np.all(np.diff(np.sign(bend)) <= 0):
            continue
        # The place to change at which least curvature of the wrong sign is lost.
        early = np.concatenate([[0.0], np.cumsum(np.maximum(-bend, 0.0))])
        late = np.concatenate([np.cumsum(np.maximum(bend, 0.0)[::-1])[::-1], [0.0]])
        before = np.arange(bend.size) < int(np.argmin(early + late))
        left = before if problem.inflection[i] > 0 else ~before
        low[inner] = np.where(left, np.maximum(low[inner], 0.0), low[inner])
        high[inner] = np.where(left, high[inner], np.minimum(high[inner], 0.0))


def _contradiction() -> GeometryError:
    return GeometryError(
        "landmarks that no smooth curve can follow",
        "landmarks that follow each other without a loop or a hook",
        "move the landmarks apart or soften the fixed headings and areas",
    )


def _newton(problem: Problem, z: FloatArray, free: Indices) -> tuple[FloatArray, float, int]:
    """Newton steps in place; gives the forces on all unknowns, the variation, the count."""
    nodes, length, heading = problem.parts(z)
    for step in range(_STEPS):
        local = np.stack([nodes[c[: BRICKS + 1]] for c in problem.columns])
        along = spans(local, length, heading[:-1])
        miss, jacobian, rows = _constraints(problem, z, along)
        gradient, hessian, variation = _variation(problem, z, local, length)
        slim = jacobian[:, free]
        try:
            q, r = np.linalg.qr(slim.T, mode="complete")
            r = r[: len(miss)]
            multipliers = -np.linalg.solve(r, q[:, : len(miss)].T @ gradient[free])
            weights = np.zeros(4 * problem.count)
            weights[rows] = multipliers
            _bend_constraints(problem, z, along, weights.reshape(-1, 4), hessian)
            move = _null_space_step(hessian[np.ix_(free, free)], q, r, gradient[free], miss)
        except np.linalg.LinAlgError:
            raise _contradiction() from None
        full = np.zeros(z.size)
        full[free] = move
        d_nodes, d_length, d_heading = problem.parts(full)
        # How far headings swing within a span in this step, at most.
        swing = np.abs(d_nodes).max() * length.max() + np.abs(d_heading).max()
        stretch = np.abs(d_length / length).max()
        damp = min(1.0, _TURN_STEP / max(swing, 1e-30), _LENGTH_STEP / max(stretch, 1e-30))
        z += damp * full
        # Longer than any sensible way between two landmarks: it is winding up.
        if not np.all(np.isfinite(z)) or length.max() > _LONGEST or length.min() <= 0.0:
            raise _contradiction()
        size = np.abs(full).max()
        if size < 1e-11 or (size < 1e-7 and np.abs(miss).max() < 1e-14):
            return gradient + jacobian.T @ multipliers, variation, step + 1
    raise _contradiction()


def _constraints(
    problem: Problem,
    z: FloatArray,
    along: Spans,
) -> tuple[FloatArray, FloatArray, list[int]]:
    """What each span misses, how that answers to the unknowns, and which rows are kept."""
    _, _, heading = problem.parts(z)
    first_heading = z.size - heading.size
    goal = np.empty((problem.count, 4))
    goal[:, :2] = np.diff(problem.placed(heading), axis=0)
    goal[:, 2] = np.diff(heading)
    goal[:, 3] = problem.area
    miss = (along.value - goal).ravel()
    jacobian = np.zeros((4 * problem.count, z.size))
    for i, column in enumerate(problem.columns):
        block = jacobian[4 * i : 4 * i + 4]
        block[:, column] = along.gradient[i]
        for j, sign in ((i, 1.0), (i + 1, -1.0)):
            arm = sign * problem.radius[j]
            at = first_heading + j
            block[0, at] += arm * np.cos(heading[j])
            block[1, at] += arm * np.sin(heading[j])
            block[2, at] += sign
    rows = [k for k in range(4 * problem.count) if not np.isnan(miss[k])]
    return miss[rows], jacobian[rows], rows


def _variation(
    problem: Problem,
    z: FloatArray,
    local: FloatArray,
    length: FloatArray,
) -> tuple[FloatArray, FloatArray, float]:
    """The variation of curvature, its gradient and second derivatives."""
    gradient, hessian = np.zeros(z.size), np.zeros((z.size, z.size))
    pull = local @ VARIATION
    share = np.einsum("ij,ij->i", local, pull) * BRICKS / length
    for i, column in enumerate(problem.columns):
        at, whole = column[: BRICKS + 1], column[BRICKS + 1]
        first = slice(int(at[0]), int(at[-1]) + 1)
        gradient[first] += 2.0 * BRICKS / length[i] * pull[i]
        gradient[whole] -= share[i] / length[i]
        hessian[first, first] += 2.0 * BRICKS / length[i] * VARIATION
        mixed = -2.0 * BRICKS / length[i] ** 2 * pull[i]
        hessian[first, whole] += mixed
        hessian[whole, first] += mixed
        hessian[whole, whole] += 2.0 * share[i] / length[i] ** 2
    return gradient, hessian, float(share.sum())


def _bend_constraints(
    problem: Problem, z: FloatArray, along: Spans, weights: FloatArray, hessian: FloatArray
) -> None:
    """Add the constraints' second derivatives, weighted by the multipliers."""
    with_area = bool(np.any(~np.isnan(problem.area)))
    local = along.curvature_of(weights, with_area=with_area)
    _, _, heading = problem.parts(z)
    first_heading = z.size - heading.size
    for i, column in enumerate(problem.columns):
        hessian[column[:, None], column] += local[i]
        for j, sign in ((i, 1.0), (i + 1, -1.0)):
            arm = sign * problem.radius[j]
            hessian[first_heading + j, first_heading + j] += arm * (
                weights[i, 1] * np.cos(heading[j]) - weights[i, 0] * np.sin(heading[j])
            )


def _null_space_step(
    hessian: FloatArray, q: FloatArray, r: FloatArray, gradient: FloatArray, miss: FloatArray
) -> FloatArray:
    """Meet the constraints in their range space, lower the variation in their null space."""
    y, z = q[:, : len(miss)], q[:, len(miss) :]
    move = y @ np.linalg.solve(r.T, -miss)
    reduced = z.T @ hessian @ z
    downhill = -z.T @ (gradient + hessian @ move)
    try:
        np.linalg.cholesky(reduced)
        along = np.linalg.solve(reduced, downhill)
    except np.linalg.LinAlgError:
        # Bent the wrong way: follow each direction downhill by its own steepness.
        values, vectors = np.linalg.eigh(reduced)
        steep = np.maximum(np.abs(values), 1e-3 * np.abs(values).max())
        along = vectors @ ((vectors.T @ downhill) / steep)
    return np.asarray(move + z @ along)
