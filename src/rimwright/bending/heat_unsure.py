"""Everything that is unsure in the heat, as standard deviates: zero is the middle of each range.

A range is taken to hold nine in ten, so its ends lie 1.645 standard deviations from its middle,
by equal ratios above and by equal ratios below.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from rimwright.bending.heat_inputs import HeatInputs, case_of
from rimwright.bending.heat_ranges import MOVED
from rimwright.bending.heat_solve import Case
from rimwright.curves.piece import FloatArray
from rimwright.sources import Sourced

#: Low and high of a range lie this far from its middle. [standard deviations]
NINETY = 1.645
#: Beyond this a fit need not look: a range says nothing about its far tails. [standard deviations]
FARTHEST = 3.0
#: Water on the faces is worked out here and read between. [standard deviations]
_FILM_NODES = np.array([-3.0, -2.0, -1.0, 0.0, 1.0, 2.0, 3.0])


def at_deviate(value: Sourced, deviate: float) -> float:
    """The value at a standard deviate of its range.

    Examples
    --------
    >>> from rimwright.bending.heat_parameters import DEFAULT_HEAT
    >>> round(at_deviate(DEFAULT_HEAT.power_share, NINETY), 3)
    1.05
    """
    z = deviate / NINETY
    end = value.high if z > 0.0 else value.low
    if value.low > 0.0:
        return float(value.middle * (end / value.middle) ** abs(z))
    return max(value.middle + abs(z) * (end - value.middle), value.low)


def deviate_of(value: Sourced, at: float) -> float:
    """The standard deviate at which a range of ratios has that value; the inverse of the above.

    Examples
    --------
    >>> from rimwright.bending.heat_parameters import DEFAULT_HEAT
    >>> round(deviate_of(DEFAULT_HEAT.power_share, 0.85), 3)
    -1.645
    """
    end = value.high if at > value.middle else value.low
    if end == value.middle:
        return 0.0
    ratio = float(np.log(at / value.middle) / np.log(end / value.middle))
    return (NINETY if at > value.middle else -NINETY) * ratio


@dataclass(frozen=True, kw_only=True)
class Unsure:
    """A heat of which every unsure input can be moved."""

    middle: Case
    #: In the order of the deviates.
    names: tuple[str, ...]
    values: tuple[Sourced, ...]
    #: Moisture of the wood's cells at the film's nodes, shape (nodes, cells); empty if sure.
    wet: FloatArray

    @classmethod
    def of(cls, inputs: HeatInputs, *, quick: bool = True) -> Unsure:
        """Everything unsure in these inputs: the parameters, and the water put on.

        Raises
        ------
        DesignError
            As `case_of`.
        """
        film = inputs.film_kg_m2
        wetted = inputs.profile is None and film.high > film.low
        moistures = [
            case_of(inputs, quick=quick, film_kg_m2=at_deviate(film, float(z))).moisture
            for z in _FILM_NODES
            if wetted
        ]
        names = (*MOVED, "film_kg_m2") if wetted else MOVED
        return cls(
            middle=case_of(inputs, quick=quick),
            names=names,
            values=tuple(
                film if name == "film_kg_m2" else getattr(inputs.parameters, name) for name in names
            ),
            wet=np.array(moistures),
        )

    def case(self, deviates: FloatArray) -> Case:
        """The case at these deviates, one for each of `names`."""
        moved = {
            name: at_deviate(value, float(z))
            for name, value, z in zip(self.names, self.values, deviates, strict=True)
        }
        film = moved.pop("film_kg_m2", None)
        case = replace(self.middle, values=replace(self.middle.values, **moved))
        if film is None:
            return case
        z = float(np.clip(deviates[-1], _FILM_NODES[0], _FILM_NODES[-1]))
        i = min(int(np.searchsorted(_FILM_NODES, z, side="right")) - 1, _FILM_NODES.size - 2)
        share = (z - _FILM_NODES[i]) / (_FILM_NODES[i + 1] - _FILM_NODES[i])
        return replace(case, moisture=self.wet[i] + share * (self.wet[i + 1] - self.wet[i]))
