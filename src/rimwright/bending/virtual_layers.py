"""Bindings and other loose strips in the stack: each slides, so each is a section of its own."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimwright.bending.capacity import capacity
from rimwright.bending.check_layers import depths
from rimwright.bending.check_line import BentPiece
from rimwright.bending.history import FibreHistory
from rimwright.bending.law import law_of
from rimwright.bending.parameters import BendParameters
from rimwright.bending.virtual_capacity import virtual_capacity
from rimwright.bending.virtual_many import FEW_FIBRES, Conditions, Timetable, bend_many, conditions
from rimwright.instrument.design import Design, Strip
from rimwright.instrument.stations import place_in_words
from rimwright.wood.catalogue import find


@dataclass(frozen=True, slots=True, kw_only=True)
class LayerBend:
    """The worst layer of one loose strip, bent with the side."""

    name: str
    #: Greatest stretch of a face, as of wet and hot wood, and where on the side's outer line.
    stretch: float
    s_outer_m: float
    #: Over what its wood bears; None without a wood.
    utilisation: float | None
    #: Share of its curvature lost at release there.
    recovery: float
    words: str


def bend_layers(
    piece: BentPiece,
    history: FibreHistory,
    timetable: Timetable,
    design: Design,
    *,
    parameters: BendParameters,
) -> tuple[LayerBend, ...]:
    """Every loose strip of the design on its own radius, as hot and as wet as the side.

    Raises
    ------
    UnknownNameError
        If a strip's wood is not on the list.
    """
    given = conditions([history], timetable.time_s, FEW_FIBRES)
    return tuple(
        _worst(strip, piece, timetable, design, parameters=parameters, given=given)
        for strip in design.strips
    )


def _worst(
    strip: Strip,
    piece: BentPiece,
    timetable: Timetable,
    design: Design,
    *,
    parameters: BendParameters,
    given: Conditions,
) -> LayerBend:
    wood = None if strip.wood is None else find(strip.wood, design.own_woods)
    law = law_of(wood, parameters.law).vector()
    inside = np.array(
        [
            piece.curvature
            / np.maximum(1.0 - (inwards + strip.thickness_m) * piece.curvature, 1e-3)
            for inwards in depths(strip, piece.pattern.thickness_m)
        ]
    )
    done = bend_many(
        np.tile(law, (inside.shape[0], 1)),
        thickness_m=np.full(inside.shape, strip.thickness_m),
        inside_curvature=inside,
        timetable=timetable,
        conditions=given,
    )
    layer, _, station = np.unravel_index(int(np.argmax(done.stretch)), done.stretch.shape)
    stretch = float(done.stretch.max())
    home = inside[layer, station] / (1.0 + 0.5 * strip.thickness_m * inside[layer, station])
    used = None
    told = f"{strip.name}: {100 * stretch:.1f} %"
    if wood is not None:
        bears = virtual_capacity(capacity(wood, parameters), law, parameters)[0, 1]
        used = stretch / float(bears)
        told += f", {100 * used:.0f} % of what plain {wood.name} bears"
    s = float(piece.s[station])
    return LayerBend(
        name=strip.name,
        stretch=stretch,
        s_outer_m=s,
        utilisation=used,
        recovery=float(1.0 - done.released[layer, station] / home),
        words=f"{told}, at the {place_in_words(piece.half, piece.rim, s, design.show)}",
    )
