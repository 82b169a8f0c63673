"""What was taken from a drawing, in words."""

from __future__ import annotations

from rimwright.desk.words import items
from rimwright.instrument.design import Design
from rimwright.instrument.outlining import outline_of
from rimwright.instrument.stations import features
from rimwright.units import length_text


def outline_text(design: Design) -> str:
    """Body, radii, and what was taken and left, for the terminal."""
    outline, show = outline_of(design), design.show
    lines = [f"{design.name}: body {length_text(outline.length_m, show)} long"]
    for half in outline.halves:
        for rim in half.pieces:
            name = f"{rim.hand} {'return' if rim.name == 'return' else 'side'}"
            lines += ["", f"{name.capitalize()}, {length_text(rim.length, show)} on the outer line"]
            told = [
                f"{one.mark_name}: {length_text(one.s_m, show)} along, "
                f"{length_text(abs(one.y_m), show)} from the centreline"
                for one in features(half)
                if one.piece == rim.name
            ]
            for convex, bend in ((True, "convex"), (False, "concave")):
                radius = outline.smallest_radius(rim, convex=convex)
                if radius is not None:
                    spread = (
                        f" ({length_text(radius.low_m, show)} to "
                        f"{length_text(radius.high_m, show)})"
                        if radius.high_m > radius.low_m
                        else ""
                    )
                    told.append(
                        f"smallest {bend} radius {length_text(radius.middle_m, show)}{spread}, "
                        f"{length_text(radius.s_m, show)} along"
                    )
            lines += items(told)
    if outline.noise_m is not None:
        lines += ["", f"Traced points scatter {outline.noise_m * 1e3:.2f} mm about the line."]
    for taken, heading in ((True, "Taken"), (False, "Left")):
        found = [f"{one.what}: {one.why}" for one in outline.findings if one.taken is taken]
        if found:
            lines += ["", heading, *items(found)]
    if outline.assumptions:
        lines += ["", "Assumed", *items(outline.assumptions)]
    return "\n".join(lines)
