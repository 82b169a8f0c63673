"""Heat for many sides: a few runs on a grid of water and heat, read between.

A heat run takes a millisecond and a side two, but a run yields its history on a clock of its
own, so one a side would cost as much again as the bend. Histories counted from the target,
where the maker begins, change smoothly with the water put on and with how hot the wood is
then; a test holds readings between the nodes against runs of their own.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from rimwright.bending.heat_inputs import HeatInputs, case_of, refuse_too_weak
from rimwright.bending.heat_solve import solve
from rimwright.bending.history import FibreHistory
from rimwright.bending.odds_inputs import HUMIDITY_SPREAD, reading
from rimwright.bending.virtual_history import carried_on
from rimwright.bending.virtual_many import FEW_FIBRES, Conditions, conditions
from rimwright.curves.piece import FloatArray
from rimwright.wood.relations import equilibrium_moisture

#: Nodes in standard deviations of the water and of the heat; farther out the last one holds.
WATER_NODES = (-2.2, -1.1, 0.0, 1.1, 2.2)
HEAT_NODES = (-2.2, 0.0, 2.2)


@dataclass(frozen=True, slots=True)
class HeatGrid:
    """Temperature and moisture at steps and fibres, for each node of water and heat."""

    place: FloatArray
    weight: FloatArray
    #: Shape (water nodes × heat nodes, steps, fibres). [degC], [fraction]
    temperature_c: FloatArray
    moisture: FloatArray

    def read(self, water: FloatArray, heat: FloatArray) -> Conditions:
        """Between the nodes, one history for each side."""
        i, to_i = _between(np.asarray(WATER_NODES), water)
        j, to_j = _between(np.asarray(HEAT_NODES), heat)
        wide = len(HEAT_NODES)

        def mix(values: FloatArray) -> FloatArray:
            low = _mix(values[i * wide + j], values[i * wide + j + 1], to_j)
            high = _mix(values[(i + 1) * wide + j], values[(i + 1) * wide + j + 1], to_j)
            return _mix(low, high, to_i)

        return Conditions(self.place, self.weight, mix(self.temperature_c), mix(self.moisture))


def _between(
    nodes: FloatArray, at: FloatArray
) -> tuple[np.ndarray[tuple[int, ...], np.dtype[np.intp]], FloatArray]:
    index = np.clip(np.searchsorted(nodes, at) - 1, 0, nodes.size - 2)
    share = (np.clip(at, nodes[0], nodes[-1]) - nodes[index]) / (nodes[index + 1] - nodes[index])
    return index, share[:, None, None]


def _mix(low: FloatArray, high: FloatArray, share: FloatArray) -> FloatArray:
    return np.asarray(low + share * (high - low))


def side_histories(
    inputs: HeatInputs, *, water: float, shifts_k: tuple[float, ...], until_s: float
) -> list[FibreHistory | None]:
    """What a side goes through, its clock at zero when the probe says the target.

    Parameters
    ----------
    inputs : HeatInputs
        The middle of everything.
    water : float
        Of film and shop's air, together. [standard deviations]
    shifts_k : tuple of float
        By how much hotter all is when the probe calls; a history for each. [K]
    until_s : float
        How far the rest is carried on. [s]

    Returns
    -------
    list of FibreHistory or None
        None where the target is never reached.
    """
    room_c = inputs.equipment.room_c
    air = float(np.clip(inputs.equipment.humidity + HUMIDITY_SPREAD.middle * water, 0.05, 0.90))
    moved = replace(inputs, equipment=replace(inputs.equipment, humidity=air))
    film = float(reading(inputs.film_kg_m2, np.array(water)))
    # As finely as one side's own run: half as many slices stretch the faces 3 % less.
    case = case_of(moved, film_kg_m2=film)
    room_moisture = float(equilibrium_moisture(room_c, air))
    found: list[FibreHistory | None] = []
    for shift in shifts_k:
        solved = solve(replace(case, target_c=case.target_c + shift))
        if solved.target_s is None:
            found.append(None)
            continue
        heated = FibreHistory(
            solved.time_s - solved.target_s,
            solved.temperature_c[:, case.cells.first : case.cells.last],
            np.maximum(solved.moisture, 0.0),
        )
        found.append(
            carried_on(heated, until_s=until_s, room_c=room_c, room_moisture=room_moisture)
        )
    return found


def heat_nodes(inputs: HeatInputs, spread_k: float, until_s: float) -> list[FibreHistory]:
    """Histories at every node of water and heat, counted from the target.

    Raises
    ------
    DesignError
        If the blanket is too weak ever to reach the target.
    """
    shifts = tuple(heat * spread_k for heat in HEAT_NODES)
    found = []
    for water in WATER_NODES:
        row = side_histories(inputs, water=water, shifts_k=shifts, until_s=until_s)
        middle = row[len(row) // 2]
        if middle is None:
            raise refuse_too_weak(inputs, case_of(inputs))
        # A blanket that reaches the target but not the hotter nodes stays at the target.
        found += [middle if one is None else one for one in row]
    return found


def heat_grid(nodes: list[FibreHistory], time_s: FloatArray) -> HeatGrid:
    """The histories read at the steps of a timetable that starts at the target."""
    read = conditions(nodes, time_s, FEW_FIBRES)
    return HeatGrid(read.place, read.weight, read.temperature_c, read.moisture)
