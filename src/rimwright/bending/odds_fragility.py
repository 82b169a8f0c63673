"""How likely wood is to break at a given stretch: a lognormal fragility."""

from __future__ import annotations

from dataclasses import dataclass
from math import log

import numpy as np
from scipy.special import ndtr

from rimwright.bending.capacity import capacity, lowered
from rimwright.bending.odds_inputs import NINETY, RUN_OUT_SPREAD_RAD, reading
from rimwright.bending.parameters import BendParameters
from rimwright.bending.section import Section
from rimwright.bending.virtual_capacity import steamed_stretch, virtual_capacity
from rimwright.curves.piece import FloatArray
from rimwright.sources import Sourced
from rimwright.wood.species import Wood


@dataclass(frozen=True, kw_only=True)
class Fragility:
    """Median and spread of what a wood bears, wet and hot, and what lowers it.

    Firm wood bears less: the virtual bend counts a stretch by how firm the wood was when it was
    stretched, so one median serves every state.
    """

    #: Thickness over radius at which half the straight, plain pieces break, steamed.
    median_bend: float
    #: Standard deviation of the logarithm, from piece to piece.
    spread: float
    #: The same, for what is not known of the wood's class.
    doubt: float
    #: Change of the stretch's logarithm with that of the capacity.
    slope: float
    #: What curl leaves.
    figure_left: Sourced
    #: Stated slope of the grain, and strain borne across over that along.
    grain_angle_rad: float
    cross_grain: float
    #: What the capacity rests on.
    note: str

    def medians(self, laws: FloatArray) -> FloatArray:
        """Stretch at which half break, under each law, shape (laws,)."""
        return steamed_stretch(laws, np.array([self.median_bend]))[:, 0]

    def left(self, curl: FloatArray, run_out: FloatArray) -> FloatArray:
        """What curl and run-out leave of the capacity at normal deviates of both."""
        angle = self.grain_angle_rad + RUN_OUT_SPREAD_RAD.middle * run_out
        along = np.cos(angle) ** 2
        of_grain = 1.0 / (along + (1.0 - along) / self.cross_grain)
        return reading(self.figure_left, curl) * of_grain


def fragility_of(
    wood: Wood,
    parameters: BendParameters,
    law_vector: FloatArray,
    *,
    figure: str | None,
    grain_angle_rad: float | None,
) -> Fragility:
    """The fragility of a wood, from the same capacity as the bend check's.

    Examples
    --------
    >>> from rimwright.bending.law import law_of
    >>> from rimwright.bending.parameters import DEFAULT
    >>> from rimwright.wood.catalogue import find
    >>> ash = find("European ash")
    >>> fragile = fragility_of(
    ...     ash, DEFAULT, law_of(ash).vector(), figure=None, grain_angle_rad=None
    ... )
    >>> round(fragile.spread / fragile.slope, 3), fragile.doubt
    (0.2, 0.0)
    """
    bears = capacity(wood, parameters)
    low, _, high = virtual_capacity(bears, law_vector, parameters)[0]
    slope = log(high / low) / log(bears.high / bears.low)
    whole = log(high / low) / (2.0 * NINETY)
    spread = slope * parameters.capacity_spread.middle
    bend = Section.of(parameters).bend_for(np.array([bears.middle]))
    return Fragility(
        median_bend=float(bend[0]),
        spread=spread,
        doubt=float(np.sqrt(max(whole**2 - spread**2, 0.0)).round(12)),
        slope=slope,
        figure_left=parameters.figure_left[figure or "plain"],
        grain_angle_rad=grain_angle_rad or 0.0,
        cross_grain=parameters.cross_grain.middle,
        note=bears.note,
    )


def chance(stretch: FloatArray, median: FloatArray | float, spread: float) -> FloatArray:
    """Chance that a piece breaks at a stretch, if capacities are lognormal.

    Examples
    --------
    >>> chance(np.array([0.02, 0.03]), 0.03, 0.2).round(3).tolist()
    [0.021, 0.5]
    """
    return np.asarray(ndtr(np.log(stretch / median) / spread))


def what_lowers(
    parameters: BendParameters, figure: str | None, grain_angle_rad: float | None
) -> tuple[str, ...]:
    """What lowers the capacity, in words."""
    return lowered(parameters, figure=figure, grain_angle_rad=grain_angle_rad)[1]
