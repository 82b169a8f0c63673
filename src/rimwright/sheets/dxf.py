"""A drawing as DXF R2010, in declared millimetres or inches, for saw, router and laser."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING, Literal

from rimwright.sheets.drawing import DASHES, Drawing, Path, Pen, Text

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.layouts.layout import Modelspace

_LINETYPES = {"solid": "Continuous", "chain": "RIM_CHAIN", "dashed": "RIM_DASHED"}
_ALIGN = {"start": "LEFT", "middle": "CENTER", "end": "RIGHT"}


def dxf_text(drawing: Drawing, show: Literal["metric", "inch"]) -> str:
    """The drawing as a DXF file; every layer has its name, number colour and line weight.

    Arcs stay arcs, as bulges of polylines. The file carries no clock time, so that equal
    drawings give equal files.

    Parameters
    ----------
    drawing : Drawing
        What to write; millimetres.
    show : str
        "metric" declares and writes millimetres, "inch" inches.

    Returns
    -------
    str
        The text of the file.
    """
    from ezdxf._options import options

    # The only way ezdxf has to leave out the clock, at the making and at the writing.
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        return _written(drawing, show)
    finally:
        options.write_fixed_meta_data_for_testing = before


def _written(drawing: Drawing, show: Literal["metric", "inch"]) -> str:
    from ezdxf import units
    from ezdxf.filemanagement import new

    unit = 1.0 if show == "metric" else 1.0 / 25.4
    document = new("R2010", units=units.MM if show == "metric" else units.IN)
    document.header["$MEASUREMENT"] = int(show == "metric")
    document.header["$LTSCALE"] = 1.0
    space = document.modelspace()
    _prepare(document, drawing, unit)
    for shape in drawing.shapes:
        if isinstance(shape, Path):
            _add_path(space, shape, unit)
        else:
            _add_words(space, shape, unit)
    left, bottom, right, top = (unit * v for v in drawing.bounds)
    document.header["$EXTMIN"] = (left, bottom, 0.0)
    document.header["$EXTMAX"] = (right, top, 0.0)
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue()


def _prepare(document: Document, drawing: Drawing, unit: float) -> None:
    for style in ("chain", "dashed"):
        runs = [unit * d * (1 if i % 2 == 0 else -1) for i, d in enumerate(DASHES[style])]
        document.linetypes.add(_LINETYPES[style], [sum(map(abs, runs)), *runs])
    document.styles.add("RIM", font="DejaVuSans.ttf")
    document.styles.add("RIM_BOLD", font="DejaVuSans-Bold.ttf")
    for pen in dict.fromkeys(shape.pen for shape in drawing.shapes):
        document.layers.add(
            pen.layer,
            color=pen.colour,
            linetype=_LINETYPES[pen.style],
            lineweight=round(100 * pen.weight),
        )


def _attributes(pen: Pen) -> dict[str, str]:
    return {"layer": pen.layer}


def _add_path(space: Modelspace, path: Path, unit: float) -> None:
    points = [(unit * x, unit * y) for x, y in path.points]
    bulges = path.bulges or (0.0,) * len(points)
    attributes = _attributes(path.pen)
    if path.fill == "white":
        return
    if path.fill == "black":
        hatch = space.add_hatch(color=256, dxfattribs=attributes)
        rows = [(x, y, b) for (x, y), b in zip(points, bulges, strict=True)]
        hatch.paths.add_polyline_path(rows, is_closed=True)
    elif len(points) == 2 and not path.closed and not any(bulges):
        space.add_line(points[0], points[1], dxfattribs=attributes)
    else:
        rows = [(x, y, b) for (x, y), b in zip(points, bulges, strict=True)]
        space.add_lwpolyline(rows, format="xyb", close=path.closed, dxfattribs=attributes)


def _add_words(space: Modelspace, text: Text, unit: float) -> None:
    from ezdxf.enums import TextEntityAlignment

    entity = space.add_text(
        text.words,
        height=unit * text.size,
        rotation=text.angle,
        dxfattribs=_attributes(text.pen) | {"style": "RIM_BOLD" if text.bold else "RIM"},
    )
    at = (unit * text.at[0], unit * text.at[1])
    entity.set_placement(at, align=TextEntityAlignment[_ALIGN[text.anchor]])
