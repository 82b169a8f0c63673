"""A DXF file opened by ezdxf, and what it says about itself: unit, dashed layers."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from rimwright.errors import DrawingError

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

#: $INSUNITS code: metres of one unit, and its name.
_UNITS: dict[int, tuple[float, str]] = {
    1: (0.0254, "inch"), 2: (0.3048, "foot"), 4: (1e-3, "mm"), 5: (1e-2, "cm"), 6: (1.0, "m"),
    8: (2.54e-8, "microinch"), 9: (2.54e-5, "thou"), 10: (0.9144, "yard"), 13: (1e-6, "µm"),
    14: (0.1, "dm"),
}  # fmt: skip
#: Line types of centrelines and hidden lines.
DASHED = ("CENTER", "CENTRE", "DASH", "HIDDEN", "PHANTOM", "DOT")


def open_dxf(path: Path) -> Document:
    """The file, repaired where that can be done.

    Raises
    ------
    DrawingError
        If it is no DXF, or damaged past repair.
    """
    from ezdxf import recover
    from ezdxf.filemanagement import readfile
    from ezdxf.lldxf.const import DXFError

    try:
        try:
            return readfile(path)
        except (DXFError, UnicodeDecodeError, ValueError, KeyError, AttributeError):
            return recover.readfile(path)[0]
    except Exception as error:  # damaged files raise nearly anything
        raise DrawingError(
            "a file that is not a readable DXF",
            "a DXF of R12 or later",
            "export it again as DXF R2000 or later, or as SVG",
            where=path.name,
        ) from error


def unit_of(document: Document) -> tuple[float | None, str]:
    """Metres of one unit, if the file names one, and what it says in words."""
    code = document.header.get("$INSUNITS", 0)
    if code in _UNITS:
        unit, name = _UNITS[code]
        return unit, name
    return None, "the file names no unit ($INSUNITS is missing or 0)"


def dashed_layers(document: Document) -> set[str]:
    """Names of the layers drawn dashed or dotted."""
    return {
        layer.dxf.name
        for layer in document.layers
        if any(word in str(layer.dxf.get("linetype", "")).upper() for word in DASHED)
    }
