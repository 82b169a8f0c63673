"""What a strip bent home stores, and how hard its tip pushes when a clamp lets go."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimwright.curves.arc import Arc
from rimwright.curves.piece import FloatArray
from rimwright.tooling.bundle import Job

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(8)
#: Longest panel of the integration over pieces whose curvature varies. [m]
_PANEL_M = 0.015


@dataclass(frozen=True, slots=True)
class BentLine:
    """The outer line read at the nodes of an integration along it."""

    #: Share of the outer line that each node stands for, shape (n,). [m]
    weight: FloatArray
    #: Convex positive, shape (n,). [1/m]
    curvature: FloatArray
    #: How far the line has turned from its start, shape (n,). [rad]
    turn: FloatArray
    #: Distance past the tip along the tip's own direction, shape (n,). [m]
    arm: FloatArray

    @classmethod
    def of(cls, job: Job) -> BentLine:
        """Read the job's rim; the tip is the tail end (the horn tip of a return piece)."""
        chain = job.rim.chain
        s, weight = [], []
        for station, piece in zip(chain.stations, chain.pieces, strict=False):
            panels = 1 if isinstance(piece, Arc) else int(np.ceil(piece.length / _PANEL_M))
            half = 0.5 * piece.length / panels
            middles = station + half * (2.0 * np.arange(panels) + 1.0)
            s.append((middles[:, None] + half * _NODES).ravel())
            weight.append(np.tile(half * _WEIGHTS, panels))
        frame = chain.at(np.concatenate(s))
        start = chain.start()
        along = (frame.position - start.position[0]) @ start.tangent[0]
        return cls(
            weight=np.concatenate(weight),
            curvature=frame.curvature,
            turn=frame.heading - start.heading[0],
            arm=along + job.tail_room_m,
        )


def stored_moment(curvature: FloatArray, stiffness: float, least_radius: float) -> FloatArray:
    r"""Bending moment in a strip at each curvature, elastic to its yield and level beyond.

    Parameters
    ----------
    curvature : array-like
        Of its middle line. [1/m]
    stiffness : float
        E I. [N m²]
    least_radius : float
        Where its faces reach yield; 0 for a strip that never does. [m]

    Returns
    -------
    array-like
        [N m]

    Notes
    -----
    With :math:`\kappa_y` the curvature at yield, :math:`M = E I \kappa` up to it and
    :math:`\tfrac32 E I \kappa_y (1 - \tfrac13 (\kappa_y/\kappa)^2)` beyond, for a rectangular
    section without hardening [1]_.

    References
    ----------
    .. [1] J. M. Gere and S. P. Timoshenko, Mechanics of Materials, the chapters on bending and
       on inelastic bending (from memory).

    Examples
    --------
    Twice the curvature at yield carries 1.375 times the moment at yield.

    >>> stored_moment(np.array([100.0, 200.0]), 0.01, 0.01).tolist()
    [1.0, 1.375]
    """
    bend = np.abs(curvature)
    at_yield = np.inf if least_radius <= 0.0 else 1.0 / least_radius
    ratio = np.minimum(at_yield / np.maximum(bend, 1e-9), 1.0)
    full = 1.5 * np.minimum(at_yield, bend) * (1.0 - ratio**2 / 3.0)
    return np.asarray(stiffness * np.where(bend <= at_yield, bend, full))


def spring(
    line: BentLine, distance: float, stiffness: float, least_radius: float = 0.0
) -> tuple[float, float]:
    r"""Energy a strip gives back when it is let go, and the force its tip pushes with before.

    Parameters
    ----------
    line : BentLine
        The outer line of the side it is bent with.
    distance : float
        How far inside that line the strip's middle lies. [m]
    stiffness : float
        E I of the strip. [N m²]
    least_radius : float, default 0
        Radius at which its faces reach yield; what goes beyond is not given back. [m]

    Returns
    -------
    float, float
        Energy [J] and force [N].

    Notes
    -----
    Energy :math:`\int M^2 / (2 E I)\, ds` along the strip [1]_. The force is the least, square
    to the strip at its tip, that keeps it on the form all round the first bend: the
    greatest of moment over arm, the arm taken along the tip's direction and the bend
    followed to where it ends or has turned a quarter circle. A wide strip is a tenth stiffer
    than this (it bends as a plate), which is left out; friction holds some of it back.

    References
    ----------
    .. [1] J. M. Gere and S. P. Timoshenko, Mechanics of Materials, the chapter on strain
       energy of bending (from memory).
    """
    stretch = 1.0 - distance * line.curvature
    moment = stored_moment(line.curvature / stretch, stiffness, least_radius)
    energy = float(((moment**2) * stretch * line.weight).sum() / (2.0 * stiffness))
    one_way = np.sign(line.curvature) == np.sign(line.curvature[0])
    held = np.logical_and.accumulate(one_way & (np.abs(line.turn) <= 0.5 * np.pi))
    force = float((moment[held] / line.arm[held]).max(initial=0.0))
    return energy, force
