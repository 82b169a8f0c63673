"""How thick a side may be: what its bends allow, and what common practice uses."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from rimwright.bending.capacity import capacity_of_sides
from rimwright.bending.check_line import RUN_OUT, curvature_at, stations
from rimwright.bending.parameters import BendParameters
from rimwright.bending.section import Section, middle_curvature, thickness_for
from rimwright.curves.piece import FloatArray
from rimwright.instrument.design import Design
from rimwright.instrument.outline import Outline
from rimwright.instrument.stations import place_in_words
from rimwright.units import length_text
from rimwright.wood.species import Wood

#: A side is never asked thicker than this, however straight the line. [m]
THICKEST = 0.020
_THOU = 25.4e-6
#: What is too tight is a zone to thin alone while it is no more than this of a side; ours.
_ZONE_SHARE = 0.4


@dataclass(frozen=True, slots=True)
class Practice:
    """What makers use on a size of body: common practice, no source."""

    #: Bodies from this length on. [m]
    from_length_m: float
    #: An ordinary side, and the thinnest heard of. [m]
    ordinary_m: float
    thinnest_m: float
    words: str


#: Longest first. Where the sizes divide, and the thinnest of the two lower rows, is ours.
PRACTICE: tuple[Practice, ...] = (
    Practice(0.400, 85 * _THOU, 0.0018, "guitars: 0.085 in, 1.8 mm at the thinnest"),
    Practice(0.300, 0.0018, 0.0015, "mandolin family and large ukuleles: 1.65 to 2.0 mm"),
    Practice(0.000, 0.0015, 0.0010, "small ukuleles and violins: 1.5 mm, ribs 1.0 to 1.2 mm"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ThicknessAdvice:
    """One thickness for both sides of a matched set, and why."""

    thickness_m: float
    #: What the tightest bend of all allows at the chosen margin. [m]
    greatest_m: float
    practice: Practice
    #: True when the bend, not practice, decides.
    bend_decides: bool
    words: str
    warnings: tuple[str, ...] = ()


def practice_for(body_length_m: float) -> Practice:
    """What makers use on a body of that length; common practice, no source.

    Examples
    --------
    >>> round(practice_for(0.47).ordinary_m / 25.4e-6)  # [thou]
    85
    """
    return next(row for row in PRACTICE if body_length_m >= row.from_length_m)


def allowed_thickness(
    curvature: FloatArray, capacity: float, margin: float, section: Section
) -> FloatArray:
    """Greatest thickness that keeps the margin, at each curvature of the outer line. [m]

    Examples
    --------
    >>> soft = Section(yield_strain=0.00375, hardening=0.02)
    >>> t = allowed_thickness(np.array([1 / 0.022, -1 / 0.111]), 0.0293, 0.85, soft)
    >>> np.round(t * 1e3, 2).tolist()  # horn and waist [mm]
    [2.04, 11.32]
    """
    bend = float(section.bend_for(np.array([margin * capacity]))[0])
    return np.minimum(thickness_for(bend, curvature), THICKEST)


def allowed_elsewhere(s: FloatArray, allowed: FloatArray, wanted_m: float) -> float | None:
    """Greatest thickness of the rest, when thinning the bends that are too tight would do. [m]

    A station is too tight where it allows less than is wanted; the zone to thin reaches past
    it by the length of a run-out. None where nothing is too tight, or too much to be a zone.
    """
    tight = s[allowed < wanted_m]
    if not tight.size:
        return None
    after = np.searchsorted(tight, s)
    before, beyond = tight[np.maximum(after - 1, 0)], tight[np.minimum(after, tight.size - 1)]
    rest = np.minimum(np.abs(s - before), np.abs(s - beyond)) > RUN_OUT
    if np.mean(rest) < 1.0 - _ZONE_SHARE:
        return None
    return float(allowed[rest].min())


def round_down(thickness_m: float, show: Literal["metric", "inch"]) -> float:
    """To what a maker can sand to: a twentieth of a millimetre, or a thousandth of an inch.

    Examples
    --------
    >>> round(round_down(0.00204, "metric") * 1e3, 3), round(round_down(0.00204, "inch") / 25.4e-6)
    (2.0, 80)
    """
    grain = _THOU if show == "inch" else 0.00005
    # A hair of tolerance, so that 2.15 mm stays 2.15 mm.
    return float(np.floor(thickness_m / grain + 1e-6)) * grain


def advise_thickness(
    outline: Outline, design: Design, wood: Wood, parameters: BendParameters
) -> ThicknessAdvice:
    """The thickness to bring both sides to: what the tightest bend allows, within practice.

    Parameters
    ----------
    outline : Outline
        The outside of the finished rim.
    design : Design
        For margin, figure, grain and the units shown.
    wood : Wood
        Without one there is no advice.
    parameters : BendParameters

    Returns
    -------
    ThicknessAdvice
        Never above an ordinary side of that size, nor under the thinnest heard of: then
        with a warning.
    """
    section, margin = Section.of(parameters), design.margins.strain
    bears = capacity_of_sides(wood, design.sides, parameters).middle
    practice = practice_for(outline.length_m)
    tightest, where, bend, rest = THICKEST, "no bend is tight", 0.0, THICKEST
    for half in outline.halves:
        for rim in half.pieces:
            s = stations(rim)
            outer = curvature_at(outline, rim, s)
            allowed = allowed_thickness(outer, bears, margin, section)
            others = allowed_elsewhere(s, allowed, practice.ordinary_m)
            if others is None:
                others = float(allowed.min())
            rest = min(rest, others)
            if allowed.min() < tightest:
                tightest = float(allowed.min())
                plateau = np.flatnonzero(allowed <= 1.001 * tightest)
                i = int(plateau[plateau.size // 2])
                bend = float(outer[i])
                where = f"{rim.hand} {place_in_words(half, rim, float(s[i]), design.show)}"
    wanted = min(tightest, practice.ordinary_m)
    thickness = round_down(max(wanted, practice.thinnest_m), design.show)
    decides = tightest < practice.ordinary_m
    if decides:
        reason = f"{where}, keeps {margin:.0%} of what {wood.name} bears up to "
        reason += both_units(tightest)
        if rest >= practice.ordinary_m:
            stay = both_units(round_down(practice.ordinary_m, design.show))
            reason += f"; with that zone alone thinned the rest could stay {stay}"
    else:
        reason = "an ordinary side (common practice, no source); its bends would bear "
        reason += both_units(tightest)
    warnings: tuple[str, ...] = ()
    if wanted < practice.thinnest_m:
        curved = thickness * middle_curvature(np.array([bend]), thickness)
        used = float(section.tension_strain(curved)[0]) / bears
        told = (
            f"{where}: at {both_units(thickness)} it takes {used:.0%} of what {wood.name} bears, "
            f"and only {both_units(tightest)} would keep the margin, thinner than makers use "
            f"({practice.words}; common practice, no source): make the bend rounder, laminate, "
            "or take another wood"
        )
        warnings = (told,)
    return ThicknessAdvice(
        thickness_m=thickness,
        greatest_m=tightest,
        practice=practice,
        bend_decides=decides,
        words=f"{both_units(thickness)}: {reason}",
        warnings=warnings,
    )


def both_units(thickness_m: float) -> str:
    """A thickness in millimetres and thousandths.

    Examples
    --------
    >>> both_units(0.00204)
    '2.04 mm (80 thou)'
    """
    return f"{length_text(thickness_m, 'metric', fine=True)} ({thickness_m / _THOU:.0f} thou)"
