"""Water spreading through a side against closed forms, and the order of the method.

Source: Crank, The Mathematics of Diffusion, 2nd ed., Oxford 1975 (from memory): eq. 4.55, a
sheet with a constant flow through both faces; eq. 2.17, a layer spreading in a closed sheet;
ch. 3, the half-space, whose face is held when its uptake goes with the root of time; ch. 9,
the steady state with a coefficient that depends on the concentration.
"""

import math

import numpy as np

from rimwright.bending.kernels.diffusion import absorb, coefficient_table, diffuse

D = 1.2e-10
THICK = 2.1e-3
FLAT = np.array([D, D])


def _middles(slices: int) -> np.ndarray:
    return (np.arange(slices) + 0.5) * THICK / slices


def _sheet_with_flow(x: np.ndarray, time_s: float, flow: float) -> np.ndarray:
    """Eq. 4.55: rise of a sheet of half thickness l, x from its middle; flow in [m/s]."""
    half = THICK / 2
    n = np.arange(1, 400)[:, None]
    fading = np.exp(-D * n**2 * math.pi**2 * time_s / half**2)
    waves = ((-1.0) ** n / n**2 * fading * np.cos(n * math.pi * x / half)).sum(axis=0)
    straight = D * time_s / half**2 + (3 * x**2 - half**2) / (6 * half**2)
    return flow * half / D * (straight - 2 / math.pi**2 * waves)


def _flow_error(slices: int, steps: int) -> float:
    flow, time_s = 1.5e-8, 600.0
    moisture = np.full(slices, 0.08)
    rate = flow / (THICK / slices)
    for _ in range(steps):
        diffuse(moisture, rate, rate, time_s / steps, THICK / slices, FLAT)
    exact = 0.08 + _sheet_with_flow(_middles(slices) - THICK / 2, time_s, flow)
    return float(np.abs(moisture - exact).max())


def test_constant_flow_through_both_faces_and_the_order(held_against):
    errors = [_flow_error(slices, slices) for slices in (20, 40, 80, 160)]
    order = float(np.log2(errors[-2] / errors[-1]))
    held_against(
        "moisture of a sheet, constant flow through its faces, largest difference of 160 slices",
        source="Crank, The Mathematics of Diffusion, eq. 4.55 (from memory)",
        printed=0.0,
        ours=errors[-1],
        tolerance=2e-6,
        why="second order, 160 slices and 160 steps; the rise at the faces is 0.04",
    )
    held_against(
        "order of convergence in slices and steps together",
        source="Crank, The Mathematics of Diffusion, eq. 4.55 (from memory)",
        printed=2.0,
        ours=order,
        tolerance=0.1,
        why="measured between 80 and 160 slices and steps",
    )


def test_wet_layer_spreading_in_a_closed_sheet(held_against):
    """Eq. 2.17, the layer at one face; in steps alone, the slices fine enough."""
    slices, layer, time_s = 400, THICK / 4, 3000.0
    n = np.arange(1, 400)[:, None]
    x = _middles(slices)
    waves = np.sin(n * math.pi * layer / THICK) / n * np.cos(n * math.pi * x / THICK)
    fading = np.exp(-D * n**2 * math.pi**2 * time_s / THICK**2)
    exact = 0.08 + 0.2 * (layer / THICK + 2 / math.pi * (waves * fading).sum(axis=0))
    errors = []
    for steps in (10, 20, 40):
        moisture = np.where(x < layer, 0.28, 0.08)
        for _ in range(steps):
            diffuse(moisture, 0.0, 0.0, time_s / steps, THICK / slices, FLAT)
        errors.append(float(np.abs(moisture - exact).max()))
    held_against(
        "moisture of a closed sheet, a wet quarter spreading 50 min, largest difference, 40 steps",
        source="Crank, The Mathematics of Diffusion, eq. 2.17 (from memory)",
        printed=0.0,
        ours=errors[-1],
        tolerance=1e-4,
        why="second order in steps from a start with a jump of 0.2",
    )
    held_against(
        "order of convergence in steps, from a start with a jump",
        source="Crank, The Mathematics of Diffusion, eq. 2.17 (from memory)",
        printed=2.0,
        ours=float(np.log2(errors[-2] / errors[-1])),
        tolerance=0.25,
        why="measured between 20 and 40 steps",
    )


def test_face_that_drinks_with_the_root_of_time(held_against):
    """Uptake A sqrt(t) into a deep body holds its face at A sqrt(pi) / (2 rho sqrt(D))."""
    slices, deep, time_s, sorptivity, mass = 400, 6e-3, 600.0, 0.002, 550.0
    slice_m = deep / slices
    moisture = np.full(slices, 0.08)
    absorb(moisture, np.array([math.inf, 0.0]), np.linspace(0, math.sqrt(time_s), 121),
           sorptivity, 9.0, mass * slice_m, slice_m, FLAT)  # fmt: skip
    face = sorptivity * math.sqrt(math.pi) / (2 * mass * math.sqrt(D))
    for depth in (0.2e-3, 0.5e-3):
        i = int(depth / slice_m)
        x = (i + 0.5) * slice_m
        held_against(
            f"moisture {x * 1e3:.2f} mm under a face wet for 10 min",
            source="Crank, The Mathematics of Diffusion, ch. 3, half-space with a face held "
            "(from memory)",
            printed=0.08 + face * math.erfc(x / (2 * math.sqrt(D * time_s))),
            ours=float(moisture[i]),
            tolerance=1e-4,
            why="slices of 15 µm, 120 steps; the face is 0.29 above the core",
        )


def test_steady_flow_with_a_coefficient_that_depends_on_moisture(held_against):
    """In at one face, out at the other: the integral of D over moisture falls in a line."""
    table = coefficient_table(21.0, 0.55, 601)
    levels = np.linspace(0.0, 0.30, 601)
    integral = np.concatenate([[0.0], np.cumsum(0.5 * (table[1:] + table[:-1]) * np.diff(levels))])
    errors = []
    for slices in (20, 40, 80):
        moisture = np.full(slices, 0.15)
        rate = 4e-9 / (THICK / slices)
        for _ in range(60):
            diffuse(moisture, rate, -rate, 2000.0, THICK / slices, table)
        middle = np.interp(moisture, levels, integral)
        line = middle.mean() - 4e-9 * (_middles(slices) - THICK / 2)
        errors.append(float(np.abs(np.interp(line, integral, levels) - moisture).max()))
    held_against(
        "steady moisture with a coefficient that rises with it, largest difference of 80 slices",
        source="Crank, The Mathematics of Diffusion, ch. 9 (from memory)",
        printed=0.0,
        ours=errors[-1],
        tolerance=2e-5,
        why="second order in slices; from face to face it falls by 0.1",
    )
    held_against(
        "order of convergence in slices, coefficient rising with moisture",
        source="Crank, The Mathematics of Diffusion, ch. 9 (from memory)",
        printed=2.0,
        ours=float(np.log2(errors[-2] / errors[-1])),
        tolerance=0.2,
        why="measured between 40 and 80 slices",
    )
