"""What a strip bent home stores, and how hard its tip pushes when a clamp lets go."""

from __future__ import annotations

import numpy as np

from rimwright.curves.piece import FloatArray
from rimwright.tooling.bundle import Job


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
    job: Job, distance: float, stiffness: float, least_radius: float = 0.0
) -> tuple[float, float, float]:
    r"""Energy a strip gives back when it is let go, and the force of its ends before that.

    Parameters
    ----------
    job : Job
        The side it is bent with.
    distance : float
        How far inside that line the strip's middle lies. [m]
    stiffness : float
        E I of the strip. [N m²]
    least_radius : float, default 0
        Radius at which its faces reach yield; what goes beyond is not given back. [m]

    Returns
    -------
    float, float, float
        Energy [J], force at the tail (the horn tip of a return piece) and at the neck end [N].

    Notes
    -----
    Energy :math:`\int M^2 / (2 E I)\, ds` along the strip [1]_. The force is the least, square
    to the strip at its end, that keeps it on the form all round the first bend: the
    greatest of moment over arm, the arm taken along the end's direction and the bend
    followed to where it ends or has turned a quarter circle. A wide strip is a tenth stiffer
    than this (it bends as a plate), which is left out; friction holds some of it back.

    References
    ----------
    .. [1] J. M. Gere and S. P. Timoshenko, Mechanics of Materials, the chapter on strain
       energy of bending (from memory).
    """
    rim = job.samples
    stretch = 1.0 - distance * rim.curvature
    moment = stored_moment(rim.curvature / stretch, stiffness, least_radius)
    energy = float(rim.weight @ (moment**2 * stretch)) / (2.0 * stiffness)
    along = rim.position @ rim.tangent[[0, -1]].T
    arms = job.tail_room_m + along[:, 0] - along[0, 0], job.neck_room_m + along[-1, 1] - along[:, 1]
    forces = [
        _holding(*(row[::step] for row in (moment, arm, rim.curvature, rim.heading)))
        for arm, step in zip(arms, (1, -1), strict=True)
    ]
    return energy, forces[0], forces[1]


def _holding(
    moment: FloatArray, arm: FloatArray, curvature: FloatArray, heading: FloatArray
) -> float:
    """Force at an end that keeps the first bend after it on the form. [N]"""
    one_way = np.sign(curvature) == np.sign(curvature[0])
    quarter = np.abs(heading - heading[0]) <= 0.5 * np.pi
    held = np.logical_and.accumulate(one_way & quarter)
    return float((moment[held] / arm[held]).max(initial=0.0))
