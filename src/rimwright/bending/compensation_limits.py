"""How far a form may be bent past the outline: by the wood, the tools, the slats, the blanket."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rimwright.bending.capacity import capacity as capacity_of
from rimwright.bending.check_layers import depths
from rimwright.bending.check_line import BentPiece
from rimwright.bending.parameters import BendParameters
from rimwright.bending.section import Section
from rimwright.bending.virtual_many import IntArray
from rimwright.curves.piece import FloatArray
from rimwright.equipment.materials import material
from rimwright.equipment.stack import Layer
from rimwright.sources import Sourced
from rimwright.tooling.bundle import Job
from rimwright.units import length_text
from rimwright.wood.catalogue import find

#: Smallest radius left on a form or a ram: sharper ones print through slats and crumble. [m];
#: our choice
LEAST_TOOL_M = 0.003


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """One thing that stops a form from being bent further."""

    #: "wood", "strip", "form", "ram", "slat" or "blanket".
    kind: str
    #: In words, with its figure.
    words: str
    #: What would lift it.
    remedy: str


@dataclass(frozen=True, slots=True)
class Limits:
    """Least and greatest curvature of the inside face at each station, and who says so."""

    #: Shape (stations,). [1/m]
    low: FloatArray
    high: FloatArray
    #: Index in `told` of what sets low and high.
    low_by: IntArray
    high_by: IntArray
    told: tuple[Limit, ...]


def limits_of(
    job: Job,
    piece: BentPiece,
    parameters: BendParameters,
    capacity: Sourced | None,
    margin: float,
) -> Limits:
    """What bounds the form of one piece of side.

    A station that is past a limit as drawn may stay as it is and is bent no further.

    Parameters
    ----------
    job : Job
        The piece with its bundle.
    piece : BentPiece
        The same at its stations.
    parameters : BendParameters
        Of the bend check, whose margin is kept as well as the virtual bend's.
    capacity : Sourced or None
        Tensile face strain the wood bears.
    margin : float
        Share of it that may be used.
    """
    section = Section.of(parameters)
    told: list[Limit] = []
    convex: list[FloatArray] = []
    concave: list[FloatArray] = []
    thickness = piece.thickness
    level = np.ones_like(thickness)
    if capacity is not None:
        bend = section.bend_for(np.array([margin * capacity.middle]))[0] / thickness
        told.append(
            Limit(
                kind="wood",
                words=f"the wood: {margin:.0%} of what it bears",
                remedy="thin the side there",
            )
        )
        convex.append(bend / (1.0 + 0.5 * thickness * bend))
        concave.append(bend / (1.0 - 0.5 * thickness * bend))
    strips = _strips(job, piece.pattern.thickness_m, parameters, margin)
    for limit, inner, outer, least in (*strips, *_tools(job)):
        told.append(limit)
        convex.append(level * _greatest(least + inner))
        concave.append(level * _greatest(least - outer))
    drawn = piece.rim.at(piece.s).curvature
    most = np.array(convex), np.array(concave)
    by = most[0].argmin(axis=0), most[1].argmin(axis=0)
    high = np.maximum(most[0].min(axis=0), drawn)
    low = -np.maximum(most[1].min(axis=0), -drawn)
    return Limits(
        low=low / (1.0 - thickness * low),
        high=high / (1.0 - thickness * high),
        low_by=by[1],
        high_by=by[0],
        told=tuple(told),
    )


def _greatest(radius: float) -> float:
    """Greatest curvature of the outer line at that least radius of it. [1/m]"""
    return 1.0 / radius if radius > 1e-6 else 1e6


def _strips(
    job: Job, side_m: float, parameters: BendParameters, margin: float
) -> list[tuple[Limit, float, float, float]]:
    """Bindings and purflings bent with the side, each layer by itself; as `_tools`."""
    section, found = Section.of(parameters), []
    for strip in job.design.strips:
        if strip.wood is None:
            continue
        bears = margin * capacity_of(find(strip.wood, job.design.own_woods), parameters).middle
        least = strip.thickness_m / float(section.bend_for(np.array([bears]))[0])
        limit = Limit(
            kind="strip",
            words=f"the {strip.name}: {margin:.0%} of what it bears",
            remedy="bend it by itself, or make it thinner",
        )
        for inwards in depths(strip, side_m):
            middle = inwards + 0.5 * strip.thickness_m
            found.append((limit, middle, middle, least))
    return found


def _tools(job: Job) -> list[tuple[Limit, float, float, float]]:
    """Each with how far inside the outer line it lies on convex and concave bends, and its
    least radius. [m]"""
    show = job.design.show
    tool = length_text(LEAST_TOOL_M, show)
    found = [
        (
            Limit(
                kind="form",
                words=f"the form: {tool} radius left on its nose",
                remedy="make what lies between form and side thinner",
            ),
            job.form_distance_m,
            job.form_distance_m,
            LEAST_TOOL_M,
        ),
        (
            Limit(
                kind="ram",
                words=f"the ram: {tool} radius left on its nose",
                remedy="make what lies between side and ram thinner",
            ),
            -job.press_m,
            -job.press_m,
            LEAST_TOOL_M,
        ),
    ]
    for layer, distance in job.layers():
        if layer.kind == "blanket":
            half = 0.5 * layer.thickness_m
            least = job.design.equipment.blanket.least_radius_m
            limit = Limit(
                kind="blanket",
                words=f"the blanket: harmed below {length_text(least, show)}",
                remedy="use a blanket that bends tighter, or lay it outside the bend",
            )
            found.append((limit, distance + half, distance - half, least))
        elif layer.kind == "slat" and (least := _slat_radius(layer)) > 0.0:
            thick = length_text(layer.thickness_m, show, fine=True)
            limit = Limit(
                kind="slat",
                words=f"the slat, {layer.material} {thick}: takes a set below "
                f"{length_text(least, show)}",
                remedy="use a thinner slat",
            )
            found.append((limit, distance, distance, least))
    return found


def _slat_radius(layer: Layer) -> float:
    return material(layer.material, layer.temper).least_radius_m(layer.thickness_m) or 0.0
