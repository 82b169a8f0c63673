"""The fair curve: through given landmarks with the least variation of curvature.

Among the curves through the landmarks it is the one with the least integral of
``(d curvature / d s)**2`` along its length, the minimum-variation curve of [1]_. A circle
varies not at all, so arcs come back as arcs; elsewhere curvature is spread as evenly as
the landmarks let it, without lumps. Between two landmarks it is a run of clothoid bricks
whose curvature is continuous, also across the landmarks.

References
----------
.. [1] H. P. Moreton and C. H. Séquin, "Functional optimization for fair surface design,"
   Computer Graphics (Proc. SIGGRAPH), vol. 26, no. 2, 1992, pp. 167-176, whose measure for
   curves is this integral. Cited from memory; the bricks and the solution are our own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rimwright.curves.chain import Chain
from rimwright.curves.clothoid import Clothoid
from rimwright.curves.fair_problem import Problem
from rimwright.curves.fair_solve import solve
from rimwright.curves.fair_span import BRICKS, WEIGHTS, spans
from rimwright.curves.piece import FloatArray
from rimwright.errors import GeometryError


@dataclass(frozen=True, slots=True, kw_only=True)
class Waypoint:
    """A place the fair curve goes through, or a circle it runs into."""

    #: The point; with a `radius` the centre of a circle touched anywhere. [m]
    position: tuple[float, float]
    #: Direction there, counted on from the waypoint before (no whole turns off). [rad]
    heading: float | None = None
    #: Fixed curvature there, left positive. [1/m]
    curvature: float | None = None
    #: Of a circle to run into, positive if it turns left. [m]
    radius: float | None = None
    #: Where to start looking for a free heading. [rad]
    heading_guess: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What is asked of the stretch between two waypoints."""

    #: Area between the stretch and its chord, positive where it bows to the right. [m²]
    area: float | None = None
    #: Bounds of the curvature, left positive, at the bricks' ends and so throughout. [1/m]
    least: float = -np.inf
    most: float = np.inf
    #: 1: bends left, then right, and changes once only; -1: right, then left; 0: as it likes.
    inflection: int = 0


@dataclass(frozen=True)
class FairCurve:
    """The curve found, and what a next solution near it can start from."""

    chain: Chain
    #: Integral of the squared rate of curvature. [1/m³]
    variation: float
    #: Newton steps taken.
    steps: int
    #: Curvature at the nodes times scale, lengths over scale, headings at the waypoints.
    unknowns: FloatArray

    def span(self, first: int, last: int) -> Chain:
        """The stretch from waypoint `first` to waypoint `last`."""
        return Chain(self.chain.pieces[first * BRICKS : last * BRICKS])


def fair_curve(
    waypoints: Sequence[Waypoint],
    wishes: Sequence[Wish] = (),
    *,
    start: FairCurve | None = None,
) -> FairCurve:
    """The fairest curve through waypoints, in the order given.

    Parameters
    ----------
    waypoints : sequence of Waypoint
        Two at least. Positions and fixed headings are met to 1e-12 m and rad.
    wishes : sequence of Wish
        One for each stretch between waypoints, or none.
    start : FairCurve, optional
        A solution through waypoints near these, to start from.

    Raises
    ------
    GeometryError
        If no such curve is found: the landmarks contradict each other.

    Examples
    --------
    A quarter turn between ends that fit a circle is that circle, here of 50 mm.

    >>> import numpy as np
    >>> ends = [Waypoint(position=(0.0, 0.0), heading=0.0),
    ...         Waypoint(position=(0.05, 0.05), heading=np.pi / 2)]
    >>> round(1e3 / fair_curve(ends).chain.curvature_range()[1], 6)
    50.0
    """
    wishes = wishes or [Wish()] * (len(waypoints) - 1)
    points = np.array([waypoint.position for waypoint in waypoints], dtype=np.float64)
    gaps = np.hypot(*np.diff(points, axis=0).T)
    if len(waypoints) < 2 or gaps.min() <= 0.0 or not np.all(np.isfinite(points)):
        raise GeometryError(
            "landmarks that coincide", "at least two landmarks, apart from each other", "move one"
        )
    scale = float(gaps.mean())
    problem = Problem(
        points / scale,
        np.array([waypoint.radius or 0.0 for waypoint in waypoints]) / scale,
        np.array([np.nan if w.area is None else w.area / scale**2 for w in wishes]),
        np.array([[wish.least, wish.most] for wish in wishes], dtype=np.float64) * scale,
        np.array([wish.inflection for wish in wishes], dtype=np.float64),
        np.array([np.nan if w.heading is None else w.heading for w in waypoints]),
        np.array([np.nan if w.curvature is None else w.curvature * scale for w in waypoints]),
    )
    guess = np.array([np.nan if w.heading_guess is None else w.heading_guess for w in waypoints])
    if start is not None and start.unknowns.size == problem.size:
        unknowns = start.unknowns
    else:
        unknowns = first_guess(problem, guess)
    unknowns, variation, steps = solve(problem, unknowns)
    return FairCurve(_chain(problem, unknowns, scale), variation / scale**3, steps, unknowns)


def first_guess(problem: Problem, guess: FloatArray) -> FloatArray:
    """Curvature and length of cubics through the landmarks."""
    heading = np.where(np.isnan(problem.heading), guess, problem.heading)
    placed = problem.placed(np.where(np.isnan(heading), 0.0, heading))
    chords = np.diff(placed, axis=0)
    direction = np.unwrap(np.arctan2(chords[:, 1], chords[:, 0]))
    known = np.flatnonzero(~np.isnan(heading))
    if known.size:
        # Chord directions continue from the nearest heading that is known.
        near = heading[known[0]]
        direction += 2.0 * np.pi * np.round((near - direction[max(known[0] - 1, 0)]) / (2 * np.pi))
    last = len(heading) - 1
    for i in range(1, last):
        if np.isnan(heading[i]):
            heading[i] = 0.5 * (direction[i - 1] + direction[i])
    if np.isnan(heading[0]):
        heading[0] = 2.0 * direction[0] - heading[1] if last > 1 else direction[0]
    if np.isnan(heading[last]):
        heading[last] = 2.0 * direction[-1] - heading[last - 1]
    placed = problem.placed(heading)
    chord = np.hypot(*np.diff(placed, axis=0).T)
    turn = np.clip(np.diff(heading), -3.0, 3.0)
    reach = chord / (3.0 * np.cos(turn / 4.0) ** 2)
    unit = np.column_stack([np.cos(heading), np.sin(heading)])
    a, d = placed[:-1, None], placed[1:, None]
    b = a + (reach[:, None] * unit[:-1])[:, None]
    c = d - (reach[:, None] * unit[1:])[:, None]
    t = np.linspace(0.0, 1.0, BRICKS + 1)[None, :, None]
    first = 3.0 * ((1 - t) ** 2 * (b - a) + 2 * t * (1 - t) * (c - b) + t**2 * (d - c))
    second = 6.0 * ((1 - t) * (c - 2 * b + a) + t * (d - 2 * c + b))
    speed = np.maximum(np.hypot(first[..., 0], first[..., 1]), 1e-3 * chord[:, None])
    bend = (first[..., 0] * second[..., 1] - first[..., 1] * second[..., 0]) / speed**3
    bend = np.clip(bend, -8.0 / chord[:, None], 8.0 / chord[:, None])
    length = 0.5 * (speed[:, :-1] + speed[:, 1:]).mean(axis=1)
    nodes = np.zeros(len(chord) * BRICKS + 1)
    for i, row in enumerate(bend):
        nodes[i * BRICKS : (i + 1) * BRICKS + 1] += row
    nodes[BRICKS:-1:BRICKS] *= 0.5
    return np.concatenate([nodes, length, heading])


def _chain(problem: Problem, unknowns: FloatArray, scale: float) -> Chain:
    """The bricks, each span starting exactly at its waypoint."""
    nodes, length, heading = problem.parts(unknowns)
    placed = problem.placed(heading) * scale
    local = np.stack([nodes[i * BRICKS : (i + 1) * BRICKS + 1] for i in range(problem.count)])
    along = spans(local, length, heading[:-1])
    brick = length * scale / BRICKS
    steps = np.stack([along.cosine, along.sine], axis=-1) * WEIGHTS[:, None]
    moves = (
        steps.reshape(problem.count, BRICKS, -1, 2).sum(axis=2) * (length * scale)[:, None, None]
    )
    starts = placed[:-1, None] + np.cumsum(moves, axis=1) - moves
    turns = 0.5 * (local[:, :-1] + local[:, 1:]) * (length / BRICKS)[:, None]
    toward = heading[:-1, None] + np.cumsum(turns, axis=1) - turns
    bends = local / scale
    return Chain(
        tuple(
            Clothoid(
                (float(starts[i, j, 0]), float(starts[i, j, 1])),
                float(toward[i, j]),
                float(bends[i, j]),
                float(bends[i, j + 1]),
                float(brick[i]),
            )
            for i in range(problem.count)
            for j in range(BRICKS)
        )
    )
