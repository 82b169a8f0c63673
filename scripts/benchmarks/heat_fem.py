"""The heat-up of a stack in scikit-fem: a general tool doing what the heat kernel does.

Quadratic elements, BDF2 in fixed steps, properties and losses settled by repeated solves
within each step. Contacts are layers a hundredth of a millimetre thin. Nothing evaporates.
"""

from __future__ import annotations

import numpy as np
import skfem
from skfem.helpers import dot, grad

from rimwright.bending.heat_solve import Case
from rimwright.wood.relations import conductivity, specific_heat

_CONTACT_M = 1e-5
_STEFAN_BOLTZMANN = 5.670374419e-8


def _mesh(case: Case, per_cell: int) -> tuple[skfem.MeshLine, np.ndarray]:
    """Elements, and the cell each lies in; -1 in a contact."""
    cells = case.cells
    edges, marks = [0.0], []
    for i, width in enumerate(cells.width):
        if cells.joints[i] and i > 0:
            edges.append(edges[-1] + _CONTACT_M)
            marks.append(-1)
        for _ in range(per_cell):
            edges.append(edges[-1] + width / per_cell)
            marks.append(i)
    mesh = skfem.MeshLine(np.array(edges))
    # scikit-fem may sort the elements: look each one up by its middle.
    middles = mesh.p[0, mesh.t].mean(axis=0)
    return mesh, np.array(marks)[np.searchsorted(np.array(edges), middles) - 1]


def _places(case: Case) -> tuple[float, float]:
    """Where the probe lies, in the middle of its contact, and the middle of the wood. [m]"""
    cells = case.cells
    tops = np.cumsum(cells.width) + _CONTACT_M * np.cumsum(np.append(cells.joints[1:-1], 0.0))
    probe = tops[cells.probe] - 0.5 * _CONTACT_M
    return float(probe), float(0.5 * (tops[cells.first - 1] + tops[cells.last - 1] - _CONTACT_M))


def heat_up(
    case: Case, *, end_s: float, step_s: float, per_cell: int = 1, repeats: int = 3
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Full power from cold: times, probe's place and middle of the wood. [s], [degC], [degC]"""
    cells, values = case.cells, case.values
    moisture = float(case.moisture[0])
    mesh, mark = _mesh(case, per_cell)
    basis = skfem.Basis(mesh, skfem.ElementLineP2())
    contact = mark < 0
    wood = (mark >= cells.first) & (mark < cells.last)
    index = np.maximum(mark, 0)
    k_solid = np.where(contact, _CONTACT_M / values.contact_m2_k_w, cells.conductivity[index])
    c_solid = np.where(contact, 1.0, cells.capacity[index])
    heating = np.where(contact, 0.0, cells.source[index]) * case.full_w_m2 * values.power_share
    dry = 1000.0 * case.gravity

    def in_wood(celsius: np.ndarray) -> np.ndarray:
        # The relations refuse what only other layers reach.
        return np.where(wood[:, None], celsius, 50.0)

    @skfem.BilinearForm
    def stiffness(u, v, w):
        k_wood = conductivity(case.gravity, moisture, in_wood(w["now"]))
        k = np.where(wood[:, None], values.conductivity_share * k_wood, k_solid[:, None])
        return k * dot(grad(u), grad(v))

    @skfem.BilinearForm
    def mass(u, v, w):
        c_wood = dry * (1.0 + moisture) * specific_heat(moisture, in_wood(w["now"]))
        return np.where(wood[:, None], c_wood, c_solid[:, None]) * u * v

    @skfem.LinearForm
    def load(v, w):
        return heating[:, None] * v

    ends = [int(np.argmin(basis.doflocs[0])), int(np.argmax(basis.doflocs[0]))]
    room_k = case.room_c + 273.15

    def film(face: int, celsius: float) -> float:
        convection, emissivity, _ = cells.faces[face] * values.loss_share
        rise, kelvin = celsius - case.room_c, celsius + 273.15
        radiation = emissivity * _STEFAN_BOLTZMANN * (kelvin**2 + room_k**2) * (kelvin + room_k)
        return float(convection * abs(rise) ** 0.25 + radiation)

    heat = load.assemble(basis)
    count = round(end_s / step_s)
    now = np.full(basis.N, case.room_c)
    before = now.copy()
    kept = [now]
    for step in range(count):
        first, second = (1.5, (2.0, -0.5)) if step else (1.0, (1.0, 0.0))
        known = second[0] * now + second[1] * before
        new = 2.0 * now - before
        for _ in range(repeats):
            field = basis.interpolate(new)
            m = mass.assemble(basis, now=field) / step_s
            matrix = (first * m + stiffness.assemble(basis, now=field)).tolil()
            right = heat + m @ known
            for face, end in enumerate(ends):
                h = film(face, float(new[end]))
                matrix[end, end] += h
                right[end] += h * case.room_c
            new = skfem.solve(matrix.tocsr(), right)
        before, now = now, new
        kept.append(now)
    solved = np.array(kept)
    probe_x, wood_x = _places(case)
    order = np.argsort(basis.doflocs[0])
    x = basis.doflocs[0][order]
    return (
        step_s * np.arange(count + 1),
        np.array([np.interp(probe_x, x, row[order]) for row in solved]),
        np.array([np.interp(wood_x, x, row[order]) for row in solved]),
    )
