"""How much tensile face strain a wood bears wet and hot, and how sure that is.

The handbook radii of steamed stock bent without a strap are radii at which breakages do not
pass about 5 %. So the strain that the section model finds there is not the middle of the
wood's capacity but its fifth percentile; with a lognormal spread from piece to piece the middle
lies above it by exp(1.645 × spread). Low and high of the capacity span 90 % of the pieces,
the doubt about a class included.
"""

from __future__ import annotations

from math import exp, hypot, log
from statistics import NormalDist

import numpy as np

from rimwright.bending.parameters import BendParameters
from rimwright.bending.section import Section
from rimwright.instrument.design import Sides
from rimwright.sources import Provenance, Sourced
from rimwright.wood.species import Wood

#: Low and high stand this many standard deviations from the middle: 90 % lie between.
_NINETY = NormalDist().inv_cdf(0.95)


def strain_at_radius(radius_per_thickness: float, section: Section) -> float:
    """Tensile face strain of a piece bent to a radius of its concave face.

    Examples
    --------
    >>> soft = Section(yield_strain=0.00375, hardening=0.02)
    >>> round(strain_at_radius(12.0, soft), 4)  # ash, against 0.04 by t/2R
    0.0219
    """
    bend = np.array([1.0 / (radius_per_thickness + 0.5)])
    return float(section.tension_strain(bend)[0])


def capacity(
    wood: Wood,
    parameters: BendParameters,
    *,
    figure: str | None = None,
    grain_angle_rad: float | None = None,
) -> Sourced:
    """Tensile face strain that the wood bears wet and hot.

    Parameters
    ----------
    wood : Wood
    parameters : BendParameters
    figure : "plain", "some", "strong" or None
        How strong its curl is; None is taken as plain.
    grain_angle_rad : float, optional
        Slope of the grain to the side; None is taken as straight. [rad]

    Returns
    -------
    Sourced
        Derived from a published radius, or assumed by class, and says so.

    Examples
    --------
    >>> from rimwright.bending.parameters import DEFAULT
    >>> from rimwright.wood.catalogue import find
    >>> ash = capacity(find("European ash"), DEFAULT)
    >>> round(ash.low, 4), round(ash.middle, 4), ash.provenance.value
    (0.0219, 0.0305, 'derived')
    """
    section = Section.of(parameters)
    spread = parameters.capacity_spread.middle
    breakage = parameters.published_breakage.middle
    if (own := wood.unsupported_radius) is not None:
        radius, provenance, extra = own.middle, Provenance.DERIVED, 0.0
        source, whence = own.source, f"its published R/t of {own.middle:g} ({own.note})"
    elif (relative := wood.relative_radius) is not None:
        radius, provenance = relative.middle, Provenance.ASSUMED
        extra, source = parameters.relative_spread.middle, relative.source
        whence = f"a relative's published R/t of {relative.middle:g} ({relative.note})"
    else:
        of_kind = parameters.radius_by_kind[wood.kind]
        radius, provenance, source = of_kind.middle, Provenance.ASSUMED, ""
        extra = _doubt(of_kind, section)
        whence = f"an R/t of {radius:g} assumed for its class, {wood.kind}: {of_kind.note}"
    at_published = strain_at_radius(radius, section)
    middle = at_published * exp(-NormalDist().inv_cdf(breakage) * spread)
    left, words = lowered(parameters, figure=figure, grain_angle_rad=grain_angle_rad)
    width = exp(_NINETY * hypot(spread, extra))
    return Sourced(
        middle=middle * left,
        low=middle * left / width,
        high=middle * left * width,
        provenance=provenance,
        source=source,
        note="; ".join((f"from {whence}, through the section with its neutral axis moved", *words)),
    )


def capacity_of_sides(wood: Wood, sides: Sides, parameters: BendParameters) -> Sourced:
    """The capacity of the design's sides: wood, figure and grain together."""
    return capacity(wood, parameters, figure=sides.figure, grain_angle_rad=sides.grain_angle_rad)


def lowered(
    parameters: BendParameters, *, figure: str | None, grain_angle_rad: float | None
) -> tuple[float, tuple[str, ...]]:
    """What figure and run-out leave of the capacity, and that in words.

    Notes
    -----
    Run-out follows the form of Hankinson 1921, in which the angle's cosine enters twice,
    applied to strain with a ratio across to along that is ours.

    Examples
    --------
    >>> from math import radians
    >>> from rimwright.bending.parameters import DEFAULT
    >>> left, words = lowered(DEFAULT, figure="some", grain_angle_rad=radians(30))
    >>> round(left, 3), words
    (0.45, ('some figure leaves 90%', 'grain at 30° leaves 50%'))
    """
    left, words = 1.0, []
    if figure is not None and figure != "plain":
        share = parameters.figure_left[figure].middle
        left *= share
        words.append(f"{figure} figure leaves {share:.0%}")
    if grain_angle_rad:
        along = np.cos(grain_angle_rad) ** 2
        share = float(1.0 / (along + (1.0 - along) / parameters.cross_grain.middle))
        left *= share
        words.append(f"grain at {np.degrees(grain_angle_rad):.0f}° leaves {share:.0%}")
    return left, tuple(words)


def _doubt(of_kind: Sourced, section: Section) -> float:
    """Standard deviation of the logarithm that a class's range of radii means."""
    best = strain_at_radius(of_kind.low, section)
    worst = strain_at_radius(of_kind.high, section)
    return log(best / worst) / (2.0 * _NINETY)
