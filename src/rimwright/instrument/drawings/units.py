"""What one unit of a drawing is in metres, by the maker, the file, or not at all."""

from __future__ import annotations

from dataclasses import dataclass

from rimwright.errors import DrawingError
from rimwright.instrument.design import Drawing
from rimwright.instrument.drawings.strokes import Sheet

#: From the smallest soprano ukulele to the largest bass. [m]
SHORTEST_BODY, LONGEST_BODY = 0.15, 1.3
_TRIES = (
    ("mm", "mm", 1e-3), ("cm", "cm", 1e-2), ("in", "inches", 0.0254), ("ft", "feet", 0.3048),
    ("m", "metres", 1.0), ("px", "pixels at 96 to the inch", 0.0254 / 96),
    ("pt", "points at 72 to the inch", 0.0254 / 72),
)  # fmt: skip
_DPI = (100, 150, 200, 300)


@dataclass(frozen=True)
class Unit:
    """Metres of one unit, and what to tell the maker about it."""

    metres: float
    #: Said first among the assumptions, where the unit was assumed.
    assumed: str | None = None
    note: str | None = None


def choose_unit(sheet: Sheet, drawing: Drawing, length: float, width: float) -> Unit:
    """The unit of a drawing whose body measures `length` by `width` in that unit.

    The maker's known length, unit or resolution goes before what the file says; a file that
    says nothing is not guessed at, except that an SVG may be in CSS pixels.

    Raises
    ------
    DrawingError
        Where no unit is known, or the known one gives a body no instrument has. The line
        lists the size of the body in each unit.
    """
    if drawing.body_length_m is not None:
        unit = drawing.body_length_m / length
        note = None
        if sheet.unit_m and abs(unit / sheet.unit_m - 1.0) > 0.005:
            note = (
                f"by the file ({sheet.unit_said}) the body is {1e3 * length * sheet.unit_m:.1f} mm "
                f"long; the length given, {1e3 * drawing.body_length_m:.1f} mm, was used"
            )
        return _plausible(Unit(unit, note=note), "the given length", drawing, length, width)
    if drawing.unit_m is not None:
        said = f"the unit given ({drawing.unit_name or f'{drawing.unit_m:g} m'})"
        return _plausible(Unit(drawing.unit_m), said, drawing, length, width)
    if drawing.dots_per_inch is not None:
        said = f"{drawing.dots_per_inch:g} dots per inch"
        return _plausible(Unit(0.0254 / drawing.dots_per_inch), said, drawing, length, width)
    if sheet.unit_m is not None:
        said = f"the file's unit ({sheet.unit_said})"
        return _plausible(Unit(sheet.unit_m), said, drawing, length, width)
    if sheet.unit_guess is not None:
        unit, words = sheet.unit_guess
        if SHORTEST_BODY <= length * unit <= LONGEST_BODY:
            return Unit(
                unit,
                f"{sheet.unit_said}; its units were taken as {words}, which makes the body "
                f"{1e3 * length * unit:.0f} mm long (it would be {sizes(length, width)}: name "
                "the unit if another is meant)",
            )
    raise DrawingError(
        f"no unit that can be used: {sheet.unit_said}; the body would be {sizes(length, width)}",
        "a unit",
        "add --drawing-units mm (or cm, in), --dpi 200 or --body-length 330mm",
        where=drawing.path.name,
    )


def _plausible(unit: Unit, said: str, drawing: Drawing, length: float, width: float) -> Unit:
    if SHORTEST_BODY <= length * unit.metres <= LONGEST_BODY:
        return unit
    raise DrawingError(
        f"a body {length * unit.metres:.3g} m long by {said}; it would be {sizes(length, width)}",
        f"a body of {1e3 * SHORTEST_BODY:.0f} to {1e3 * LONGEST_BODY:.0f} mm",
        "add --drawing-units with the right unit, --dpi or --body-length; or name the outline "
        "with --layer or --select if another line was meant",
        where=drawing.path.name,
    )


def sizes(length: float, width: float) -> str:
    """The body's size in each unit that might be meant.

    >>> sizes(470.0, 356.0)
    '470 × 356 mm in mm, 124 × 94 mm in px, 166 × 126 mm in pt, 119 × 90 mm at 100 dpi'
    """
    found = []
    for short, _, unit in _TRIES:
        if 0.1 <= length * unit <= 2.0:
            found.append(f"{1e3 * length * unit:.0f} × {1e3 * width * unit:.0f} mm in {short}")
    for dpi in _DPI:
        unit = 0.0254 / dpi
        if 0.1 <= length * unit <= 2.0:
            found.append(f"{1e3 * length * unit:.0f} × {1e3 * width * unit:.0f} mm at {dpi} dpi")
    if not found:
        return f"{length:.4g} × {width:.4g} units, which is no body in any common unit"
    return ", ".join(found)
