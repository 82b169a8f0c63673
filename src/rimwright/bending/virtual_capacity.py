"""What the wood bears, told in the virtual bend's own strain.

A capacity comes from a published radius at which steamed stock breaks. So that radius is bent
here as well, under the same law, steamed as the publication had it: whatever the law makes of
the neutral axis then stands on both sides of the comparison.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from rimwright.bending.history import FibreHistory
from rimwright.bending.parameters import BendParameters
from rimwright.bending.section import Section
from rimwright.bending.virtual_many import FEW_FIBRES, Timetable, bend_many, conditions
from rimwright.curves.piece import FloatArray
from rimwright.sources import Sourced

#: Stock steamed at atmospheric pressure and bent at once (Stevens & Turner 1970, from
#: memory: air-dry stock of about 25 %, of which steam leaves some; bent within the minute).
_STEAM_C, _STEAM_MOISTURE, _BENT_IN_S = 100.0, 0.22, 60.0
_STEPS = 120


def steamed_stretch(laws: FloatArray, bends: FloatArray) -> FloatArray:
    """Stretch of the tension face of steamed stock, shape (laws, bends).

    Parameters
    ----------
    laws : ndarray, shape (laws, 14)
    bends : ndarray, shape (bends,)
        Thickness times curvature of the middle plane; `Section.bend_for` turns a capacity
        of the bend check into one.

    Examples
    --------
    >>> from rimwright.bending.law import DEFAULT_LAW
    >>> gentle, tight = steamed_stretch(DEFAULT_LAW.vector(), np.array([0.004, 0.08]))[0]
    >>> bool(0.5 > gentle / 0.004 > tight / 0.08)  # under half of each, the tight one farther
    True
    """
    time_s = np.concatenate([np.linspace(0.0, _BENT_IN_S, _STEPS + 1), [_BENT_IN_S]])
    share = np.minimum(time_s / _BENT_IN_S, 1.0)
    table = Timetable(
        time_s=time_s, progress=np.repeat(share[:, None], bends.size, axis=1), release=_STEPS + 1
    )
    steam = FibreHistory(
        time_s=np.array([0.0, _BENT_IN_S]),
        temperature_c=np.full((2, 1), _STEAM_C),
        moisture=np.full((2, 1), _STEAM_MOISTURE),
    )
    # Of any thickness: only its product with the curvature counts.
    thickness = 0.025
    middle = bends / thickness
    done = bend_many(
        laws,
        thickness_m=np.full(bends.size, thickness),
        inside_curvature=middle / (1.0 - 0.5 * thickness * middle),
        timetable=table,
        conditions=conditions([steam], time_s, FEW_FIBRES),
    )
    return done.stretch[:, 1]


def virtual_capacity(capacity: Sourced, laws: FloatArray, parameters: BendParameters) -> FloatArray:
    """Low, middle and high of a capacity in the strain of the virtual bend, shape (laws, 3)."""
    section = Section.of(parameters)
    strains = np.array([capacity.low, capacity.middle, capacity.high])
    return steamed_stretch(laws, section.bend_for(strains))


def as_sourced(capacity: Sourced, own: FloatArray) -> Sourced:
    """A capacity with its values replaced by the virtual bend's."""
    low, middle, high = (float(value) for value in own)
    return replace(
        capacity,
        low=low,
        middle=middle,
        high=high,
        note=f"{capacity.note}; bent steamed under the virtual bend's own law",
    )
