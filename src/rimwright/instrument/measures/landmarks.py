"""An outline from a body's measures: the fairest curve through its landmarks."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from rimwright.curves.chain import Chain
from rimwright.curves.fair import FairCurve, Waypoint, Wish, fair_curve
from rimwright.errors import GeometryError
from rimwright.instrument.design import Landmarks
from rimwright.instrument.measures.cutaway import cutaway_half
from rimwright.instrument.measures.limits import check_measures, name_the_culprit
from rimwright.instrument.outline import Half, Outline, RimPiece

#: Tail and shoulders are never flatter than this share of the ellipse that fits them.
#: Our own choice: below it a rim looks like a straight board let in.
_LEAST_BEND = 0.3


def outline_from_landmarks(landmarks: Landmarks, *, start: FairCurve | None = None) -> Outline:
    """The outline of a body from its length, widths and stations.

    Both halves run smoothly over the tail seam and at the neck. Each width is a true
    extreme and lies exactly at its station. A cutaway is cut from the treble half, which
    is the plain half up to the widest upper bout, or up to the waist where no fair
    line runs from there into the horn.

    Parameters
    ----------
    landmarks : Landmarks
        The measures. [m]
    start : FairCurve, optional
        What `plain_half` gave for measures near these, to start from.

    Raises
    ------
    GeometryError
        If a measure cannot be; the line names it and what would work.

    Examples
    --------
    A ukulele body; the sides are cut from blanks a little longer than this.

    >>> body = Landmarks(body_length_m=0.28, lower_width_m=0.2, lower_station_m=0.07,
    ...     waist_width_m=0.13, waist_station_m=0.165, upper_width_m=0.15,
    ...     upper_station_m=0.225)
    >>> round(outline_from_landmarks(body).bass.main.length, 3)
    0.405
    """
    check_measures(landmarks)
    try:
        plain = plain_half(landmarks, start=start)
    except GeometryError as error:
        raise name_the_culprit(landmarks, _works) from error
    bass = Half("bass", RimPiece("bass", "main", plain.chain))
    if landmarks.cutaway is None:
        treble = Half("treble", RimPiece("treble", "main", plain.chain.mirrored()))
        return Outline(bass=bass, treble=treble, length_m=landmarks.body_length_m)
    main, back, moved = cutaway_half(landmarks, plain)
    treble = Half(
        "treble",
        RimPiece("treble", "main", main.mirrored()),
        None if back is None else RimPiece("treble", "return", back.mirrored()),
        cutaway=landmarks.cutaway.kind,
    )
    assumptions = (
        (
            "no fair line runs from the widest upper bout into this horn, so the upper bout of "
            "the cutaway half was left free from the waist on",
        )
        if moved
        else ()
    )
    return Outline(
        bass=bass, treble=treble, length_m=landmarks.body_length_m, assumptions=assumptions
    )


def plain_half(landmarks: Landmarks, *, start: FairCurve | None = None) -> FairCurve:
    """The half without cutaway, drawn on the bass side from the tail seam to the neck.

    Waypoints are tail, lower bout, waist, upper bout and neck end.

    Raises
    ------
    GeometryError
        If the landmarks make a hook or a loop.
    """
    m = landmarks
    lower, waist, upper = 0.5 * m.lower_width_m, 0.5 * m.waist_width_m, 0.5 * m.upper_width_m
    shoulder = m.body_length_m - m.upper_station_m
    waypoints = [
        Waypoint(position=(0.0, 0.0), heading=-0.5 * np.pi),
        Waypoint(position=(m.lower_station_m, -lower), heading=0.0),
        Waypoint(position=(m.waist_station_m, -waist), heading=0.0),
        Waypoint(position=(m.upper_station_m, -upper), heading=0.0),
        Waypoint(position=(m.body_length_m, 0.0), heading=0.5 * np.pi),
    ]
    wishes = [
        _end_wish(m.lower_station_m, lower, m.tail_fullness),
        Wish(inflection=1),
        Wish(inflection=-1),
        _end_wish(shoulder, upper, m.shoulder_fullness),
    ]
    curve = fair_curve(waypoints, wishes, start=start)
    _check_half(curve.chain)
    return curve


def _end_wish(length: float, half_width: float, fullness: float | None) -> Wish:
    """Convex to the tail or to the neck, and as full as asked."""
    if fullness is not None:
        return Wish(area=(fullness - 0.5) * length * half_width, least=0.0)
    # The flattest place of the ellipse with these half axes.
    ellipse = min(length / half_width**2, half_width / length**2)
    return Wish(least=_LEAST_BEND * ellipse)


def _check_half(chain: Chain) -> None:
    """A half must run from tail to neck without turning back, so it cannot cross itself."""
    frame = chain.at(np.linspace(0.0, chain.length, 400))
    changes = np.diff(np.sign(frame.curvature[np.abs(frame.curvature) > 1e-6]))
    if np.abs(frame.heading).max() > 0.5 * np.pi + 1e-9 or np.count_nonzero(changes) > 2:
        raise GeometryError(
            "landmarks that make a loop or a hook",
            "bouts and waist that follow each other from tail to neck",
            "move the stations apart",
        )


def _works(landmarks: Landmarks) -> bool:
    try:
        check_measures(landmarks)
        plain_half(replace(landmarks, cutaway=None))
    except GeometryError:
        return False
    return True
