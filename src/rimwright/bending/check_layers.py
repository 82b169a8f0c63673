"""Loose strips bent with the side: each slides, so each bends by itself on its own radius."""

from __future__ import annotations

import numpy as np

from rimwright.bending.capacity import capacity
from rimwright.bending.check_places import name_at
from rimwright.bending.check_words import percent
from rimwright.bending.parameters import BendParameters
from rimwright.bending.results import LayerCheck, PieceCheck
from rimwright.bending.section import Section, middle_curvature
from rimwright.curves.piece import FloatArray
from rimwright.instrument.design import Design, Strip
from rimwright.sides.pattern import SidePattern
from rimwright.wood.catalogue import find


def check_layers(
    patterns: tuple[SidePattern, ...],
    pieces: tuple[PieceCheck, ...],
    design: Design,
    parameters: BendParameters,
) -> tuple[LayerCheck, ...]:
    """The worst layer of every loose strip on every piece of side.

    Parameters
    ----------
    patterns, design, parameters
        As for the side itself.
    pieces : tuple of PieceCheck
        The sides' own checks, one for each pattern: the strips lie at the same stations.

    Raises
    ------
    UnknownNameError
        If a strip's wood is not on the list.
    """
    section = Section.of(parameters)
    checks = []
    for pattern, piece in zip(patterns, pieces, strict=True):
        for strip in design.strips:
            bends = [
                _bend(strip, inwards, piece.curvature)
                for inwards in depths(strip, pattern.thickness_m)
            ]
            bend = max(bends, key=lambda bend: float(bend.max()))
            strain = section.tension_strain(bend)
            i = int(np.argmax(strain))
            worst, s = float(strain[i]), float(piece.s_outer[i])
            place = name_at(piece.tight_places, s, convex=bool(piece.curvature[i] > 0.0))
            used, words = _against_wood(strip, worst, design, parameters)
            checks.append(
                LayerCheck(
                    name=strip.name,
                    hand=piece.hand,
                    piece=piece.piece,
                    strain_middle_max=0.5 * float(bend.max()),
                    strain_tension_max=worst,
                    s_outer_m=s,
                    utilisation=used,
                    words=f"{strip.name}, {percent(worst, 1)} at the {place}{words}",
                )
            )
    return tuple(checks)


def depths(strip: Strip, side_m: float) -> list[float]:
    """How far inside the side's outer line each layer's own outer line lies. [m]"""
    steps = range(strip.count)
    if strip.place == "inside":
        return [side_m + i * strip.thickness_m for i in steps]
    if strip.place == "outside":
        return [-(i + 1) * strip.thickness_m for i in steps]
    # Beside the side layers lie one on another from the side's outer line inwards.
    return [i * strip.thickness_m for i in steps]


def _bend(strip: Strip, inwards: float, outer: FloatArray) -> FloatArray:
    """Thickness times middle curvature of one layer, whose line is parallel to the side's."""
    own = outer / np.maximum(1.0 - inwards * outer, 1e-3)
    return np.asarray(strip.thickness_m * middle_curvature(own, strip.thickness_m))


def _against_wood(
    strip: Strip, worst: float, design: Design, parameters: BendParameters
) -> tuple[float | None, str]:
    """Share of what the strip's wood bears, and that in words."""
    if strip.wood is None:
        return None, "; no wood named, so no word on what it bears"
    wood = find(strip.wood, design.own_woods)
    used = worst / capacity(wood, parameters).middle
    words = f", {percent(used)} of what plain {wood.name} bears"
    if used > design.margins.strain:
        words += f": past the margin of {percent(design.margins.strain)}"
    return used, words
