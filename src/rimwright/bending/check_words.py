"""What the bend check says: warnings of a piece, and what the whole rests on."""

from __future__ import annotations

import numpy as np

from rimwright.bending.check_line import WINDOW, BentPiece, worst_near
from rimwright.bending.check_places import radius_range
from rimwright.bending.parameters import BendParameters
from rimwright.bending.results import PieceCheck, TightPlace
from rimwright.bending.section import Section, middle_curvature
from rimwright.bending.thickness import both_units
from rimwright.curves.piece import FloatArray
from rimwright.instrument.design import Design
from rimwright.instrument.outline import Outline
from rimwright.sources import SOURCES, Sourced
from rimwright.units import length_text
from rimwright.wood.species import Wood


def warnings(
    bent: BentPiece,
    places: tuple[TightPlace, ...],
    *,
    design: Design,
    wood: Wood | None,
    bears: Sourced | None,
    allowed: FloatArray | None,
    section: Section,
) -> tuple[str, ...]:
    """What of a piece wants a second thought, worst first."""
    told = []
    tightest = float(bent.curvature.max())
    if tightest * float(bent.thickness.max()) > 0.5:
        told.append(
            f"the line bends to {length_text(1.0 / tightest, design.show)}, less than two "
            "thicknesses: check the outline there"
        )
    if wood is None or bears is None or allowed is None or bent.used is None:
        return tuple(told)
    margin = design.margins.strain
    for place in places:
        i = int(np.argmin(np.abs(bent.s - place.s_outer_m)))
        i = worst_near(bent.s, bent.curvature, bent.strain, i)
        used = float(bent.used[i])
        at_most = f"{both_units(float(allowed[i]))} there keeps {percent(margin)}"
        if used > 1.0:
            told.append(
                f"{place.words}: {percent(bent.strain[i], 1)} strain is more than the middle of "
                f"what {wood.name} bears ({percent(bears.middle, 1)}): likelier to break than "
                f"not; {at_most}"
            )
        elif used > margin + 0.005:  # told in whole per cent
            told.append(
                f"{place.words}: {percent(used)} of what {wood.name} bears is past the margin "
                f"of {percent(margin)}; {at_most}"
            )
        elif (most := _at_smallest(bent, i, section, bears)) > margin:
            told.append(
                f"{place.words}: at the trace's smallest radius it takes {percent(most)} of what "
                f"{wood.name} bears; measure that bend"
            )
    return tuple(told)


def _at_smallest(bent: BentPiece, i: int, section: Section, bears: Sourced) -> float:
    """Utilisation at the smallest radius a trace allows there; 0 where it says nothing."""
    span = radius_range(bent, i)
    if span is None:
        return 0.0
    thick = bent.thickness[i : i + 1]
    tight = middle_curvature(np.copysign(1.0 / span.low_m, bent.curvature[i : i + 1]), thick)
    return float(section.tension_strain(thick * tight)[0]) / bears.middle


def kept_in_words(check: PieceCheck) -> str:
    """How thick a piece may be at the margin, in millimetres and thousandths.

    Empty without a wood.
    """
    if check.greatest_thickness_m is None:
        return ""
    side = f"{check.hand} side" if check.piece == "main" else f"{check.hand} return"
    told = f"{side}: up to {both_units(check.greatest_thickness_m)} keeps the margin"
    if check.greatest_thickness_elsewhere_m is not None:
        rest = both_units(check.greatest_thickness_elsewhere_m)
        told += f"; away from its tight bends up to {rest}"
    return told


def rests_on(
    outline: Outline,
    design: Design,
    parameters: BendParameters,
    wood: Wood | None,
    bears: Sourced | None,
) -> tuple[str, ...]:
    """Sources and assumptions of the check, in words."""
    modulus, flow = parameters.tension_modulus_pa, parameters.compression_yield_pa
    told = [
        f"hot, wet wood taken as {modulus.middle / 1e9:g} GPa in tension, flowing in compression "
        f"at {flow.middle / 1e6:g} MPa ({modulus.provenance.value}); the neutral axis lies where "
        "no force acts along the side"
    ]
    if wood is None or bears is None:
        told.append("no wood named: no capacity, no advice and no odds")
    else:
        told.append(
            f"{wood.name} bears {percent(bears.middle, 1)} at the face in tension "
            f"({percent(bears.low, 1)} to {percent(bears.high, 1)} for nine pieces of ten), "
            f"{bears.provenance.value}{_named(bears)}: {bears.note}; this is wood "
            "wet and hot, colder or drier it bears less"
        )
        if design.sides.figure is None:
            told.append("figure not given: taken as plain (some or strong curl lowers it)")
        if design.sides.grain_angle_rad is None:
            told.append("grain angle not given: taken as straight (run-out lowers it)")
    if outline.noise_m is not None:
        told.append(
            f"radii of a trace are means over {WINDOW * 1e3:.0f} mm of line, so that its noise "
            "does not count as bends"
        )
    told.append(
        "cupping: Searle 1908 and Ashwell 1950, from memory; elastic, so it tells where, and "
        "drying may make it more"
    )
    return tuple(told)


def _named(value: Sourced) -> str:
    return f" from {SOURCES[value.source].title}" if value.source in SOURCES else ""


def percent(share: float, digits: int = 0) -> str:
    """A share as a maker reads it.

    Examples
    --------
    >>> percent(0.85), percent(0.0287, 1)
    ('85%', '2.9%')
    """
    return f"{share:.{digits}%}"
