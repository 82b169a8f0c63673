"""Four sources, one result: the outside of the finished rim."""

from __future__ import annotations

from dataclasses import replace

from rimwright.instrument.design import ArcList, Design, Landmarks
from rimwright.instrument.outline import Outline

#: Used where a line other than the outside was drawn and the side's thickness is still
#: to be advised; common practice, no source. [m]
_USUAL_THICKNESS = 0.0021


def outline_of(design: Design) -> Outline:
    """The outline a design asks for, brought to the outside of the finished rim.

    Raises
    ------
    GeometryError
        If the measures make no body, or a line cannot be moved to the rim's outside.
    DrawingError, PictureError
        If the drawing cannot be read or holds no outline.
    """
    given = design.outline
    if isinstance(given.source, Landmarks):
        from rimwright.instrument.measures.landmarks import outline_from_landmarks

        drawn = outline_from_landmarks(given.source)
    elif isinstance(given.source, ArcList):
        from rimwright.instrument.measures.arcs import outline_from_arcs

        drawn = outline_from_arcs(given.source)
    else:
        from rimwright.instrument.drawings.reading import read_drawing

        drawn = read_drawing(given.source, seen_from=given.seen_from, player=design.player)
    if given.line == "outside":
        return drawn

    from rimwright.instrument.line import to_outside

    sides = design.sides
    thickness = sides.finished_thickness_m or sides.thickness_m
    if thickness is None and given.line == "inside":
        drawn = replace(
            drawn,
            assumptions=(
                *drawn.assumptions,
                "the drawn inside is moved out by 2.1 mm, an ordinary finished side, because "
                "the thickness is still to be advised",
            ),
        )
    return to_outside(
        drawn,
        given.line,
        side_thickness_m=thickness or _USUAL_THICKNESS,
        overhang_m=given.overhang_m,
        mould_clearance_m=given.mould_clearance_m,
    )
