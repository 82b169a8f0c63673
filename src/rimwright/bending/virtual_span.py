"""A strip pushed in between two supports: how its curvature grows before it meets the form."""

from __future__ import annotations

from functools import cache

import numpy as np

from rimwright.curves.piece import FloatArray


def elastica(end_slope: FloatArray, points: int = 64) -> tuple[FloatArray, FloatArray, FloatArray]:
    r"""Half of an elastic strip on two smooth supports, pushed in at the middle.

    Parameters
    ----------
    end_slope : ndarray
        Angle of the strip at the supports to the line between them, 0 to 1.2. [rad]
    points : int, default 64
        Of the Gauss-Legendre rule.

    Returns
    -------
    tuple of ndarray
        Sag over span, curvature under the nose times span, and force of each support times
        span² over stiffness (EI).

    Notes
    -----
    Smooth supports push square to the strip. With ψ the angle from the strip at the support
    and R the force there, :math:`\kappa^2 / 2 = (R / EI) \sin\psi` along the whole half, from
    :math:`EI\,d\kappa/ds = R\cos\psi`: Euler's elastica (the rectangular one, [1]_). The
    integrals over ψ are taken with ψ = u², which has no root at the support.

    References
    ----------
    .. [1] R. Frisch-Fay, Flexible Bars, Butterworths, 1962 (from memory).

    Examples
    --------
    A shallow push follows the beam's formula, curvature 12 × sag / span².

    >>> sag, bend, force = elastica(np.array([0.01]))
    >>> round(float(bend[0] / sag[0]), 2)
    12.0
    """
    slope = np.atleast_1d(np.asarray(end_slope, dtype=np.float64))
    node, weight = np.polynomial.legendre.leggauss(points)
    top = np.sqrt(slope)[:, None]
    u = 0.5 * top * (node + 1.0)
    angle = u**2
    # Per unit of sqrt(EI / R).
    ds = weight * 0.5 * top * 2.0 * u / np.sqrt(2.0 * np.sin(angle))
    heading = slope[:, None] - angle
    half_span = np.sum(np.cos(heading) * ds, axis=1)
    sag = np.sum(np.sin(heading) * ds, axis=1)
    span = 2.0 * half_span
    return sag / span, np.sqrt(2.0 * np.sin(slope)) * span, span**2


@cache
def _table() -> tuple[FloatArray, FloatArray]:
    slope = np.concatenate([[1e-6], np.linspace(0.01, 1.2, 120)])
    sag, bend, _ = elastica(slope)
    return sag, bend


def nose_curvature(sag_m: FloatArray, span_m: float) -> FloatArray:
    """Curvature under the nose of a ram that has pushed a strip in by `sag_m`. [1/m]

    Examples
    --------
    >>> nose_curvature(np.array([0.001, 0.05]), 0.25).round(2).tolist()
    [0.19, 8.19]
    """
    sag, bend = _table()
    return np.interp(np.asarray(sag_m) / span_m, sag, bend) / span_m
