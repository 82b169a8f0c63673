"""The stack on the form, drawn in order; thicknesses written, not to scale."""

from __future__ import annotations

import itertools
from typing import TYPE_CHECKING

import numpy as np

from rimwright.sheets.dimension import BODY, SMALL, arrow
from rimwright.sheets.drawing import (
    DIMENSION,
    FINE,
    OUTLINE,
    VISIBLE,
    Drawing,
    Shape,
    Text,
    circle,
    line,
    rectangle,
)
from rimwright.units import length_text

if TYPE_CHECKING:
    from rimwright.equipment.stack import Layer
    from rimwright.plan import Plan

_ROW = 5.6
_WIDE = 26.0


def stack_drawing(plan: Plan) -> Drawing:
    """Every layer from the form outwards with its material and thickness, and the probe."""
    equipment = plan.design.equipment
    shapes: list[Shape] = [rectangle(0.0, -_ROW, _WIDE, _ROW, OUTLINE)]
    for x in np.arange(0.0, _WIDE - _ROW + 0.1, 2.4).tolist():
        shapes.append(line((x, -_ROW), (x + _ROW, 0.0), FINE))
    shapes.append(Text((_WIDE + 3.0, -_ROW + 1.6), "form", BODY, bold=True))
    for i, layer in enumerate(equipment.layers):
        y = i * _ROW
        shapes += _layer(layer, y)
        shapes.append(Text((_WIDE + 3.0, y + 1.6), f"{i + 1}  {_words(plan, layer)}", BODY))
    top = len(equipment.layers) * _ROW
    shapes.append(Text((_WIDE + 3.0, top + 1.6), "ram or clamp", BODY, bold=True))
    shapes.append(line((0.5 * _WIDE, top + 6.0), (0.5 * _WIDE, top + 0.5), DIMENSION))
    shapes.append(arrow((0.5 * _WIDE, top + 0.4), -np.pi / 2))
    y = (equipment.probe_above_layer + 1) * _ROW
    shapes += [line((-9.0, y), (0.6 * _WIDE, y), OUTLINE)]
    shapes += [circle((0.6 * _WIDE, y), 1.3, OUTLINE, fill="black")]
    shapes.append(Text((-10.0, y - 1.0), "probe", BODY, "end", bold=True))
    heading = "Stack, from the form outwards"
    if equipment.assumed:
        heading += ": ASSUMED"
    shapes.append(Text((-22.0, top + 9.0), heading, BODY, bold=True))
    note = "not to scale"
    shapes.append(Text((0.0, -_ROW - 4.0), note, SMALL))
    return Drawing(heading, tuple(shapes))


def _words(plan: Plan, layer: Layer) -> str:
    if layer.kind == "side":
        thickness = max(side.thickness_m for side in plan.sides)
        name = f"side, {plan.design.sides.wood or 'wood'}"
    else:
        thickness = layer.thickness_m
        name = f"{layer.kind}, {layer.material}"
        if layer.temper:
            name += f", {layer.temper}"
    return f"{name}, {length_text(thickness, plan.design.show, fine=True)}"


def _layer(layer: Layer, y: float) -> list[Shape]:
    """A band with a pattern of its own, so that a photocopy still tells them apart."""
    shapes: list[Shape] = []
    if layer.kind == "side":
        shapes += [
            line((0.0, y + _ROW * k / 5), (_WIDE, y + _ROW * k / 5), FINE) for k in range(1, 5)
        ]
    elif layer.kind == "slat":
        shapes.append(rectangle(0.0, y + 0.32 * _ROW, _WIDE, 0.36 * _ROW, FINE, fill="black"))
    elif layer.kind == "blanket":
        xs = np.arange(0.0, _WIDE + 0.01, _WIDE / 12).tolist()
        points = [(x, y + _ROW * (0.25 if i % 2 else 0.75)) for i, x in enumerate(xs)]
        shapes += [line(a, b, VISIBLE) for a, b in itertools.pairwise(points)]
    elif layer.kind == "wrap":
        shapes += [
            line((x, y + 0.5 * _ROW), (x + 1.6, y + 0.5 * _ROW), VISIBLE)
            for x in np.arange(1.0, _WIDE - 1.6, 3.2).tolist()
        ]
    else:
        shapes.append(rectangle(0.0, y + 0.25 * _ROW, _WIDE, 0.5 * _ROW, VISIBLE))
    outer = OUTLINE if layer.kind == "side" else VISIBLE
    return [*shapes, rectangle(0.0, y, _WIDE, _ROW, outer)]
