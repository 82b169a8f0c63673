"""A shop's stack as cells for the heat kernel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimwright.bending.heat_parameters import (
    CONVECTION_DOWN,
    CONVECTION_UP,
    EMISSIVITY,
)
from rimwright.curves.piece import FloatArray
from rimwright.equipment.materials import material
from rimwright.equipment.stack import Equipment, Layer
from rimwright.errors import DesignError

#: Cells of a layer that is no wood: one in thin metal or paper, else about this size. [m]
_CELL_M = 0.4e-3
_THIN_M = 0.3e-3
_MOST_CELLS = 16


@dataclass(frozen=True, kw_only=True)
class Cells:
    """Cells from the form outwards, with everything about them that does not change."""

    #: Shape (cells,). [m]
    width: FloatArray
    #: Of solids; the wood's own follow its state. [W/(m K)], [J/(m³ K)]
    conductivity: FloatArray
    capacity: FloatArray
    #: Share of the blanket's heat per metre of thickness. [1/m]
    source: FloatArray
    #: 1 where a layer lies on the layer below, shape (cells + 1,).
    joints: FloatArray
    #: Wood lies in cells first to last.
    first: int
    last: int
    #: The probe lies between this cell and the next.
    probe: int
    #: Convection over dT^¼ and emissivity of the lower and upper face, shape (2, 3).
    faces: FloatArray


def _emissivity(layer: Layer) -> float:
    return EMISSIVITY["wood" if layer.kind == "side" else material(layer.material).name]


def cells_of(
    equipment: Equipment, *, thickness_m: float, wood_cells: int = 12, finer: int = 1
) -> Cells:
    """Divide the stack into cells; all wood cells are alike.

    Parameters
    ----------
    equipment : Equipment
        Its layers from the form outwards.
    thickness_m : float
        Of the side. [m]
    wood_cells : int, default 12
        Slices of the side.
    finer : int, default 1
        Every cell of every layer divided by this, for convergence.

    Raises
    ------
    DesignError
        Without a side, without a blanket, of no thickness, or a probe outside the stack.

    Examples
    --------
    >>> cells = cells_of(Equipment(), thickness_m=0.0021)
    >>> cells.last - cells.first, round(float(cells.width.sum()) * 1e3, 2)  # [mm]
    (12, 4.65)
    """
    kinds: list[str] = [layer.kind for layer in equipment.layers]
    for kind, step in (("side", "add the side"), ("blanket", "add the blanket")):
        if kinds.count(kind) != 1:
            raise DesignError(
                f"a stack with {'no' if kind not in kinds else kinds.count(kind)} {kind}",
                f"exactly one {kind} among its layers",
                f"{step} to `layers` under [equipment], once",
            )
    if not 1e-4 <= thickness_m <= 0.05:
        raise DesignError(
            f"a side {thickness_m * 1e3:g} mm thick",
            "0.1 to 50 mm",
            "change `thickness` under [sides]",
        )
    if not 0 <= equipment.probe_above_layer < len(kinds) - 1:
        raise DesignError(
            f"a probe above layer {equipment.probe_above_layer + 1} of {len(kinds)}",
            "a probe between two layers",
            "change `probe` under [equipment]",
        )
    width: list[float] = []
    conductivity: list[float] = []
    capacity: list[float] = []
    source: list[float] = []
    starts: list[int] = []
    for layer in equipment.layers:
        starts.append(len(width))
        wood = layer.kind == "side"
        thick = thickness_m if wood else layer.thickness_m
        if not thick > 0.0:
            raise DesignError(
                f"a {layer.kind} of {layer.material} without thickness",
                "a thickness above zero",
                "give it under [equipment]",
            )
        if wood:
            count, k, c = wood_cells, 0.2, 1.0e6
        else:
            of = material(layer.material, layer.temper)
            k = of.conductivity_w_m_k.middle
            c = of.density_kg_m3.middle * of.specific_heat_j_kg_k.middle
            count = 1 if thick <= _THIN_M else min(max(round(thick / _CELL_M), 2), _MOST_CELLS)
        count *= finer
        width += [thick / count] * count
        conductivity += [k] * count
        capacity += [c] * count
        source += [1.0 / thick if layer.kind == "blanket" else 0.0] * count
    first = starts[equipment.side_index]
    joints = np.zeros(len(width) + 1)
    joints[starts[1:]] = 1.0
    edge = equipment.blanket.width_m
    if not edge > 0.0:
        raise DesignError("a blanket without width", "a width above zero", "give its `width`")
    faces = np.array(
        [
            [CONVECTION_DOWN / edge**0.25, _emissivity(equipment.layers[0]), 0.0],
            [CONVECTION_UP / edge**0.25, _emissivity(equipment.layers[-1]), 0.0],
        ]
    )
    return Cells(
        width=np.array(width),
        conductivity=np.array(conductivity),
        capacity=np.array(capacity),
        source=np.array(source),
        joints=joints,
        first=first,
        last=first + wood_cells * finer,
        probe=starts[equipment.probe_above_layer + 1] - 1,
        faces=faces,
    )
