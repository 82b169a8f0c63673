"""Slats and blanket: how long and wide, whether they bear the bends, and how they spring."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from rimwright.equipment.materials import material
from rimwright.equipment.stack import Layer
from rimwright.tooling.bundle import HANDLE_M, Job
from rimwright.tooling.parts import SlatCheck
from rimwright.tooling.spring import spring
from rimwright.units import length_text

#: Below this, slats let go without anyone noticing. [J]; our choice
_NOTICED_J = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """The tightest convex or concave bend of a piece, on the outer line."""

    radius_m: float
    convex: bool
    #: "horn", "scoop", "lower bout".
    name: str
    #: On the outer line. [m]
    s_m: float


def check_slats(job: Job, bends: Sequence[Bend]) -> tuple[tuple[SlatCheck, ...], tuple[str, ...]]:
    """Every slat and the blanket of one piece, from the form outwards, and warnings.

    Parameters
    ----------
    job : Job
        The piece of rim with its bundle.
    bends : sequence of Bend
        Its tightest bends, one each way.

    Raises
    ------
    UnknownNameError
        If a slat's material or temper is not on the list.
    """
    checks: list[SlatCheck] = []
    warnings: list[str] = []
    layers = sorted(job.layers(), key=lambda pair: -pair[1])
    slats = 0
    for layer, distance in layers:
        if layer.kind == "slat":
            slats += 1
            checks.append(_slat(job, layer, distance, bends=bends, number=slats))
        elif layer.kind == "blanket":
            checks.append(_blanket(job, layer, distance, bends))
        else:
            continue
        check = checks[-1]
        if not check.bears_it:
            warnings.append(f"{job.words}, {check.name}: {check.words}")
        if layer.width_m is not None and layer.width_m < job.size.width_m:
            warnings.append(
                f"{job.words}, {check.name}: {length_text(layer.width_m, job.design.show)} wide, "
                f"narrower than the side ({length_text(job.size.width_m, job.design.show)}); "
                "its bare edges will cup."
            )
    warnings += _blanket_size(job, checks)
    return tuple(checks), tuple(warnings)


def _length(job: Job, distance: float) -> float:
    """Of a strip on its own line, with both trims and what the neck end adds. [m]"""
    turn = float(job.samples.heading[-1] - job.samples.heading[0])
    ends = job.design.ends
    return (
        job.rim.length - distance * turn + job.size.neck_end_m + ends.trim_tail_m + ends.trim_neck_m
    )


def _asked(job: Job, bends: Sequence[Bend], inner: float, outer: float) -> tuple[float, str, str]:
    """Tightest radius of a layer [m], the bend's name, and where in words.

    The layer lies `inner` inside the outer line on a convex bend, `outer` on a concave one.
    """
    radii = [(b.radius_m - inner if b.convex else b.radius_m + outer, b) for b in bends]
    if not radii:
        return np.inf, "bend", "straight"
    radius, bend = min(radii, key=lambda pair: pair[0])
    end = "the tail seam" if job.rim.name == "main" else "the horn tip"
    return radius, bend.name, f"{bend.name}, {length_text(bend.s_m, job.design.show)} from {end}"


def _slat(
    job: Job, layer: Layer, distance: float, *, bends: Sequence[Bend], number: int
) -> SlatCheck:
    stuff = material(layer.material, layer.temper)
    width = layer.width_m or job.width_m
    asked, bend, where = _asked(job, bends, distance, distance)
    least = stuff.least_radius_m(layer.thickness_m) or 0.0
    energy = tail = neck = None
    words = "Bends as a cloth does."
    if stuff.stiffness_pa is not None and stuff.yield_pa is not None:
        inertia = width * layer.thickness_m**3 / 12.0
        energy, tail, neck = spring(job, distance, stuff.stiffness_pa.middle * inertia, least)
        at_yield = stuff.yield_pa.low, stuff.yield_pa.middle, stuff.yield_pa.high
        strains = tuple(stress / stuff.stiffness_pa.middle for stress in at_yield)
        words = _slat_words(job, layer.thickness_m, strains, asked, bend)
    thickness = length_text(layer.thickness_m, job.design.show, fine=True)
    return SlatCheck(
        name=f"slat {number}, {stuff.name} {thickness}",
        hand=job.hand,
        piece=job.rim.name,
        length_m=_length(job, distance) + 2.0 * HANDLE_M,
        width_m=width,
        thickness_m=layer.thickness_m,
        least_radius_m=least,
        asked_radius_m=asked,
        where=where,
        bears_it=asked >= least,
        energy_j=energy,
        tip_force_n=tail,
        neck_force_n=neck,
        words=words,
    )


def _slat_words(
    job: Job, thickness: float, strains: tuple[float, ...], asked: float, bend: str
) -> str:
    """What the bend does to the slat, in the words of the temper's range of yield strain."""
    show = job.design.show
    worst, least, best = (0.5 * thickness / strain for strain in strains)
    there = f"{length_text(asked, show)} at the {bend}"
    if asked >= worst:
        return f"Springs back from {there}; it takes a set below {length_text(least, show)}."
    thin = length_text(2.0 * asked * strains[0], show, fine=True)
    if asked >= best:
        return (
            f"On the edge: {there} is asked, and by its temper it takes a set somewhere between "
            f"{length_text(best, show)} and {length_text(worst, show)}; hot, a little sooner. "
            f"{thin} is sure to spring back."
        )
    return (
        f"Takes a set: {there} is asked and it bears {length_text(least, show)}. {thin} in this "
        "temper springs back; one that has set holds the bend, so keep it for this model."
    )


def _blanket(job: Job, layer: Layer, distance: float, bends: Sequence[Bend]) -> SlatCheck:
    blanket = job.design.equipment.blanket
    half = 0.5 * layer.thickness_m
    # The face on the inside of each bend is the tighter one.
    asked, bend, where = _asked(job, bends, distance + half, distance - half)
    bears = asked >= blanket.least_radius_m
    show = job.design.show
    least = length_text(blanket.least_radius_m, show)
    there = f"{length_text(asked, show)} at the {bend}"
    return SlatCheck(
        name="blanket",
        hand=job.hand,
        piece=job.rim.name,
        length_m=_length(job, distance),
        width_m=layer.width_m or job.width_m,
        thickness_m=layer.thickness_m,
        least_radius_m=blanket.least_radius_m,
        asked_radius_m=asked,
        where=where,
        bears_it=bears,
        words=f"Bears {there}; its limit is {least}."
        if bears
        else f"Is bent to {there}, under its limit of {least}: wires break and it burns through. "
        "Put it outside the bend's tightest layer, or use one that bends tighter.",
    )


def _blanket_size(job: Job, checks: Sequence[SlatCheck]) -> tuple[str, ...]:
    """Whether the shop's blanket covers the side."""
    need = next((check for check in checks if check.name == "blanket"), None)
    blanket, show = job.design.equipment.blanket, job.design.show
    if need is None:
        return ()
    words = []
    if blanket.length_m < need.length_m:
        words.append(f"{length_text(blanket.length_m, show)} long where the side needs "
                     f"{length_text(need.length_m, show)}")  # fmt: skip
    if blanket.width_m < job.size.width_m:
        words.append(f"{length_text(blanket.width_m, show)} wide where the side needs "
                     f"{length_text(job.size.width_m, show)}")  # fmt: skip
    return tuple(f"{job.words}, blanket: {w}; what it leaves bare stays cold." for w in words)


def release_warning(checks: Sequence[SlatCheck]) -> tuple[str, ...]:
    """The warning for the moment when the last clamp comes off, of the piece that kicks most."""
    pieces: dict[tuple[str, str], list[SlatCheck]] = {}
    for check in checks:
        pieces.setdefault((check.hand, check.piece), []).append(check)
    worst = max(pieces.values(), key=_energy, default=[])
    if _energy(worst) < _NOTICED_J:
        return ()
    main = worst[0].piece == "main"
    end = "tail" if main else "horn tip"
    tail = sum(check.tip_force_n or 0.0 for check in worst)
    neck = sum(check.neck_force_n or 0.0 for check in worst)
    side = f"{worst[0].hand} side" + ("" if main else ", return piece")
    return (
        f"When the last clamp comes off, the slats let go of up to {_energy(worst):.1f} J ({side}) "
        f"and push up with {tail:.0f} N at the {end}, the wood's own spring apart: have a second "
        f"pair of hands hold the {end} down; alone, put a strap round it first and back the last "
        "clamp off slowly."
        + (f" The neck end pushes harder, {neck:.0f} N: hold it too." if neck > 2.0 * tail else ""),
    )


def _energy(checks: Sequence[SlatCheck]) -> float:
    return sum(check.energy_j or 0.0 for check in checks)
