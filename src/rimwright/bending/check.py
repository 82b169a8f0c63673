"""The bend check: face strain along every piece of side, against what its wood bears.

Which curvature counts: the middle plane's, which is what thickness multiplies to strain. On
a concave outer line of radius R, which is the concave face, it is 1/(R + t/2); on a convex
one, whose concave face has R − t, it is 1/(R − t/2). Radii that are *told* are those of the
outer line, as on the drawing.
"""

from __future__ import annotations

import numpy as np

from rimwright.bending.capacity import capacity_of_sides
from rimwright.bending.check_layers import check_layers
from rimwright.bending.check_line import BentPiece
from rimwright.bending.check_places import name_at, tight_places
from rimwright.bending.check_words import rests_on, warnings
from rimwright.bending.cupping import cupping
from rimwright.bending.parameters import BendParameters
from rimwright.bending.results import BendCheck, Cupping, PieceCheck, TightPlace
from rimwright.bending.section import Section
from rimwright.bending.thickness import allowed_elsewhere, allowed_thickness
from rimwright.bending.zones import care_zones
from rimwright.instrument.design import Design
from rimwright.instrument.outline import Outline
from rimwright.sides.pattern import SidePattern
from rimwright.sources import Sourced
from rimwright.wood.species import Wood


def check_bend(
    outline: Outline,
    patterns: tuple[SidePattern, ...],
    design: Design,
    parameters: BendParameters,
    wood: Wood | None,
) -> BendCheck:
    """Strain along every piece and loose layer, and how thick each may be.

    Parameters
    ----------
    outline : Outline
    patterns : tuple of SidePattern
        With the thickness at bending.
    design : Design
        For thinned zones, figure, grain, margin, strips and the units shown.
    parameters : BendParameters
    wood : Wood or None
        Without a wood no capacity, no utilisation and no advice.

    Raises
    ------
    UnknownNameError
        If the wood of a strip is not on the list.
    """
    bears = None if wood is None else capacity_of_sides(wood, design.sides, parameters)
    pieces = tuple(
        _piece(outline, pattern, design, parameters, wood=wood, bears=bears) for pattern in patterns
    )
    return BendCheck(
        pieces=pieces,
        layers=check_layers(patterns, pieces, design, parameters),
        rests_on=rests_on(outline, design, parameters, wood, bears),
    )


def _piece(
    outline: Outline,
    pattern: SidePattern,
    design: Design,
    parameters: BendParameters,
    *,
    wood: Wood | None,
    bears: Sourced | None,
) -> PieceCheck:
    section = Section.of(parameters)
    bent = BentPiece.of(
        outline, pattern, design.sides.thinned, section, None if bears is None else bears.middle
    )
    allowed = None
    greatest = elsewhere = None
    if bears is not None:
        margin = design.margins.strain
        allowed = allowed_thickness(bent.curvature, bears.middle, margin, section)
        greatest, elsewhere = (
            float(allowed.min()),
            allowed_elsewhere(bent.s, allowed, bent.pattern.thickness_m),
        )
    places = tight_places(bent, design)
    return PieceCheck(
        hand=bent.rim.hand,
        piece=bent.rim.name,
        s_outer=bent.s,
        curvature=bent.curvature,
        thickness=bent.thickness,
        strain_middle=0.5 * bent.thickness * bent.middle,
        strain_tension=bent.strain,
        utilisation=bent.used,
        capacity=bears,
        greatest_thickness_m=greatest,
        greatest_thickness_elsewhere_m=elsewhere,
        tight_places=places,
        zones=care_zones(bent, places),
        cupping=_cupping(bent, places, design, parameters),
        warnings=warnings(
            bent,
            places,
            design=design,
            wood=wood,
            bears=bears,
            allowed=allowed,
            section=section,
        ),
    )


def _cupping(
    bent: BentPiece, places: tuple[TightPlace, ...], design: Design, parameters: BendParameters
) -> Cupping:
    """Where the side is most of a plate."""
    top, back = bent.pattern.edge_top, bent.pattern.edge_back
    width = np.interp(bent.s, top[:, 0], back[:, 2] - top[:, 2])
    worst = int(np.argmax(width**2 * bent.middle / bent.thickness))
    s = float(bent.s[worst])
    return cupping(
        float(width[worst]),
        float(np.copysign(bent.middle[worst], bent.curvature[worst])),
        float(bent.thickness[worst]),
        parameters,
        s_outer_m=s,
        place=name_at(places, s, convex=bool(bent.curvature[worst] > 0.0)),
        show=design.show,
    )
