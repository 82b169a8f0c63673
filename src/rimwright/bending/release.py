"""The side let go: its line, and how far it stands off the mould."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimwright.curves.piece import FloatArray
from rimwright.instrument.outline import Half, RimPiece
from rimwright.instrument.stations import features
from rimwright.sources import Sourced


@dataclass(frozen=True, slots=True, kw_only=True)
class Gap:
    """How far the released side stands off the mould at a named place."""

    #: "lower bout", "waist", "upper bout", "horn", "scoop", "neck end", "horn tip".
    name: str
    s_outer_m: float
    #: Square to the mould's line, positive outside it. [m]
    gap_m: Sourced
    #: Straight from where that place should be to where it is. [m]
    away_m: Sourced


def released_outline(
    rim: RimPiece, s: FloatArray, *, thickness_m: FloatArray, middle_curvature: FloatArray
) -> FloatArray:
    """Where the outside of a released side lies, laid on the outline at its tail end.

    Parameters
    ----------
    rim : RimPiece
        The piece it was meant to be.
    s : ndarray, shape (stations,)
        On the outer line, rising, from its start to its end. [m]
    thickness_m : ndarray, shape (stations,)
        At bending. [m]
    middle_curvature : ndarray, shape (stations,) or (samples, stations)
        What the middle line kept, convex positive. [1/m]

    Returns
    -------
    ndarray, shape (stations, 2) or (samples, stations, 2)
        In body coordinates. [m]

    Notes
    -----
    Only what differs from the outline is integrated, so a side that kept every curvature
    lies on it exactly. Between stations curvature is taken as linear, heading as its
    integral; lengths are the middle line's, which bending does not change.

    Examples
    --------
    An arc of 100 mm that opens to 200 mm over its quarter ends 66 mm away.

    >>> from rimwright.curves.arc import Arc
    >>> from rimwright.curves.chain import Chain
    >>> rim = RimPiece("bass", "main", Chain((Arc((0.0, 0.0), 0.0, 10.0, 0.05 * np.pi),)))
    >>> s = np.linspace(0.0, rim.length, 201)
    >>> at = released_outline(rim, s, thickness_m=np.zeros(201), middle_curvature=np.full(201, 5.0))
    >>> at[-1].round(4).tolist()  # 200 mm × (sin 45°, 1 − cos 45°)
    [0.1414, 0.0586]
    """
    frame = rim.at(s)
    sign = 1.0 if rim.hand == "bass" else -1.0
    shrink = 1.0 - 0.5 * thickness_m * frame.curvature
    # Arc length of the middle line; its heading is the outer line's.
    ds = np.diff(s) * 0.5 * (shrink[1:] + shrink[:-1])
    meant = frame.curvature / shrink
    excess = np.atleast_2d(middle_curvature) - meant
    turned = np.zeros(excess.shape)
    np.cumsum(0.5 * (excess[:, 1:] + excess[:, :-1]) * ds, axis=1, out=turned[:, 1:])
    turned *= sign
    heading = np.unwrap(frame.heading)
    new = heading + turned
    # The step along the middle line, meant and now: the direction is taken at the chord's.
    path = np.zeros((*excess.shape, 2))
    for axis, direction in enumerate((np.cos, np.sin)):
        moved = direction(new) - direction(heading)
        middle = direction(0.5 * (new[:, 1:] + new[:, :-1])) - direction(
            0.5 * (heading[1:] + heading[:-1])
        )
        # Simpson's rule, the middle's heading taken from the ends.
        steps = ds * (moved[:, 1:] + 4.0 * middle + moved[:, :-1]) / 6.0
        np.cumsum(steps, axis=1, out=path[:, 1:, axis])
    # From the outer line to the middle line as meant, along it, and out again as it is.
    outwards = np.stack([np.sin(heading), -np.cos(heading)], axis=-1) * sign
    now = np.stack([np.sin(new), -np.cos(new)], axis=-1) * sign
    half = 0.5 * thickness_m[:, None]
    at = frame.position - half * outwards + path + half * now
    return np.asarray(at[0] if np.ndim(middle_curvature) == 1 else at)


def gap_places(half: Half, rim: RimPiece) -> tuple[tuple[str, float], ...]:
    """Names and stations at which gaps are told, past the end that is laid on. [m]"""
    return tuple(
        (place.name, place.s_m)
        for place in features(half)
        if place.piece == rim.name and place.s_m > 0.0
    )


def gaps_at(
    rim: RimPiece, s: FloatArray, outline: FloatArray, places: tuple[tuple[str, float], ...]
) -> tuple[FloatArray, FloatArray]:
    """Gap square to the mould and distance away at each place. [m]

    Parameters
    ----------
    rim : RimPiece
    s : ndarray, shape (stations,)
    outline : ndarray, shape (samples, stations, 2)
        From `released_outline`.
    places : tuple of (name, station)

    Returns
    -------
    tuple of ndarray, shape (samples, places)
    """
    where = np.array([at for _, at in places])
    frame = rim.at(where)
    index = np.clip(np.searchsorted(s, where), 1, s.size - 1)
    share = (where - s[index - 1]) / np.maximum(s[index] - s[index - 1], 1e-15)
    meant = rim.at(s).position
    off = outline - meant
    there = off[:, index - 1] + share[:, None] * (off[:, index] - off[:, index - 1])
    sign = 1.0 if rim.hand == "bass" else -1.0
    outwards = np.stack([np.sin(frame.heading), -np.cos(frame.heading)], axis=-1) * sign
    return np.sum(there * outwards, axis=-1), np.hypot(there[..., 0], there[..., 1])


def glued_curvature(
    curvature: FloatArray, moments: FloatArray, *, stiffness_pa: float, thickness_m: float
) -> FloatArray:
    """What layers keep that are bent loose, glued on the form, and let go as one. [1/m]

    Parameters
    ----------
    curvature : ndarray
        Of the middle line on the form. [1/m]
    moments : ndarray, shape (layers, ...)
        Stored in each layer at that moment, a width. [N]
    stiffness_pa : float
        Along the grain, firm. [Pa]
    thickness_m : float
        Of all layers together, the glue rigid and without thickness. [m]

    Notes
    -----
    Layers store the sum of their own moments and recoil with the stiffness of the whole. For
    n equal elastic ones that leaves 1 - 1/n² of the curvature (the makers' camber rule).

    Examples
    --------
    >>> each = 10e9 * 0.001**3 / 12.0 * 5.0
    >>> float(glued_curvature(5.0, np.full(4, each), stiffness_pa=10e9, thickness_m=0.004))
    4.6875
    """
    return np.asarray(curvature - np.sum(moments, axis=0) / (stiffness_pa * thickness_m**3 / 12.0))
